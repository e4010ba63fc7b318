// Keeps the pages on the device, so that they open where there is no reception. What the server answers under /api
// is never kept here: what is taken along lies in the device's database, where a person put it.
export {};
declare const self: ServiceWorkerGlobalScope;
// Put in by the build: the files of the pages, and a hash of them all.
declare const __FILES__: string[];
declare const __HASH__: string;

/** What the files of one build are kept under; the hash tells which. */
const OF_PAGES = "tussock-pages-";
const KEPT = `${OF_PAGES}${__HASH__}`;
/** A server that does not answer within this is taken for one that is out of reach. */
const PATIENCE_MS = 4000;

/** The Static Routing API, which not every browser has (W3C Service Workers, `InstallEvent.addRoutes`). */
interface Routable {
  addRoutes?(route: { condition: { urlPattern: string }; source: "network" }): Promise<void>;
}

self.addEventListener("install", (event) => {
  // What goes to the server in any case need not come through here first.
  const routed = (event as Routable).addRoutes?.({ condition: { urlPattern: "/api/*" }, source: "network" });
  if (routed) event.waitUntil(routed.catch(() => undefined));
  event.waitUntil(
    caches
      .open(KEPT)
      .then((cache) => cache.addAll(__FILES__.map((file) => new Request(file, { cache: "reload" })))),
  );
});

self.addEventListener("activate", (event) => {
  const tidy = async () => {
    for (const name of await caches.keys())
      if (name !== KEPT && name.startsWith(OF_PAGES)) await caches.delete(name);
    await self.clients.claim();
  };
  event.waitUntil(tidy());
});

/**
 * A file as it is kept, of the first of these builds that has it. A build that came since this worker began is kept
 * by the next worker, which waits until no window of this one is left; a window that was loaded again shows it already.
 */
async function keptIn(names: readonly string[], request: Request | string): Promise<Response | undefined> {
  for (const name of names) {
    const found = await caches.match(request, { cacheName: name });
    if (found !== undefined) return found;
  }
  return undefined;
}

/** The builds that are kept, in the order in which they came. */
const builds = async () => (await caches.keys()).filter((name) => name.startsWith(OF_PAGES));

/**
 * The page as the server has it; where the server does not answer in time, that of the newest build of which every file is
 * kept: what a newer build wrote down is not opened by an older one. The files of a build are put there all at once.
 */
async function page(request: Request): Promise<Response> {
  const kept = await keptIn((await builds()).reverse(), "/");
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

/** A file of this worker's build, or of another that is kept: names tell what is in them, but for a few. */
async function file(request: Request): Promise<Response> {
  const others = (await builds()).filter((name) => name !== KEPT);
  return (await keptIn([KEPT, ...others], request)) ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  const isOurs = event.request.method === "GET" && url.origin === self.location.origin;
  if (!isOurs || url.pathname.startsWith("/api/") || url.pathname === "/metrics") return;
  if (event.request.mode === "navigate") event.respondWith(page(event.request));
  else if (url.pathname.startsWith("/assets/") || __FILES__.includes(url.pathname))
    event.respondWith(file(event.request));
});
