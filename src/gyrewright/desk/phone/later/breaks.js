// Interruptions: noticed by the page, named by the person, and paid for as the list says.

// What breaks at once cost: the widest that a rule of the list or the house asks for.
function scopeOf(on, seconds) {
  const scopes = ["nothing", "stand", "zone", "walk"];
  const costs = data.restarts.filter((rule) => on.includes(rule.on) && seconds >= rule.from_s);
  return scopes[Math.max(0, ...costs.map((rule) => scopes.indexOf(rule.scope)))];
}

function againFor(state, item, scope, on) {
  const place = state.places.find((each) => each.items.includes(item));
  const resets = on.some((word) => data.resets.includes(word));
  const reached = (each) =>
    scope === "walk" ||
    (scope === "zone" && each.id[0] === item.id[0]) ||
    (scope !== "nothing" && place.items.includes(each)) ||
    (resets && each.restores);
  return state.items.filter(reached).map((each) => each.id);
}

const HAPPENED = {
  away: "I was away from it",
  "spoken to": "Somebody spoke to me",
  "touched by another": "Somebody touched the aircraft",
  refueled: "It was refueled",
  moved: "It was moved",
  "engine stopped": "The engine ran and was stopped",
  "brake set": "A brake was set again",
  "lock put back": "A lock or tie was put back",
};

let outSince = 0;
let touchedAt = Date.now();
let outBy = "";

function watchForBreaks() {
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) [outSince, outBy] = [Date.now(), "hidden"];
    else cameBack();
  });
  document.addEventListener("pointerdown", () => {
    if (!outSince && Date.now() - touchedAt > 10 * 60000) [outSince, outBy] = [touchedAt, "time"];
    touchedAt = Date.now();
    if (outBy === "time") cameBack();
  }, true);
}

function cameBack() {
  const [from, by] = [outSince, outBy];
  [outSince, outBy, touchedAt] = [0, "", Date.now()];
  if (!from || !walk || walk.spots || !walk.state.begun || walk.state.signed.length || walk.state.left) return;
  if ((Date.now() - from) / 1000 < noticeAfterS() && sameDay(from)) return;
  showBreak(from, by);
}

function showBreak(from, noticed) {
  const item = fresh(current || nextItem(walk.state, null) || walk.state.items[0]);
  const place = walk.state.places.find((each) => each.items.includes(item));
  const chosen = new Set(sameDay(from) ? [] : ["new day"]);
  const cost = el("p", { className: "do", role: "status" });
  const to = new Date();
  const tell = () => {
    const scope = scopeOf([...chosen], (to - from) / 1000);
    const again = { stand: place.name, zone: data.zones[item.id[0]], walk: "the whole walk" }[scope];
    const resets = [...chosen].some((word) => data.resets.includes(word)) ? " The restore list starts again." : "";
    cost.textContent = chosen.size ? (again ? `So: ${again} again, from its first item.${resets}` : `So: nothing again.${resets}`) : "";
  };
  const toggles = Object.entries(HAPPENED).map(([word, text]) =>
    button(text, (event) => {
      chosen.has(word) ? chosen.delete(word) : chosen.add(word);
      event.currentTarget.setAttribute("aria-pressed", chosen.has(word));
      tell();
    }, { className: "word", "aria-pressed": "false" }),
  );
  const go = async (on) => {
    const seconds = (to - from) / 1000;
    const restarted = scopeOf(on, seconds);
    const again = againFor(walk.state, item, restarted, on);
    const body = { on, from: new Date(from).toISOString(), to: to.toISOString(), restarted, stand: item.stand, zone: item.id[0], again, noticed };
    if (!(await keepHere("walk-break", body))) return;
    const first = restarted === "walk" ? walk.state.items[0] : again.length ? walk.state.items.find((each) => again.includes(each.id)) : item;
    showItem(first);
  };
  tell();
  show(
    title(noticed ? `You were at ${item.id}, ${place.name}. Nothing for ${spell(to - from)}.` : `At ${item.id}, ${place.name}`),
    chosen.has("new day") && line("Another day has begun since.", "do"),
    line("What happened?", "do"),
    el("div", { className: "field" }, toggles),
    cost,
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" },
      button("Go on", () => (chosen.size ? go([...chosen]) : trouble("Say what happened, or that nothing did.")), { className: "ok" }),
      noticed && !chosen.has("new day") && button("Nothing: I was at this item all the time", () => go([]), { className: "no wide" }),
      !noticed && button("Back", () => showItem(item), { className: "no wide" })),
  );
}
