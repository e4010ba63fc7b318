// A page as it stands, in every look: what bars the way to it, and how it is laid out.
import type { Page } from "playwright-core";
import { expect } from "vitest";
import { layoutFaults } from "./layout";
import { LOOKS, barriers, type Look } from "./support";

/** Changes the look as another window of the browser would: what stands on the page stays. */
async function wear(page: Page, look: Look): Promise<void> {
  await page.evaluate((look) => {
    const key = "tussock.settings/1";
    const kept = JSON.parse(localStorage.getItem(key) ?? "{}") as object;
    const newValue = JSON.stringify({ ...kept, look });
    localStorage.setItem(key, newValue);
    dispatchEvent(new StorageEvent("storage", { key, newValue }));
  }, look);
  await expect.poll(() => page.evaluate(() => document.documentElement.dataset.look)).toBe(look);
}

/** What is wrong with a page as it stands, in each look; it wears the first one again in the end. */
export async function faultsInLooks(page: Page, what: string): Promise<string[]> {
  const faults: string[] = [];
  for (const look of LOOKS) {
    await wear(page, look);
    const found = [...(await barriers(page)), ...(await layoutFaults(page))];
    const wide = await page.evaluate(() => {
      const all = [document.documentElement, ...document.querySelectorAll("dialog[open]")];
      return Math.max(...all.map(({ scrollWidth, clientWidth }) => scrollWidth - clientWidth));
    });
    if (wide > 0) found.push(`it is ${wide} px wider than the screen`);
    faults.push(...found.map((one) => `${what} in ${look}: ${one}`));
  }
  await wear(page, LOOKS[0]);
  return faults;
}
