// How a walk ends: signed, gone no further, accepted by whoever commands; or saved as a file where no network comes.

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
    el("form", { onsubmit: (event) => event.preventDefault() }, el("label", { for: "pin" }, "Their own PIN; without it they confirm later"), pin, button("They sign", signOther, { className: "word" })),
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, button(`Sign as ${data.personName}`, () => sign(data.person), { className: "ok" })),
    el("p", { className: "links" }, button("Back", showOverview, { className: "link" })),
  );
}

function showDone() {
  // Nothing more is begun here before somebody asks for it: once this is handed over, the desk need not wait for it.
  isShowing = false;
  handOverSoon(0);
  const act = walk.state.signed.at(-1);
  show(title(`Signed ${clockOf(deskTime(Date.parse(act.at)))}`), line("Whether a flight may go is the desk's to say, once it has this.", "do"), el("div", { className: "answers" }, button("To the start", start, { className: "ok" })), footer());
}

// The commander looks again at what the list names before another's walk counts as theirs.
async function showSpots(other) {
  const acts = await actsOf(other.walk);
  const spots = data.items.filter((item) => other.spots.includes(item.id)).map((item) => ({ ...item, after: [] }));
  walk = { walk: other.walk, by: other.by, spots, from: Math.max(0, ...acts.map(({ n }) => n)) };
  await refresh();
  step(null);
}

const spotsOf = ({ acts, spots, from }) => {
  const { live } = stateOf(acts.filter(({ kind, n }) => kind === "walk-answer" && n > from));
  const done = spots.filter((item) => live[item.id]).length;
  return { live, items: spots, places: [{ name: "Spot checks", items: spots }], done };
};

function showAccept() {
  const ids = walk.spots.map((item) => item.id);
  const bad = walk.spots.filter((item) => walk.state.live[item.id].body.answer !== OK).map((item) => `${item.id} ${item.name}`);
  const accept = async () => (await keepHere("walk-accepted", { walk: walk.walk, spots: ids })) && start();
  show(
    title(`${ids.join(", ")} looked at again`),
    line(bad.length ? `Not as it should be, or not seen: ${bad.join(", ")}. Then this walk is not yours: walk round yourself.` : `All as it should be. The walk of ${walk.by} becomes yours, and you answer for it.`, "do"),
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, !bad.length && button("Accept it", accept, { className: "ok" }), button("Do not accept", start, { className: "no wide" })),
  );
}

async function saveFile() {
  const link = el("a", { href: URL.createObjectURL(await asFile()), download: `walk-round-${device.slice(0, 8)}.json` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

