/** Where the reader is: one address for each thing, so that a view can be linked, loaded again and printed. */
export const address = $state({
  path: location.pathname,
  query: location.search,
  /** How often another page was come to. */
  arrivals: 0,
});

function read(): void {
  if (address.path !== location.pathname) address.arrivals += 1;
  address.path = location.pathname;
  address.query = location.search;
}

/** Goes to a page of this house. */
export function go(to: string): void {
  if (to !== location.pathname + location.search) history.pushState(null, "", to);
  const from = address.path;
  read();
  window.scrollTo(0, 0);
  // Whoever listens or tabs is taken to the new page; the first page is where the browser starts anyway.
  if (address.path !== from) document.getElementById("page")?.focus();
}

/**
 * Goes on from the page that is shown now, and only while it is: who left it meanwhile is not pulled away from where they
 * are.
 */
export function fromHere(): (to: string) => void {
  const here = address.arrivals;
  return (to) => {
    if (address.arrivals === here) go(to);
  };
}

/** The page that is shown now stands at another address from then on, as that of what it made; as {@link fromHere}. */
export function standingHere(): (at: string) => void {
  const here = address.arrivals;
  return (at) => {
    if (address.arrivals !== here) return;
    history.pushState(null, "", at);
    address.path = at;
  };
}

/** What the address asks for under this name, which is taken out of it: it is done once, and not at every load. */
export function takeFromAddress(name: string): string | null {
  const query = new URLSearchParams(address.query);
  const asked = query.get(name);
  if (asked === null) return null;
  query.delete(name);
  address.query = query.size === 0 ? "" : `?${query}`;
  history.replaceState(history.state, "", location.pathname + address.query + location.hash);
  return asked;
}

/** Follows links within the house without loading everything again. */
export function followLinks(): () => void {
  const clicked = (event: MouseEvent) => {
    const plain = event.button === 0 && !event.metaKey && !event.ctrlKey && !event.shiftKey && !event.altKey;
    const link = (event.target as Element | null)?.closest?.("a");
    if (event.defaultPrevented || !plain || !link || link.target || link.hasAttribute("download")) return;
    const url = new URL(link.href);
    if (url.origin !== location.origin || url.pathname.startsWith("/api/")) return;
    if (url.hash !== "") {
      // The browser goes there; it takes the focus along to what can have it.
      const target = url.pathname === location.pathname ? document.getElementById(url.hash.slice(1)) : null;
      if (target && target.tabIndex < 0) target.tabIndex = -1;
      return;
    }
    event.preventDefault();
    go(url.pathname + url.search);
  };
  document.addEventListener("click", clicked);
  addEventListener("popstate", read);
  return () => {
    document.removeEventListener("click", clicked);
    removeEventListener("popstate", read);
  };
}
