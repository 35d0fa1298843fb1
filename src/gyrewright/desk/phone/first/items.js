// One item a screen: answering it, saying what is wrong, and what was read before once the new reading is stored.

// The walk at hand, { walk, acts, state }, and the item on the screen.
let walk;
let current = null;

async function refresh() {
  walk.acts = await actsOf(walk.walk);
  walk.state = stateOf(walk.acts);
  // Spot checks on another's walk: only what was answered since they began.
  if (walk.spots) Object.assign(walk.state, spotsOf(walk));
}

// Stores an act of the walk; what could not be stored is said, and nothing shows as given.
async function keepHere(kind, body, photos = []) {
  try {
    await keep(kind, body, { walk: walk.walk, photos });
  } catch (error) {
    const full = error && error.name === "QuotaExceededError";
    trouble(full ? "NOT KEPT: this phone's storage is full. Make room, then touch again." : `NOT KEPT: ${error.message || error}. Touch again.`);
    return false;
  }
  await refresh();
  return true;
}

function trouble(text) {
  const place = document.getElementById("trouble");
  if (place) place.textContent = text;
  else main.prepend(el("p", { id: "trouble", className: "trouble", role: "alert" }, text));
}

function step(from) {
  const item = walk.spots ? walk.spots.find((each) => !walk.state.live[each.id]) : nextItem(walk.state, from);
  if (item) showItem(item);
  else if (walk.spots) later(() => showAccept());
  else overview();
}

// An act makes the walk anew, and with it its items: the one of the same id is meant.
const fresh = (item) => walk.state.items.find((each) => each.id === item.id) || item;

function showItem(meant) {
  const item = (current = fresh(meant));
  const { state } = walk;
  const place = state.places.find((each) => each.items.includes(item)) || { name: "Spot checks", items: walk.spots };
  const given = state.live[item.id];
  const fields = (item.fields || []).map((field) => [field, fieldFor(field, given?.body.readings?.[field.key])]);
  const readings = () => Object.fromEntries(fields.map(([field, made]) => [field.key, made.text()]).filter(([, text]) => text));
  let warned = "";
  const answer = async (word) => {
    if (word === OK) {
      const why = notYet(state, item);
      const wrong = fields.find(([field, made]) => field.right && made.text() && !made.text().split(", ").every((each) => field.right.includes(each)));
      const odd = fields.map(([field, made]) => [oddReading(field, made.text()), made]).find(([text]) => text);
      if (why) return trouble(why);
      if (wrong) return trouble(`${wrong[0].name}: "${wrong[1].text()}" is not as it should be.`);
      if (odd && !(odd[0].endsWith("as it is.") && warned === odd[0])) {
        warned = odd[0];
        odd[1].first.focus();
        return trouble(odd[0]);
      }
    }
    const body = { item: item.id, answer: word, stand: item.stand, zone: item.id[0], class_: item.class, restores: !!item.restores, readings: readings() };
    const [role, other] = (walk.state.begun?.body.pair || "").split(" ");
    if (other) Object.assign(body, role === "caller" ? { caller: other, doer: data.person } : { caller: data.person, doer: other });
    if (given) body.corrects = given.id;
    if (!(await keepHere("walk-answer", body))) return;
    if (word !== OK) later(() => showDetail(item));
    else if (fields.length) later(() => showEarlier(item));
    else step(item.id);
  };
  const choice = (word, text, kind) =>
    button([el("b", {}, text), given?.body.answer === word ? el("small", {}, `given ${clockOf(deskTime(Date.parse(given.at)))}`) : ""], () => answer(word), {
      className: kind,
      "aria-pressed": String(given?.body.answer === word),
    });
  const previous = place.items[place.items.indexOf(item) - 1];
  show(
    head(state, place, walk.spots ? () => showItem(item) : overview),
    marks(state, place),
    el("div", { className: "text" }, itemText(state, item), fields.map(([, made]) => made.node), links(item, previous)),
    el("div", { className: "answers stuck" }, el("p", { className: "more", id: "more" }), el("p", { id: "trouble", className: "trouble", role: "alert" }), choice(OK, "As it should be", "ok"), choice(NOT, "Not as it should be", "not"), choice(NO_LOOK, "Could not look", "no")),
  );
}

function links(item, previous) {
  const given = walk.state.live[item.id];
  return el(
    "p",
    { className: "links" },
    button("What goes wrong here", (event) => later(() => showBackground(item, event.target)), { className: "link" }),
    previous && button("Back", () => showItem(previous), { className: "link" }),
    given && button("A word, a photo", () => later(() => showDetail(item)), { className: "link" }),
    given && button("Next", () => step(item.id), { className: "link" }),
  );
}
