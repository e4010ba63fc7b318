// What a screen is pressed with: a mouse at a desk, fingers on a phone. Where the two are used otherwise, it stands here.
import type { BrowserContext, Locator, Page } from "playwright-core";

/** A place on the screen, in pixels from its corner. */
export interface Place {
  x: number;
  y: number;
}

const touched = new WeakSet<BrowserContext>();
let isTaught = false;

/** Lets whatever is clicked on the pages of a browser be tapped by a finger, as the library itself would not. */
export function tapsOnly(context: BrowserContext, page: Page): void {
  touched.add(context);
  if (isTaught) return;
  isTaught = true;
  const every = Object.getPrototypeOf(page.locator("body")) as Locator;
  const { click } = every;
  every.click = function (this: Locator, options) {
    return touched.has(this.page().context()) ? this.tap(options) : click.call(this, options);
  };
}

/** How long a hand takes for a step of a drag. */
const STEP_MS = 20;

/** Whether the screen is touched. */
export const isTouched = (page: Page) => page.evaluate(() => navigator.maxTouchPoints > 0);

/** Presses once. */
export async function press(page: Page, { x, y }: Place): Promise<void> {
  if (await isTouched(page)) {
    await page.touchscreen.tap(x, y);
  } else {
    await page.mouse.move(x, y);
    await page.mouse.click(x, y);
  }
}

/** Drags what lies at a place to another one; `during` is done before it is let go. */
export async function drag(page: Page, from: Place, to: Place, during?: () => Promise<void>): Promise<void> {
  if (await isTouched(page)) return fingers(page, from, to, 1, during);
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  for (const { x, y } of between(from, to)) {
    await page.mouse.move(x, y);
    await page.waitForTimeout(STEP_MS);
  }
  await during?.();
  await page.mouse.up();
}

/** Swipes over the glass, and waits until what that moves has come to rest. */
export async function swipe(page: Page, from: Place, to: Place, count = 1): Promise<void> {
  await fingers(page, from, to, count);
  await page.waitForTimeout(400);
}

/** Fingers side by side, as the browser gets them from the glass: what they do besides is the browser's own. */
async function fingers(
  page: Page,
  from: Place,
  to: Place,
  count: number,
  during?: () => Promise<void>,
): Promise<void> {
  const glass = await page.context().newCDPSession(page);
  const hand = ({ x, y }: Place) => Array.from({ length: count }, (_, id) => ({ x: x + id * 60, y, id }));
  const touch = (type: "touchStart" | "touchMove" | "touchEnd", touchPoints: Place[]) =>
    glass.send("Input.dispatchTouchEvent", { type, touchPoints });
  for (let finger = 1; finger <= count; finger += 1) await touch("touchStart", hand(from).slice(0, finger));
  for (const place of between(from, to)) {
    await touch("touchMove", hand(place));
    await page.waitForTimeout(STEP_MS);
  }
  await during?.();
  await touch("touchEnd", []);
  await glass.detach();
}

/** The way from a place to another one, in ten steps. */
const between = (from: Place, to: Place): Place[] =>
  Array.from({ length: 10 }, (_, step) => {
    const share = (step + 1) / 10;
    return { x: from.x + (to.x - from.x) * share, y: from.y + (to.y - from.y) * share };
  });
