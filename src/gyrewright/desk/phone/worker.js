// The walk-round pages on a phone with no network: the newest page that came whole, else the one kept.
"use strict";
const KEPT = "walk-round-1";
const PATIENCE_MS = 2500;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

async function fresh(request, cache) {
  const ends = new AbortController();
  const clock = setTimeout(() => ends.abort(), PATIENCE_MS);
  try {
    const reply = await fetch(request, { signal: ends.signal });
    // A logged-out request ends at the door with status 200: that is no page of ours.
    if (reply.ok && !reply.redirected) {
      await cache.put(request, reply.clone());
      return reply;
    }
    return (reply.status >= 500 && (await cache.match(request, { ignoreSearch: true }))) || reply;
  } catch (error) {
    const kept = await cache.match(request, { ignoreSearch: true });
    if (kept) return kept;
    throw error;
  } finally {
    clearTimeout(clock);
  }
}

async function steady(request, cache) {
  const kept = await cache.match(request);
  if (kept) return kept;
  const reply = await fetch(request);
  if (reply.ok && !reply.redirected) await cache.put(request, reply.clone());
  return reply;
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { pathname } = new URL(request.url);
  if (request.method !== "GET") {
    // What a page says as it goes is said from here: left to the page, it goes with it.
    if (request.keepalive) event.respondWith(fetch(request));
    return;
  }
  const isPage = pathname.startsWith("/walk/at/") || (pathname === "/walk/" && request.mode === "navigate");
  if (isPage) event.respondWith(caches.open(KEPT).then((cache) => fresh(request, cache)));
  else if (pathname.startsWith("/static/") || pathname.startsWith("/walk/odd/") || pathname === "/walk/later.js") event.respondWith(caches.open(KEPT).then((cache) => steady(request, cache)));
});
