// What the page shows: one screen at a time, what to read on top, what to touch below.

const main = document.getElementById("walk");
const status = document.getElementById("status");

// Makes an element; names that begin with "on" are listeners, others properties or, with a dash, attributes.
function el(name, given, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(given || {})) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (key.includes("-") || key === "role" || key === "for") made.setAttribute(key, value);
    else made[key] = value;
  }
  made.append(...inside.flat().filter((each) => each !== "" && each != null && each !== false));
  return made;
}

// A second touch that was meant for the screen before must not answer the next one.
const SETTLE_MS = 350;
let shownAt = 0;
const button = (text, work, more = {}) =>
  el("button", { ...more, type: "button", onclick: (event) => event.timeStamp - shownAt > SETTLE_MS && work(event) }, text);

function show(...parts) {
  main.replaceChildren(...parts.flat().filter(Boolean));
  shownAt = performance.now();
  scrollTo(0, 0);
  const first = main.querySelector("h1");
  if (first) first.focus();
  showStatus();
  tellMore();
}

// Says when there is more to read than the screen holds.
function tellMore() {
  const [text, more] = [main.querySelector(".text"), document.getElementById("more")];
  if (!text || !more) return;
  more.hidden = text.getBoundingClientRect().bottom <= more.parentNode.getBoundingClientRect().top + 1;
  more.textContent = "more below";
}
addEventListener("scroll", tellMore, { passive: true });

// The rest of the script comes after this page, so that the page itself is small.
const rest = new Promise((done, fail) => {
  document.head.append(el("script", { onload: done, onerror: fail, src: data.addresses.later }));
});
rest.catch(() => {});
const later = (work) => rest.then(work, () => trouble("That part of the page has not come to this phone yet. What was answered is kept."));
const overview = () => later(() => showOverview());

const title = (text) => el("h1", { tabIndex: -1 }, text);
const line = (text, kind = "") => text && el("p", { className: kind }, text);
const clockOf = (moment) => new Date(moment).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: data.zone });
const spell = (ms) => {
  const min = Math.floor(ms / 60000);
  return min < 1 ? "under 1 min" : min < 120 ? `${min} min` : `${Math.floor(min / 60)} h`;
};

function showStatus() {
  const kept = waiting ? `${waiting} kept here` : "all handed over";
  const net = loggedOut ? "logged out" : silentSince ? `${navigator.onLine ? "no answer" : "no network"} ${spell(Date.now() - silentSince)}` : `heard ${clockOf(deskTime(heard))}`;
  status.replaceChildren(el("span", {}, kept), el("span", {}, net));
}

// --- the frame of an item ---

const SHAPES = { [OK]: "ok", [NOT]: "not", [NO_LOOK]: "no" };
const shapeOf = (state, item) => SHAPES[state.live[item.id]?.body.answer] || "open";

function marks(state, place) {
  const words = Object.entries({ ok: OK, not: NOT, no: NO_LOOK, open: "still to do" })
    .map(([shape, word]) => [place.items.filter((item) => shapeOf(state, item) === shape).length, word])
    .filter(([count]) => count)
    .map(([count, word]) => `${count} ${word}`);
  const label = `${place.name}: ${words.join(", ")}`;
  return el("div", { className: "marks", role: "img", "aria-label": label }, place.items.map((item) => el("i", { className: shapeOf(state, item) })));
}

const head = (state, place, open) =>
  el("header", {}, button(place.name, open, { className: "place" }), el("span", { className: "count" }, `${state.done} of ${state.items.length}`));

const CLASSES = { G: "stops the flight", L: "limits the flight", N: "is noted" };
const AWAY = {
  fuel: "No phone at the fuel: look, step back, then answer.",
  propeller: "No phone at the propeller: look, step back, then answer.",
  "engine running": "Engine running: do it, stop and look up, then answer.",
};

function itemText(state, item) {
  const [odd, ...photos] = data.odd[item.id] || [];
  const isHardest = data.hardest && data.hardest.item === item.id;
  return [
    line(`${item.id} · ${CLASSES[item.class]}${item.helper ? " · two people" : ""}. ${item.where}.`, "soft"),
    title(item.name),
    isHardest && line(`Look hardest here today. ${data.hardest.why}`, "hardest"),
    line(item.caution, "caution"),
    item.phone && line(AWAY[item.phone], "caution"),
    el("p", { className: "do" }, el("b", {}, "Do "), item.do),
    el("p", { className: "do" }, el("b", {}, "Right "), item.right),
    line(notYet(state, item), "caution"),
    odd && line(`Odd but right on this one: ${odd}`, "odd"),
    photos.map((src) => el("img", { src, alt: odd })),
    state.earlier[item.id] && line(`Before the restart, ${clockOf(deskTime(Date.parse(state.earlier[item.id].at)))}: ${state.earlier[item.id].body.answer}. It no longer counts.`, "soft"),
  ];
}

// --- readings ---

function fieldFor(field, given) {
  const id = `f-${field.key}`;
  const label = el("label", { for: id }, field.name + (field.optional ? " (if any)" : ""));
  if (field.kind === "word") {
    const chosen = new Set(given ? given.split(", ") : []);
    const words = field.words.map((word) => {
      const each = button(word, () => {
        if (!field.several) [...chosen].filter((other) => other !== word).forEach((other) => chosen.delete(other));
        chosen.has(word) ? chosen.delete(word) : chosen.add(word);
        words.forEach((other, number) => other.setAttribute("aria-pressed", chosen.has(field.words[number])));
      }, { className: "word", "aria-pressed": String(chosen.has(word)) });
      return each;
    });
    const group = el("div", { className: "field", role: "group", "aria-label": field.name }, el("span", {}, field.name), words);
    return { node: group, first: words[0], text: () => [...chosen].join(", ") };
  }
  const [typed, unit] = given && field.unit ? [given.slice(0, given.indexOf(" ")), given.slice(given.indexOf(" ") + 1)] : [given || "", field.unit];
  const mode = field.kind === "quantity" ? "decimal" : field.kind === "count" ? "numeric" : "text";
  const input = el("input", { id, value: typed, inputMode: mode, autocomplete: "off", type: field.kind === "date" ? "date" : "text", enterKeyHint: "done" });
  const units = field.unit && el("select", { "aria-label": `unit of ${field.name}` }, data.units[field.of].map((each) => el("option", { selected: each === unit }, each)));
  const text = () => (input.value.trim() && units ? `${input.value.trim().replace(",", ".")} ${units.value}` : input.value.trim());
  return { node: el("div", { className: "field" }, label, el("div", { className: "typed" }, input, units)), first: input, text };
}

// What is odd about a reading, in words: it is kept as typed all the same.
function oddReading(field, text) {
  if (!text) return field.optional ? "" : `Write ${field.name} first.`;
  if (field.kind !== "quantity" && field.kind !== "count") return "";
  const value = Number(text.split(" ")[0]);
  if (!Number.isFinite(value) || (field.kind === "count" && !/^\d+$/.test(text))) return `${field.name}: "${text}" is no number.`;
  const [low, high] = field.bounds || [];
  if (field.bounds && (!field.unit || text.endsWith(` ${field.unit}`)) && (value < low || value > high))
    return `${field.name}: ${text} is outside what is believed, ${low} to ${high} ${field.unit || ""}. Touch again to keep it as it is.`;
  return "";
}
