// One item a screen: answering it, saying what is wrong, and what was read before once the new reading is stored.

let walk; // { walk, acts, state } of the walk at hand
let current = null; // the item on the screen

// Other files may add to what is asked after "not": each gets the item and its answer, and returns elements.
const afterNot = [];

async function refresh() {
  walk.acts = await actsOf(walk.walk);
  walk.state = stateOf(walk.acts);
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
  else showOverview();
}

function showItem(item) {
  current = item;
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
    if (walk.caller) body.caller = walk.caller;
    if (given) body.corrects = given.id;
    if (!(await keepHere("walk-answer", body))) return;
    const earlier = word === OK ? shownAfter(item) : [];
    if (word !== OK) showDetail(item);
    else if (earlier.length) showEarlier(item, earlier);
    else step(item.id);
  };
  const choice = (word, text, kind) =>
    button([el("b", {}, text), given?.body.answer === word ? el("small", {}, `given ${clockOf(deskTime(Date.parse(given.at)))}`) : ""], () => answer(word), {
      className: kind,
      "aria-pressed": String(given?.body.answer === word),
    });
  const previous = place.items[place.items.indexOf(item) - 1];
  show(
    head(state, place, showOverview),
    marks(state, place),
    el("div", { className: "text" }, itemText(state, item), fields.map(([, made]) => made.node), links(item, previous)),
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers stuck" }, el("p", { className: "more", id: "more" }), choice(OK, "As it should be", "ok"), choice(NOT, "Not as it should be", "not"), choice(NO_LOOK, "Could not look", "no")),
  );
}

function links(item, previous) {
  const given = walk.state.live[item.id];
  return el(
    "p",
    { className: "links" },
    button("What goes wrong here", (event) => showBackground(item, event.target), { className: "link" }),
    previous && button("Back", () => showItem(previous), { className: "link" }),
    given && button("A word, a photo", () => showDetail(item), { className: "link" }),
    given && button("Next", () => step(item.id), { className: "link" }),
  );
}

async function showBackground(item, at) {
  const [wrong, why] = background[item.id] || ["Not on this phone: the page was opened without network before it had come.", ""];
  at.replaceWith(el("span", { className: "background" }, el("b", {}, "Goes wrong "), wrong, " ", el("b", {}, "Why "), why));
}

// Earlier readings, and the reading that belongs with this one: only after the new one is stored.
function shownAfter(item) {
  const now = walk.state.live[item.id].body.readings || {};
  const earlier = Object.keys(now).flatMap((key) => (data.last[`${item.id}.${key}`] || []).map(([text, day]) => `${item.fields.find((field) => field.key === key).name}: now ${now[key]}, ${day} ${text}`));
  const linked = (item.linked || []).flatMap((id) => Object.values(walk.state.live[id]?.body.readings || {}).map((text) => `${id} said ${text}`));
  return [...earlier, ...linked];
}

function showEarlier(item, lines) {
  show(title(`${item.id} kept`), lines.map((each) => line(each, "do")), el("div", { className: "answers" }, button("Next", () => step(item.id), { className: "ok" })));
}

const REASONS = ["too dark", "covered", "no step", "locked", "too hot", "in the way"];

function showDetail(item) {
  current = item;
  const given = walk.state.live[item.id];
  const { body } = given;
  const input = el("textarea", { id: "words", rows: 3, maxLength: 600, value: body.words || "" });
  const photos = [];
  const count = el("span", {}, given.photos.length ? `${given.photos.length} kept` : "");
  const camera = el("input", { type: "file", accept: "image/*", capture: "environment", id: "camera" });
  camera.onchange = async () => {
    for (const file of camera.files) {
      try {
        photos.push(await shrunk(file));
      } catch {
        trouble("This phone cannot read that photo. The answer is kept; take the photo again.");
      }
    }
    count.textContent = `${photos.length} to keep`;
  };
  const small = el("input", { type: "checkbox", id: "small", checked: !!body.small });
  const next = async () => {
    const words = input.value.trim();
    if (words !== (body.words || "") || photos.length || small.checked !== !!body.small) {
      const more = { ...body, words, corrects: given.id };
      if (small.checked) more.small = true;
      else delete more.small;
      if (!(await keepHere("walk-answer", more, photos))) return;
    }
    step(item.id);
  };
  show(
    title(`${item.id} ${item.name}: ${body.answer}`),
    line(`Kept ${clockOf(deskTime(Date.parse(given.at)))}. What do you see?`, "soft"),
    body.answer === NO_LOOK && el("div", { className: "field" }, REASONS.map((word) => button(word, () => (input.value = word), { className: "word" }))),
    el("label", { for: "words" }, "In a few words"),
    input,
    el("label", { for: "camera", className: "camera" }, "Take a photo ", count),
    camera,
    body.answer === NOT && item.class === "G" && el("label", { className: "small" }, small, " It is small. Somebody entitled still has to judge it."),
    body.answer === NOT && afterNot.map((more) => more(item, given)),
    el("p", { id: "trouble", className: "trouble", role: "alert" }),
    el("div", { className: "answers" }, button("Next", next, { className: "ok" })),
  );
}
