// What every test does that records a visit in the yard.
import type { Page } from "playwright-core";

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

export const isDelivered = (page: Page) =>
  page.getByText("Nothing waits: the server has everything.").waitFor();
