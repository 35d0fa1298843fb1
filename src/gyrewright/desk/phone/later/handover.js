// Handing over: on load, when the network or the page comes back, and by a timer that waits longer after each failure.
// Nothing leaves the queue before a reply names it, and a failure loses nothing.

const LEAST_MS = 2000;
const MOST_MS = 60000;
const BATCH = 200;
const BATCH_BYTES = 1500000;

let pause = LEAST_MS;
let busy = false;
let lastToken = data.pass || "";
let left = ""; // what to say when the page goes

async function within(ms, address, options) {
  const ends = new AbortController();
  const clock = setTimeout(() => ends.abort(), ms);
  try {
    const reply = await fetch(address, { credentials: "same-origin", cache: "no-store", signal: ends.signal, ...options });
    const isJson = (reply.headers.get("content-type") || "").startsWith("application/json");
    if (reply.redirected || !isJson) throw new Error(`unexpected answer ${reply.status}`);
    return { status: reply.status, table: await reply.json() };
  } finally {
    clearTimeout(clock);
  }
}

const headersWith = (token) => ({ "content-type": "application/json", "x-csrftoken": (lastToken = token) });

// The page goes: the desk hears that nothing more is begun here, unless something is still kept.
async function leave() {
  isShowing = false;
  if (waiting || !lastToken || !left) return;
  fetch(data.addresses.handOver, { method: "POST", keepalive: true, credentials: "same-origin", headers: headersWith(lastToken), body: left }).catch(() => {});
}

async function readyToLeave() {
  left = JSON.stringify({ ...(await envelope([], 0)), open: (await openWalks()).map(({ about, walk }) => ({ about, walk })) });
}

const base64 = (buffer) => {
  let text = "";
  const bytes = new Uint8Array(buffer);
  for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  return btoa(text);
};

async function asSent(acts) {
  const jpegs = await inStore("readonly", async ({ photos }) => {
    const found = {};
    for (const id of acts.flatMap((act) => act.photos)) found[id] = await asked(photos.get(id));
    return found;
  });
  return acts.map(({ waiting: _, ...act }) => {
    const there = act.photos.filter((id) => jpegs[id]);
    return { ...act, photos: there.map((id) => ({ id, jpeg: base64(jpegs[id]) })) };
  });
}

// The next acts that fit one exchange, in the order in which they were made.
async function nextBatch(all) {
  const batch = [];
  let bytes = 0;
  for (const act of await asSent(all.sort((one, other) => one.n - other.n).slice(0, BATCH))) {
    bytes += act.photos.reduce((sum, photo) => sum + photo.jpeg.length, 400);
    if (batch.length && bytes > BATCH_BYTES) break;
    batch.push(act);
  }
  return batch;
}

async function envelope(items, left) {
  const open = (await openWalks()).map(({ about, walk }) => ({ about, walk }));
  if (isShowing) open.push({ about: data.aircraft.id, walk: "" });
  const earlier = data.device === device ? "" : data.device;
  const skew_s = Math.round(skew / 1000);
  return { form: 1, device, earlier, now: new Date().toISOString(), waiting: left, open, skew_s, items };
}

async function handOver() {
  if (busy) return;
  busy = true;
  clearTimeout(timer);
  try {
    const token = await within(5000, data.addresses.token);
    if (token.status === 401) {
      loggedOut = true;
      throw new Error("logged out");
    }
    loggedOut = false;
    for (;;) {
      const all = await actsWaiting();
      waiting = all.length;
      const items = await nextBatch(all);
      const body = JSON.stringify(await envelope(items, all.length - items.length));
      const reply = await within(30000, data.addresses.handOver, { method: "POST", headers: headersWith(token.table.token), body });
      if (reply.status !== 200) throw new Error(reply.table.error || `answer ${reply.status}`);
      await acknowledged(reply.table);
      if (!items.length || !reply.table.results.length || waiting === 0) break;
    }
    pause = LEAST_MS;
    // What was answered meanwhile does not wait for the next round.
    handOverSoon(waiting ? LEAST_MS : MOST_MS);
    await readyToLeave();
  } catch (error) {
    silentSince = silentSince || Date.now();
    lastTrouble = String(error.message || error);
    handOverSoon(pause);
    pause = Math.min(pause * 2, MOST_MS);
  } finally {
    busy = false;
    showStatus();
  }
}

async function acknowledged({ now, results }) {
  const kept = results.map(({ id }) => id);
  await inStore("readwrite", async ({ acts, photos, notes }) => {
    for (const id of kept) {
      const act = await asked(acts.get(id));
      if (!act) continue;
      acts.put({ ...act, waiting: 0 });
      for (const photo of act.photos) photos.delete(photo);
    }
    notes.put(Date.now(), "heard");
    notes.put(Date.now() - Date.parse(now), "skew");
  });
  waiting = (await actsWaiting()).length;
  [heard, silentSince, lastTrouble] = [Date.now(), 0, ""];
  skew = Date.now() - Date.parse(now);
  said.push(...results.filter(({ says }) => says).map(({ says }) => says));
}

// Everything that waits, in the form of an exchange, for the desk to read from a file.
async function asFile() {
  const acts = (await actsWaiting()).sort((one, other) => one.n - other.n);
  return new Blob([JSON.stringify(await envelope(await asSent(acts), 0))], { type: "application/json" });
}

function startHandingOver() {
  addEventListener("online", handOver);
  document.addEventListener("visibilitychange", () => document.hidden || handOver());
  addEventListener("pagehide", leave);
  addEventListener("pageshow", (event) => event.persisted && (isShowing = true) && handOver());
  readyToLeave();
  handOver();
}
