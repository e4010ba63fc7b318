// What every test does that records a visit in the yard.
import type { Page } from "playwright-core";
import { expect } from "vitest";
import { onDevice } from "./support";

export const done = (page: Page) => page.getByRole("button", { name: "Work is done" });

/** Opens the form of a record; the visit is fetched to the device by that. */
export async function recording(page: Page, visit: string): Promise<void> {
  await page.goto(`/yard/record/${visit}`);
  await done(page).waitFor();
}

/** Says that all that is not told went as planned. */
export async function sayAsPlanned(page: Page): Promise<void> {
  await page.getByRole("radio", { name: "All went as planned" }).check();
}

/** Waits until the device has nothing left that waits: by its store, since a list on the screen may be one from before. */
export async function isDelivered(page: Page): Promise<void> {
  const nothing = page.getByText("Nothing waits: the server has everything.");
  // The list comes after the deed is written down, so that an empty store is one that was emptied.
  await page.waitForURL(/\/yard$/);
  const isEmpty = async () => (await onDevice(page))["tussock.yard/waiting"] === "[]";
  await expect.poll(isEmpty, { timeout: 30_000 }).toBe(true);
  await nothing.waitFor();
}
