// Beginning, the overview, signing, and the start of it all.

let background = {};

const kindsOf = () => [...new Set(data.events.flatMap((row) => row.on))];
const MAIN_KINDS = ["first of the day", "each flight", "turnaround"];

function aged() {
  const page = `This page: list revision ${data.list.revision}, computed ${clockOf(data.now)}.`;
  return `${page} ${heard ? `Desk last heard ${clockOf(deskTime(heard))}.` : "The desk has not been heard since."}`;
}

// What the desk found, with its own age and end: this phone computes no verdict.
function flightLine() {
  const flight = data.flight;
  if (!flight) return "";
  if (deskTime() > new Date(flight.expires)) return line(`The ${flight.start} flight: what the desk said at ${clockOf(flight.computed)} has expired.`, "soft");
  return line(`The ${flight.start} flight: ${flight.mark}. ${flight.sentence} Computed ${clockOf(flight.computed)}, expires ${clockOf(flight.expires)}.`, "soft");
}

async function showBegin() {
  const all = kindsOf();
  const kinds = all.filter((word) => MAIN_KINDS.includes(word));
  const others = all.filter((word) => !MAIN_KINDS.includes(word));
  const chosen = { event: kinds.length === 0 && others.length === 1 ? others[0] : "", also: new Set(), caller: "" };
  const pick = (words, isOne) =>
    words.map((word) => {
      const asks = data.events.find((row) => row.on.includes(word))?.question;
      return button(asks || word, (event) => {
        if (isOne) {
          chosen.event = word;
          [...event.currentTarget.parentNode.children].forEach((each) => each.setAttribute("aria-pressed", each === event.currentTarget));
        } else {
          chosen.also.has(word) ? chosen.also.delete(word) : chosen.also.add(word);
          event.currentTarget.setAttribute("aria-pressed", chosen.also.has(word));
        }
      }, { className: "word", "aria-pressed": String(chosen.event === word) });
    });
  const caller = el("select", { id: "caller" }, el("option", { value: "" }, "I walk alone"), Object.entries(data.people).map(([id, name]) => el("option", { value: id }, `${name} reads, I do`)));
  const begin = async () => {
    const [first, ...rest] = kinds.length ? [chosen.event, ...chosen.also] : [...chosen.also, chosen.event].filter(Boolean);
    if (!first) return trouble("Say first which walk this is.");
    const items = itemsFor(first, rest);
    await putNote(`page:${data.list.fingerprint}`, data);
    const id = newId();
    walk = { walk: id, acts: [], state: stateOf([]), caller: caller.value };
    const body = { event: first, also: rest, list: data.list.id, revision: data.list.revision, fingerprint: data.list.fingerprint, asked: items.map((item) => item.id) };
    if (caller.value) body.caller = caller.value;
    if (!(await keepHere("walk-begun", body))) return;
    navigator.storage?.persist?.();
    step(null);
  };
  show(
    title(`${data.aircraft.name} ${data.aircraft.id}, ${data.list.name.toLowerCase()}`),
    line(`${data.personName}. ${aged()}`, "soft"),
    !isSecureContext && line("Keep this page open: without the hangar's certificate this phone cannot open it again with no network. Answers are kept all the same.", "caution"),
    flightLine(),
    data.needed.length > 0 && line(`The house asks for: ${data.needed.join(", ")}.`, "soft"),
    kinds.length > 0 && line("Which walk is this?", "do"),
    kinds.length > 0 && el("div", { className: "field" }, pick(kinds, true)),
    others.length > 0 && line(kinds.length ? "Since the last walk, touch what applies:" : "Touch what applies:", "do"),
    others.length > 0 && el("div", { className: "field" }, pick(others, false)),
    el("label", { for: "caller" }, "Two of you?"),
    caller,
    data.accept.map((each) => button(`Accept the walk of ${each.by}, ${clockOf(each.ended)}: look again at ${each.spots.join(", ")}`, () => showSpots(each), { className: "word" })),
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, button("Begin", begin, { className: "ok" })),
    footer(),
  );
}

const footer = () =>
  el("p", { className: "links" }, el("a", { href: data.addresses.index }, "Walk-round"), waiting > 0 && button("Save what is kept here as a file", saveFile, { className: "link" }), loggedOut && el("a", { href: data.addresses.door }, "Log in to hand over"));

