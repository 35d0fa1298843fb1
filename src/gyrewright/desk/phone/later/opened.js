// What happens once the page is there: the desk hears of it, and the next opening is provided for.

// What the next opening needs with no network; the service worker renews it.
async function keepPages() {
  navigator.serviceWorker.register(data.addresses.worker, { updateViaCache: "none" });
  const kept = await caches.open("walk-round-1");
  for (const address of [location.pathname, data.addresses.later, data.addresses.background]) {
    if (await kept.match(address)) continue;
    const reply = await fetch(address, { credentials: "same-origin" });
    if (reply.ok && !reply.redirected) await kept.put(address, reply);
  }
  await tellKept();
}

async function tellKept() {
  const place = document.getElementById("kept");
  if (!place || !isSecureContext) return;
  const isKept = (await caches.match(location.pathname)) && (await caches.match(data.addresses.later));
  place.textContent = isKept ? "Kept on this phone: it opens with no network." : "Not kept on this phone yet: wait a moment.";
}

// Acts that the desk has, of walks that have ended, make room after three days.
const KEPT_DAYS = 3;

async function makeRoom() {
  const before = Date.now() - KEPT_DAYS * 86400000;
  await inStore("readwrite", async ({ acts }) => {
    const walks = {};
    for (const act of await asked(acts.getAll())) (walks[act.walk || act.id] ||= []).push(act);
    for (const several of Object.values(walks)) {
      const isOver = !several[0].walk || several.some(({ kind }) => kind === "walk-signed" || kind === "walk-left");
      const isOld = several.every((act) => !act.waiting && Date.parse(act.at) < before);
      if (isOver && isOld) several.forEach((act) => acts.delete(act.id));
    }
  });
}

function afterOpening() {
  startHandingOver();
  watchForBreaks();
  fetchBackground().catch(() => {});
  makeRoom().catch(() => {});
  if (isSecureContext) keepPages().catch(() => {});
}
