// The work in the yard: what was taken along, counts, records, and what it is.
import type { Page } from "playwright-core";
import { opened, type Pictured, type Stage } from "./pictured";

async function takeAlong(stage: Stage): Promise<void> {
  const { page } = stage;
  await opened(stage, "/yard", /yard/);
  await page.getByLabel("Day").fill("2026-07-07");
  await page.getByRole("button", { name: "Take along" }).first().click();
  await page.getByRole("link", { name: /^Count here: / }).waitFor();
}

async function count(page: Page, found: number): Promise<void> {
  await page.getByRole("spinbutton", { name: "Count" }).fill(String(found));
  await page.getByRole("button", { name: "Keep this count" }).click();
}

/** Gives up what is written there, so that the next picture begins anew. */
async function blank({ page, books }: Stage, query = ""): Promise<void> {
  await page.goto("/settings");
  await page.evaluate(
    () =>
      new Promise((resolve) => {
        const asked = indexedDB.open("tussock.yard");
        asked.onsuccess = () => {
          const clearing = asked.result.transaction("drafts", "readwrite");
          clearing.objectStore("drafts").clear();
          clearing.oncomplete = () => {
            asked.result.close();
            resolve(null);
          };
        };
      }),
  );
  await page.goto(`/yard/counts/${books.property}${query}`);
  await page.getByRole("button", { name: "Counting is done" }).waitFor();
}

async function hotSpots(stage: Stage): Promise<void> {
  await blank(stage);
  const { page } = stage;
  await page.getByLabel("Threshold").selectOption("own");
  await page.getByLabel("How many").fill("4");
  await page.getByLabel("On what").fill("1 sq ft");
  await page.getByLabel("Where it was published").fill("invented");
  await page.getByLabel("Pest", { exact: true }).fill("grasshopper");
  const map = page.getByRole("group", { name: /Map of the property/ });
  for (const [at, one] of [12, 7, 3, 1, 0, 14, 8, 2, 1, 0].entries()) {
    await page.getByRole("spinbutton", { name: "Count" }).fill(String(one));
    await map.scrollIntoViewIfNeeded();
    const box = (await map.boundingBox())!;
    const x = box.width / 2 + ((at % 5) - 2) * 28;
    await map.click({ position: { x, y: box.height / 2 + (Math.floor(at / 5) - 0.5) * 90 } });
    await page.getByRole("button", { name: "Without a place" }).waitFor();
    await page.getByRole("button", { name: "Keep this count" }).click();
    await page.getByRole("row", { name: new RegExp(`^${at + 1} ${one} `) }).waitFor();
  }
  await page.getByRole("button", { name: "Look where they are" }).click();
  await page.getByText("inside the heavy dashed line", { exact: false }).first().waitFor();
}

export const YARD: readonly Pictured[] = [
  { name: "yard", route: "/yard", open: takeAlong },
  {
    name: "as-applied",
    route: "/yard/record/:visit",
    open: async ({ page, books }) => {
      await page.goto(`/yard/record/${books.visit}`);
      await page.getByRole("button", { name: "Work is done" }).waitFor();
      const tank = page.getByRole("group", { name: /^Tank \d+$/ }).first();
      await tank.getByRole("radio", { name: "Otherwise" }).check();
      await page.locator("#start-wind").fill("5");
    },
  },
  { name: "counts", route: "/yard/counts/:property", open: (stage) => blank(stage) },
  {
    name: "stop-lines",
    route: "/yard/counts/:property",
    open: async (stage) => {
      await blank(stage, "?pest=southern-chinch-bug");
      await stage.page.getByLabel("Threshold").selectOption({ index: 1 });
      for (const found of [14, 22, 9, 17]) await count(stage.page, found);
      await stage.page.getByRole("img", { name: /^After 4 counts 62 were found/ }).waitFor();
    },
  },
  { name: "hot-spots", route: "/yard/counts/:property", open: hotSpots },
  {
    name: "key",
    route: "/key",
    open: async (stage) => {
      await opened(stage, "/key", "What is it?");
      const { page } = stage;
      await page.getByText("Not named", { exact: true }).waitFor();
      await page.getByLabel("Another question").selectOption("hind-legs");
      await page.getByRole("button", { name: "much thicker and longer than the others" }).click();
      await page.getByLabel("Another question").selectOption("feelers");
      await page.getByText("a thread, clearly shorter than the body").waitFor();
    },
  },
  {
    name: "pest",
    route: "/key/:profile",
    open: async ({ page }) => {
      await page.goto("/key/two-striped-grasshopper");
      await page.getByRole("heading", { level: 2, name: "From how many on" }).waitFor();
    },
  },
];
