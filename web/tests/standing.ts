// A device that stands somewhere and tells it, as often as a page wants to hear it.
import type { Page } from "playwright-core";

/** Longitude and latitude in degrees, and how far off that may be. */
export interface Stand {
  longitude: number;
  latitude: number;
  accuracy: number;
}

/** So many positions of one stop are enough for the page: it listens no longer than that. */
const ENOUGH = 5;

/** Lets the page take where the device stands as the place of a station. */
export async function standAt(page: Page, { accuracy, ...place }: Stand): Promise<void> {
  await page.context().setGeolocation({ ...place, accuracy });
  await page.getByRole("button", { name: "Where I stand" }).click();
  const placed = page.getByRole("button", { name: "Without a place" });
  for (let heard = 1; heard <= ENOUGH && (await placed.count()) === 0; heard += 1) {
    // What is no other than before is not told again.
    await page.context().setGeolocation({ ...place, accuracy: accuracy + (heard % 2) });
    await page.waitForTimeout(30);
  }
  await placed.waitFor();
}
