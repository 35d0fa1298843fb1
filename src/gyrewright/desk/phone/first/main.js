// Beginning, the overview, signing, and the start of it all.

const kindsOf = () => [...new Set(data.events.flatMap((row) => row.on))];
const MAIN_KINDS = ["first of the day", "each flight", "turnaround"];

function aged() {
  const page = `This page: list revision ${data.list.revision}, computed ${clockOf(data.now)}.`;
  return `${page} ${heard ? `Desk last heard ${clockOf(deskTime(heard))}.` : "The desk has not been heard since."}`;
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
  const caller = el("select", { id: "caller" }, el("option", { value: "" }, "I walk alone"), Object.entries(data.people).flatMap(([id, name]) => [el("option", { value: `caller ${id}` }, `${name} reads, I touch`), el("option", { value: `doer ${id}` }, `I read, ${name} touches`)]));
  const begin = async () => {
    const [first, ...rest] = kinds.length ? [chosen.event, ...chosen.also] : new Set([...chosen.also, chosen.event].filter(Boolean));
    if (!first) return trouble("Say first which walk this is.");
    const items = itemsFor(first, rest);
    await putNote(`page:${data.list.fingerprint}`, data);
    const id = newId();
    walk = { walk: id, acts: [], state: stateOf([]) };
    const body = { event: first, also: rest, list: data.list.id, revision: data.list.revision, fingerprint: data.list.fingerprint, asked: items.map((item) => item.id) };
    if (caller.value) body.pair = caller.value;
    if (!(await keepHere("walk-begun", body))) return;
    navigator.storage?.persist?.();
    step(null);
  };
  show(
    title(`${data.aircraft.name} ${data.aircraft.id}, ${data.list.name.toLowerCase()}`),
    line(`${data.personName}. ${aged()}`, "soft"),
    line(data.notice, "soft"),
    el("div", { id: "told", className: "soft", role: "status" }),
    data.needed.length > 0 && line(`The house asks for: ${data.needed.join(", ")}.`, "soft"),
    kinds.length > 0 && line("Which walk is this?", "do"),
    kinds.length > 0 && el("div", { className: "field" }, pick(kinds, true)),
    others.length > 0 && line(kinds.length ? "Since the last walk, touch what applies:" : "Touch what applies:", "do"),
    others.length > 0 && el("div", { className: "field" }, pick(others, false)),
    el("label", { for: "caller" }, "Two of you?"),
    caller,
    data.accept.map((each) => button(`Accept the walk of ${each.by}, ${clockOf(each.ended)}: look again at ${each.spots.join(", ")}`, () => later(() => showSpots(each)), { className: "word" })),
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, button("Begin", begin, { className: "ok" })),
    footer(),
  );
  later(() => tellAtBegin());
}

const footer = () =>
  el("p", { className: "links" }, el("a", { href: data.addresses.index }, "Walk-round"), button("Something else is wrong", () => later(() => showReport(null)), { className: "link" }), waiting > 0 && button("Save what is kept here as a file", () => later(() => saveFile()), { className: "link" }), loggedOut && el("a", { href: data.addresses.door }, "Log in to hand over"));

async function start() {
  isShowing = true;
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
  const last = walk.acts.at(-1);
  const at = walk.acts.reduce((newest, act) => (act.n > newest.n ? act : newest), last);
  current = walk.state.items.find((item) => item.id === at.body.item) || null;
  const since = Date.parse(at.at);
  if ((Date.now() - since) / 1000 >= noticeAfterS() || !sameDay(since)) later(() => showBreak(since, sameDay(since) ? "hidden" : "day"));
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
  later(() => afterOpening());
  setInterval(showStatus, 15000);
}

begin().catch((error) => main.replaceChildren(el("h1", {}, "This phone cannot keep answers"), el("p", {}, `${error.message || error}. Use the printed list.`)));