async function saveFile() {
  const link = el("a", { href: URL.createObjectURL(await asFile()), download: `walk-round-${device.slice(0, 8)}.json` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

function showOverview() {
  current = current || null;
  const { state } = walk;
  const whole = state.done === state.items.length;
  const rows = state.places.map((place) => {
    const done = place.items.filter((item) => state.live[item.id]).length;
    const shut = place.isLast && !lastMay(state);
    const open = () => showItem(place.items.find((item) => !state.live[item.id]) || place.items[0]);
    return button([el("b", {}, place.name), el("small", {}, shut ? "comes last, by touch" : `${done} of ${place.items.length}`), marks(state, place)], open, { className: "place-row", disabled: shut });
  });
  show(
    title(`${data.aircraft.name}, ${state.begun.body.event}: ${state.done} of ${state.items.length}`),
    line(`Begun ${clockOf(deskTime(Date.parse(state.begun.at)))}. ${aged()}`, "soft"),
    said.slice(-3).map((text) => line(`The desk says: ${text}`, "caution")),
    lastTrouble && waiting > 0 && line(`Not handed over: ${lastTrouble}. Nothing is lost.`, "soft"),
    rows,
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, whole ? button("Sign", showSign, { className: "ok" }) : button("Go on", () => step(current?.id), { className: "ok" })),
    el("p", { className: "links" }, button("Interrupted", () => showBreak(Date.now(), ""), { className: "link" }), button("Go no further", showLeave, { className: "link" })),
    footer(),
  );
}

function showLeave() {
  show(
    title("Go no further with this walk?"),
    line("What was answered stays kept and is handed over. What was found stays found.", "do"),
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, button("Back", showOverview, { className: "ok" }), button("Yes, it ends here", async () => (await keepHere("walk-left", { why: "" })) && start(), { className: "not" })),
  );
}

function showSign() {
  const { state } = walk;
  const listed = (word) => state.items.filter((item) => state.live[item.id].body.answer === word).map((item) => `${item.id} ${item.name}`);
  const [wrong, unseen] = [listed(NOT), listed(NO_LOOK)];
  const sign = async (signer, more = {}) => (await keepHere("walk-signed", { signer, ...more })) && showDone();
  const other = el("select", { id: "other" }, el("option", { value: "" }, "nobody"), Object.entries(data.people).map(([id, name]) => el("option", { value: id }, name)));
  const pin = el("input", { id: "pin", type: "password", inputMode: "numeric", autocomplete: "off", maxLength: 12 });
  const signOther = async () => {
    if (!other.value) return trouble("Say first who signs.");
    const secret = pin.value ? await locked(pin.value, walk.walk) : "";
    pin.value = "";
    if (await keepHere("walk-signed", secret ? { signer: other.value, secret } : { signer: other.value })) showSign();
  };
  show(
    title(`${state.items.length - wrong.length - unseen.length} as it should be, ${wrong.length} not, ${unseen.length} could not look`),
    wrong.length > 0 && line(`Not: ${wrong.join(", ")}.`, "odd"),
    unseen.length > 0 && line(`Could not look: ${unseen.join(", ")}.`, "do"),
    state.signed.map((act) => line(`${data.people[act.body.signer] || data.personName} ${act.body.secret ? "with their PIN" : act.body.signer === data.person ? "signed" : `is said to sign, on ${data.personName}'s phone, until they confirm it`}.`, "soft")),
    el("label", { for: "other" }, "Somebody else signs here"),
    other,
    el("label", { for: "pin" }, "Their own PIN, or leave it empty"),
    pin,
    button("They sign", signOther, { className: "word" }),
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, button(`Sign as ${data.personName}`, () => sign(data.person), { className: "ok" })),
    el("p", { className: "links" }, button("Back", showOverview, { className: "link" })),
  );
}

function showDone() {
  const act = walk.state.signed.at(-1);
  show(title(`Signed ${clockOf(deskTime(Date.parse(act.at)))}`), line("Whether a flight may go is the desk's to say, once it has this.", "do"), el("div", { className: "answers" }, button("To the start", start, { className: "ok" })), footer());
}

// The commander looks again at what the list names before another's walk counts as theirs.
async function showSpots(other) {
  const items = data.items.filter((item) => other.spots.includes(item.id)).map((item) => ({ ...item, after: [] }));
  walk = { walk: other.walk, acts: [], state: null, spots: items };
  await refresh();
  Object.assign(walk.state, { items, places: [{ name: "Spot checks", items }], done: 0 });
  showItem(items[0]);
}

async function start() {
  walk = null;
  current = null;
  const mine = (await openWalks()).filter(({ about, state }) => about === data.aircraft.id && state.begun.body.list === data.list.id);
  if (!mine.length) return showBegin();
  [walk] = mine.slice(-1);
  const { fingerprint } = walk.state.begun.body;
  const page = fingerprint === data.list.fingerprint ? null : await note(`page:${fingerprint}`);
  // A walk goes on by the list it was begun with.
  if (page) for (const name of ["items", "events", "stands", "zones", "restarts", "resets", "list"]) data[name] = page[name];
  await refresh();
  walk.caller = walk.state.begun.body.caller || "";
  const last = walk.acts.at(-1);
  const at = walk.acts.reduce((newest, act) => (act.n > newest.n ? act : newest), last);
  current = walk.state.items.find((item) => item.id === at.body.item) || null;
  const since = Date.parse(at.at);
  if ((Date.now() - since) / 1000 >= noticeAfterS() || !sameDay(since)) showBreak(since, sameDay(since) ? "hidden" : "day");
  else step(current?.id);
}

async function begin() {
  await openStore();
  device = await ownId();
  waiting = (await actsWaiting()).length;
  heard = (await note("heard")) || null;
  skew = (await note("skew")) || 0;
  silentSince = heard || Date.now();
  await start();
  watchForBreaks();
  setInterval(showStatus, 15000);
  startHandingOver();
  if ("serviceWorker" in navigator) navigator.serviceWorker.register(data.addresses.worker, { updateViaCache: "none" }).catch(() => {});
  fetch(data.addresses.background, { credentials: "same-origin" }).then((reply) => (reply.ok && !reply.redirected ? reply.json() : {})).then((found) => (background = found), () => {});
}

begin().catch((error) => main.replaceChildren(el("h1", {}, "This phone cannot keep answers"), el("p", {}, `${error.message || error}. Use the printed list.`)));
