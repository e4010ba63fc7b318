// The focus stays on the page: where the control that had it is taken away, hidden or disabled by what it did, what
// stands nearest has it next, so that a keyboard never starts again from the top.

/** An element on the way up from the control that has the focus, with what stands beside it. */
interface Step {
  element: Element;
  before: Element | null;
  behind: Element | null;
}

const FOCUSABLE =
  "a[href], button, input, select, textarea, summary, [tabindex]:not([tabindex='-1']), [contenteditable]";

function wayUp(from: Element): Step[] {
  const way: Step[] = [];
  for (let element: Element | null = from; element && element !== document.body;) {
    way.push({ element, before: element.previousElementSibling, behind: element.nextElementSibling });
    element = element.parentElement;
  }
  return way;
}

const isShown = (element: Element) => element.isConnected && element.checkVisibility();
const isUsable = (element: Element) => isShown(element) && !element.matches(":disabled");

function firstUsable(within: Element | null): HTMLElement | null {
  if (within === null || !isShown(within)) return null;
  const all = [within, ...within.querySelectorAll(FOCUSABLE)];
  const found = all.find((one) => one.matches(FOCUSABLE) && isUsable(one));
  return found instanceof HTMLElement ? found : null;
}

/** Gives the focus to what has none of its own, as long as it keeps it. */
function hold(element: HTMLElement): void {
  if (!element.hasAttribute("tabindex")) {
    element.tabIndex = -1;
    element.addEventListener("blur", () => element.removeAttribute("tabindex"), { once: true });
  }
  element.focus({ preventScroll: true });
}

/** Watches over the focus until it is told to stop. */
export function keepFocus(): () => void {
  let last: HTMLElement | null = null;
  let way: Step[] = [];
  /** A control that cannot be used for a while, and what holds the focus for it. */
  let waiting: { control: HTMLElement; holder: Element } | null = null;

  const noted = (event: FocusEvent) => {
    if (!(event.target instanceof HTMLElement)) return;
    last = event.target;
    way = wayUp(last);
    if (waiting !== null && waiting.holder !== last) waiting = null;
  };
  // Who presses beside every control lets the focus go.
  const letGo = (event: PointerEvent) => {
    if (!(event.target instanceof Node && last?.contains(event.target))) last = null;
  };

  function look(): void {
    if (waiting !== null && document.activeElement === waiting.holder && isUsable(waiting.control)) {
      const { control } = waiting;
      waiting = null;
      control.focus({ preventScroll: true });
      return;
    }
    if (last === null || isUsable(last)) return;
    const active = document.activeElement;
    if (active !== null && active !== document.body && active !== last) return;
    const at = way.findIndex(({ element }) => isShown(element));
    if (at < 0) return;
    if (at === 0) {
      // It is there and cannot be used: what stands round it tells why, and gives it back.
      const holder = way[1]?.element;
      if (!(holder instanceof HTMLElement)) return;
      const control = last;
      hold(holder);
      waiting = { control, holder };
      return;
    }
    const { before, behind } = way[at - 1]!;
    const stands = way[at]!.element;
    const next = firstUsable(before) ?? firstUsable(behind) ?? firstUsable(stands);
    if (next !== null) next.focus();
    else if (stands instanceof HTMLElement) hold(stands);
  }

  const watch = new MutationObserver(look);
  const attributeFilter = ["disabled", "open", "hidden", "class"];
  watch.observe(document.body, { subtree: true, childList: true, attributes: true, attributeFilter });
  document.addEventListener("focusin", noted);
  document.addEventListener("pointerdown", letGo, true);
  return () => {
    watch.disconnect();
    document.removeEventListener("focusin", noted);
    document.removeEventListener("pointerdown", letGo, true);
  };
}
