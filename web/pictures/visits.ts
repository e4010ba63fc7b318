// Visits: the list, a new one, one with its plan, on paper, two people at it.
import type { Page } from "playwright-core";
import { keptMeanwhile } from "./books";
import { opened, type Pictured, type Stage } from "./pictured";

async function planned(page: Page, path: string): Promise<void> {
  await page.goto(path);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
}
const current = (page: Page) => page.locator(".told[aria-busy=false]").waitFor();

/** The demo's visit as the books have it. */
async function unchanged({ page, books }: Stage): Promise<void> {
  await planned(page, `/visits/${books.visit}`);
  await current(page);
  const drop = page.getByRole("button", { name: "Drop the changes" });
  if (!(await drop.isVisible())) return;
  await drop.click();
  await page.getByText("All is kept.").waitFor();
  await current(page);
}

export const VISITS: readonly Pictured[] = [
  { name: "visits", route: "/visits", open: (stage) => opened(stage, "/visits", "Visits") },
  {
    name: "visit-new",
    route: "/visits/new",
    open: async ({ page, books }) => {
      await page.goto(`/visits/new?property=${books.property}`);
      await page.getByText("the visit has no task", { exact: false }).waitFor();
    },
  },
  {
    name: "visit",
    route: "/visits/:thing",
    open: async ({ page, books }) => {
      await planned(page, `/visits/${books.visit}`);
      await current(page);
    },
  },
  {
    name: "visit-print",
    route: "/visits/:thing/print",
    open: ({ page, books }) => planned(page, `/visits/${books.visit}/print`),
  },
  {
    name: "visit-conflict",
    route: "/visits/:thing",
    open: async (stage) => {
      const { page, books } = stage;
      await unchanged(stage);
      await keptMeanwhile(books.noor, `/api/visits/${books.visit}`, (document) => ({
        ...document,
        request: (document.request as string).replace(/^certification = .*$/m, 'certification = "KS-11111"'),
      }));
      await page.locator(".asked summary", { hasText: "Property, day and people" }).click();
      await page.locator("#certification").fill("KS-22222");
      await page.locator("#name").fill("Alder Bend, by Mara");
      await current(page);
      await page.getByRole("button", { name: "Keep the visit" }).click();
      await page.getByRole("dialog").getByText("noor kept version", { exact: false }).waitFor();
    },
  },
];
