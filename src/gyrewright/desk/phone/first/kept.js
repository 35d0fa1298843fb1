// What this phone keeps. Everything a person does is an act, stored before the page shows it as done, and held until
// the desk has named it in a reply.
//
// An act: { id, kind, about, walk, at, n, person, body, photos, waiting }
//   id      made here; the desk stores each once
//   kind    "walk-answer" and so on; the desk takes the kinds it knows and keeps the rest as they came
//   about   the aircraft
//   walk    the walk it belongs to, or ""
//   at, n   this phone's own clock, and its own count of acts
//   body    what the act says; photos are named by id and lie beside, as JPEG
//   waiting 1 until the desk has it, then 0
//
// keep(kind, body, { walk, photos }) stores one and resolves once it is on disk; the queue hands it over by itself.
// Another file may keep acts of further kinds in the same way.

const data = JSON.parse(document.getElementById("data").textContent);
let store;

const asked = (request) =>
  new Promise((done, fail) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
  });

async function openStore() {
  const request = indexedDB.open("gyrewright", 1);
  request.onupgradeneeded = () => {
    const acts = request.result.createObjectStore("acts", { keyPath: "id" });
    acts.createIndex("waiting", "waiting");
    acts.createIndex("walk", "walk");
    request.result.createObjectStore("photos");
    request.result.createObjectStore("notes");
  };
  store = await asked(request);
  store.onversionchange = () => store.close();
}

// Runs `work` in one transaction and resolves with its value only when the whole of it is on disk.
function inStore(mode, work) {
  return new Promise((done, fail) => {
    const transaction = store.transaction(["acts", "photos", "notes"], mode, { durability: "strict" });
    let value;
    transaction.oncomplete = () => done(value);
    transaction.onabort = () => fail(transaction.error || new Error("nothing was stored"));
    const [acts, photos, notes] = ["acts", "photos", "notes"].map((name) => transaction.objectStore(name));
    work({ acts, photos, notes }).then(
      (found) => (value = found),
      (error) => {
        fail(error);
        try {
          transaction.abort();
        } catch {}
      },
    );
  });
}

// crypto.randomUUID is not there on a page without https.
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((each) => each.toString(16).padStart(2, "0")).join("");
  return hex.replace(/(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

async function keep(kind, body, { walk = "", photos = [] } = {}) {
  const act = { id: newId(), kind, about: data.aircraft.id, walk, at: new Date().toISOString(), n: 0 };
  Object.assign(act, { person: data.person, body, photos: photos.map((each) => each.id), waiting: 1 });
  await inStore("readwrite", async ({ acts, photos: jpegs, notes }) => {
    act.n = ((await asked(notes.get("n"))) || 0) + 1;
    notes.put(act.n, "n");
    acts.put(act);
    for (const each of photos) jpegs.put(each.jpeg, each.id);
  });
  waiting += 1;
  handOverSoon(1500);
  return act;
}

const note = (name) => inStore("readonly", ({ notes }) => asked(notes.get(name)));
const putNote = (name, value) => inStore("readwrite", async ({ notes }) => void notes.put(value, name));
const actsOf = (walk) => inStore("readonly", ({ acts }) => asked(acts.index("walk").getAll(walk)));
const actsWaiting = () => inStore("readonly", ({ acts }) => asked(acts.index("waiting").getAll(1)));

// The phone's own id; a page given out under another is made known to the desk as this phone's.
async function ownId() {
  const known = await note("device");
  if (!known) await putNote("device", data.device);
  document.cookie = `gyrewright_phone=${known || data.device}; path=/; max-age=63072000; samesite=strict`;
  return known || data.device;
}
