// Keeps the page and the last looks at hangar, builds and drawings, so that a
// reload works while the server is away. What it serves from there is marked
// with Fledge-Kept; computing, writing, jobs and events always need the server.
const shelf = "fledge-kept-1";
const lookable = /^\/api\/(hello|hangar|terms|questions|builds\/[^/]+(\/drawing)?)$/;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (e) => e.waitUntil((async () => {
  for (const k of await caches.keys()) if (k !== shelf) await caches.delete(k);
  await self.clients.claim();
})()));

// What the page had before this worker was there.
self.addEventListener("message", (e) => {
  const asked = Array.isArray(e.data?.keep) ? e.data.keep : [];
  e.waitUntil(Promise.all(asked.map((u) => new URL(u)).filter((u) => u.origin === self.location.origin).map((u) => {
    const request = new Request(u);
    return (u.pathname.startsWith("/assets/") ? kept(request) : u.pathname === "/" || lookable.test(u.pathname) ? fresh(request, false) : Promise.resolve()).catch(() => undefined);
  })));
});

self.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/api/")) {
    if (lookable.test(url.pathname)) e.respondWith(fresh(e.request, true));
    return;
  }
  if (url.pathname.startsWith("/assets/")) e.respondWith(kept(e.request));
  else e.respondWith(fresh(e.request, false));
});

/** The server's answer, kept for later; without a server, what was kept. */
async function fresh(request, mark) {
  const c = await caches.open(shelf);
  try {
    const r = await fetch(request);
    if (r.ok) await c.put(request, await dated(r.clone()));
    return r;
  } catch (e) {
    const old = await c.match(request) ?? (request.mode === "navigate" ? await c.match("/") : undefined);
    if (!old) throw e;
    if (!mark) return old;
    const h = new Headers(old.headers);
    h.set("Fledge-Kept", h.get("Fledge-Put") ?? new Date().toISOString());
    return new Response(old.body, { status: old.status, headers: h });
  }
}

async function dated(r) {
  const h = new Headers(r.headers);
  h.set("Fledge-Put", new Date().toISOString());
  return new Response(await r.blob(), { status: r.status, headers: h });
}

/** Assets carry a hash in their name: once kept, always right. */
async function kept(request) {
  const c = await caches.open(shelf);
  const old = await c.match(request);
  if (old) return old;
  const r = await fetch(request);
  if (r.ok) {
    await c.put(request, r.clone());
    // One page's assets at a time: older ones are let go.
    const all = (await c.keys()).filter((k) => new URL(k.url).pathname.startsWith("/assets/"));
    for (const k of all.slice(0, Math.max(0, all.length - 24))) await c.delete(k);
  }
  return r;
}
