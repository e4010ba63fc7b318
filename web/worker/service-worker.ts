// Keeps the pages on the device, so that they open where there is no reception. What the server answers under /api
// is never kept here: what is taken along lies in the device's database, where a person put it.
export {};
declare const self: ServiceWorkerGlobalScope;
// Put in by the build: the files of the pages, and a hash of them all.
declare const __FILES__: string[];
declare const __HASH__: string;

const KEPT = `tussock-pages-${__HASH__}`;
/** A server that does not answer within this is taken for one that is out of reach. */
const PATIENCE_MS = 4000;

/** Not every browser has it, nor the list of types. */
interface WithRoutes {
  addRoutes?: (routes: { condition: { urlPattern: string }; source: "network" }[]) => Promise<void>;
}

self.addEventListener("install", (event) => {
  // What is asked of the server goes there straight: the way through here takes longer than a drag has.
  const { addRoutes } = event as WithRoutes;
  if (addRoutes) {
    const routes = [{ condition: { urlPattern: "/api/*" }, source: "network" as const }];
    event.waitUntil(addRoutes.call(event, routes));
  }
  event.waitUntil(
    caches
      .open(KEPT)
      .then((cache) => cache.addAll(__FILES__.map((file) => new Request(file, { cache: "reload" })))),
  );
});

self.addEventListener("activate", (event) => {
  const tidy = async () => {
    for (const name of await caches.keys())
      if (name !== KEPT && name.startsWith("tussock-pages-")) await caches.delete(name);
    await self.clients.claim();
  };
  event.waitUntil(tidy());
});

/** The page as the server has it; as it is kept where the server does not answer in time. */
async function page(request: Request): Promise<Response> {
  const kept = await caches.match("/", { cacheName: KEPT });
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), kept === undefined ? 60_000 : PATIENCE_MS);
  try {
    const answer = await fetch(request, { signal: stop.signal });
    // A proxy that stands before a server that is down answers for it.
    return answer.status >= 502 && kept !== undefined ? kept : answer;
  } catch (error) {
    if (kept === undefined) throw error;
    return kept;
  } finally {
    clearTimeout(timer);
  }
}

async function file(request: Request): Promise<Response> {
  return (await caches.match(request, { cacheName: KEPT })) ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  const isOurs = event.request.method === "GET" && url.origin === self.location.origin;
  if (!isOurs || url.pathname.startsWith("/api/") || url.pathname === "/metrics") return;
  if (event.request.mode === "navigate") event.respondWith(page(event.request));
  else if (url.pathname.startsWith("/assets/") || __FILES__.includes(url.pathname))
    event.respondWith(file(event.request));
});
