// A walk as its acts make it: what is asked, what counts, where to go next, what an interruption costs. The list's
// data say all of it. Nothing here says whether anything may fly.

const [OK, NOT, NO_LOOK] = ["as it should be", "not", "could not look"];
// Items at one place to stand.
const [LEAST, MOST] = [5, 9];
const meets = (some, words) => some.some((word) => words.has(word));

// The page brings items column by column, an empty cell as 0.
data.items = data.items.id.map((_, row) =>
  Object.fromEntries(Object.entries(data.items).map(([name, cells]) => [name, cells[row]]).filter(([, cell]) => cell)),
);

function itemsFor(event, also) {
  const words = new Set([event, ...also]);
  const asking = new Set(words);
  for (const row of data.events) if (meets(row.on, words)) row.asks.forEach((word) => asking.add(word));
  return data.items
    .filter((item) => meets(item.when, asking))
    .map((item) => {
      const { events: _, ...texts } = (item.others || []).find((other) => meets(other.events, words)) || {};
      const fields = (item.fields || []).filter((field) => !field.when || meets(field.when, asking));
      return { ...item, ...texts, fields };
    });
}

// Places to stand, in order; short neighbors share one, as on paper.
function placesOf(items) {
  const found = [];
  for (const item of items) {
    const last = found.at(-1);
    if (last && last.stand === item.stand) last.items.push(item);
    else found.push({ stand: item.stand, name: item.stand, items: [item] });
  }
  const places = [];
  for (const place of found) {
    const last = places.at(-1);
    const sum = last ? last.items.length + place.items.length : MOST + 1;
    const restoreBegins = last && place.items[0].restores && !last.items[0].restores;
    if (sum <= MOST && !restoreBegins && Math.min(last.items.length, place.items.length) < LEAST) {
      last.items.push(...place.items);
      last.name += `, ${place.name}`;
    } else places.push({ ...place, items: [...place.items] });
  }
  const first = places.findIndex((place) => place.items.some((item) => item.restores));
  places.forEach((place, number) => (place.isLast = first >= 0 && number >= first));
  return places;
}

// What counts now: `live` holds the answer of each item, `earlier` those that a restart has made history.
function stateOf(acts) {
  const state = { live: {}, earlier: {}, breaks: [], signed: [], begun: null, left: null };
  for (const act of [...acts].sort((one, other) => one.n - other.n)) {
    const { body } = act;
    if (act.kind === "walk-begun") state.begun ||= act;
    else if (act.kind === "walk-answer") state.live[body.item] = act;
    else if (act.kind === "walk-signed") state.signed.push(act);
    else if (act.kind === "walk-left") state.left = act;
    else if (act.kind === "walk-break") {
      state.breaks.push(act);
      if (body.again.length) state.signed = [];
      for (const id of body.again) {
        if (state.live[id]) state.earlier[id] = state.live[id];
        delete state.live[id];
      }
    }
  }
  if (state.begun && state.begun.about === data.aircraft.id) {
    state.items = itemsFor(state.begun.body.event, state.begun.body.also || []);
    state.places = placesOf(state.items);
    state.done = state.items.filter((item) => state.live[item.id]).length;
  }
  return state;
}

const isDone = (state, place) => place.items.every((item) => state.live[item.id]);
const lastMay = (state) => state.places.every((place) => place.isLast || isDone(state, place));

// The next item without an answer: at this place first, then the places in order, the restore list after all others.
function nextItem(state, from) {
  const here = state.places.find((place) => place.items.some((item) => item.id === from));
  const after = here ? here.items.findIndex((item) => item.id === from) + 1 : 0;
  const order = here ? [...here.items.slice(after), ...here.items.slice(0, after)] : [];
  const others = state.places.filter((place) => !place.isLast || lastMay(state)).flatMap((place) => place.items);
  return [...order, ...others].find((item) => !state.live[item.id]);
}

// Why an item cannot be right yet, in words; empty where nothing speaks against asking it.
function notYet(state, item) {
  const before = (item.after || []).filter((id) => !id.includes(".") && state.live[id]?.body.answer !== OK);
  if (before.length) return `First ${before.join(", ")}: it must be as it should be before this is touched.`;
  const rest = item.rest && data.rests[item.rest];
  if (rest && rest.until && deskTime() < new Date(rest.until)) return `${rest.says} until ${clockOf(rest.until)}.`;
  return "";
}

// From when on being out of sight is asked about: the shortest time for which a rule costs anything.
const noticeAfterS = () => Math.min(60, ...data.restarts.filter((rule) => rule.from_s > 0).map((rule) => rule.from_s));

const sameDay = (moment) => new Date(moment).toDateString() === new Date().toDateString();

async function openWalks() {
  const all = await inStore("readonly", ({ acts }) => asked(acts.getAll()));
  const walks = {};
  for (const act of all) if (act.walk) (walks[act.walk] ||= []).push(act);
  return Object.entries(walks)
    .map(([walk, acts]) => ({ walk, about: acts[0].about, acts, state: stateOf(acts) }))
    .filter(({ state }) => state.begun && !state.signed.length && !state.left);
}
