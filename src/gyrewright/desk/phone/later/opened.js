// What happens once the page is there: the desk hears of it, and the next opening is provided for.

// What the next opening needs with no network; the service worker renews it.
async function keepPages() {
  navigator.serviceWorker.register(data.addresses.worker, { updateViaCache: "none" });
  const kept = await caches.open("walk-round-1");
  const photos = Object.values(data.odd).flatMap(([, ...addresses]) => addresses);
  for (const address of [location.pathname, data.addresses.later, data.addresses.background, ...photos]) {
    if (await kept.match(address)) continue;
    const reply = await fetch(address, { credentials: "same-origin" });
    if (reply.ok && !reply.redirected) await kept.put(address, reply);
  }
  await tellAtBegin();
}

// What stands on the first screen beside the question: whether it opens again with no network, and what the desk knows.
async function tellAtBegin() {
  const isKept = isSecureContext && (await caches.match(location.pathname)) && (await caches.match(data.addresses.later));
  const place = document.getElementById("told");
  if (!place) return;
  const plain = "Keep this page open: without the hangar's certificate this phone cannot open it again with no network.";
  const kept = isKept ? "Kept on this phone: it opens with no network." : "Not kept on this phone yet: wait a moment.";
  const since = data.since.length > 0 && line(`Since the last walk: ${data.since.join("; ")}.`);
  place.replaceChildren(...[line(isSecureContext ? kept : plain), since, flightLine()].filter(Boolean));
}

// What the desk found, with its own age and end: this phone computes no verdict.
function flightLine() {
  const flight = data.flight;
  if (!flight) return "";
  if (deskTime() > new Date(flight.expires)) return line(`The ${flight.start} flight: what the desk said at ${clockOf(flight.computed)} has expired.`, "soft");
  return line(`The ${flight.start} flight: ${flight.mark}. ${flight.sentence} Computed ${clockOf(flight.computed)}, expires ${clockOf(flight.expires)}.`, "soft");
}

// Acts that the desk has, of walks that have ended, make room after three days.
const KEPT_DAYS = 3;

async function makeRoom() {
  const before = Date.now() - KEPT_DAYS * 86400000;
  await inStore("readwrite", async ({ acts }) => {
    const walks = {};
    for (const act of await asked(acts.getAll())) (walks[act.walk || act.id] ||= []).push(act);
    for (const several of Object.values(walks)) {
      const isOver = !several[0].walk || several.some(({ kind }) => kind === "walk-signed" || kind === "walk-left" || kind === "walk-accepted");
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
