// Whether treatments worked: the page, from kept counts and records.
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { asked, demoFile, keepDemo } from "./demo";
import { barriers, closeBrowser, house, reader, type House, type Size } from "./support";

const sizes: Size[] = ["phone", "desk"];
let home: House;
let demo: { property: string; visit: string };

beforeEach(async () => {
  home = await house();
  demo = await keepDemo(home);
});
afterEach(() => home.stop());
afterAll(closeBrowser);

async function survey(date: string, counts: number[], check: number[], more: object = {}): Promise<string> {
  const station = (is_check: boolean) => (count: number) => ({ count, is_check });
  const { thing } = await asked<{ thing: string }>(home, "POST", "/api/surveys", {
    format: "tussock.kept-survey/1",
    property: demo.property,
    date,
    pest: "grasshopper",
    method: "frame",
    count_area: "1 sq ft",
    by: "J. Example",
    stations: [...counts.map(station(false)), ...check.map(station(true))],
    ...more,
  });
  return thing;
}

/** The demo's visit, carried out as planned. */
async function record(): Promise<string> {
  const { request } = await asked<{ request: string }>(home, "GET", `/api/visits/${demo.visit}`);
  const files = Object.fromEntries(
    ["forecast.csv", "history.toml"].map((name) => [name, demoFile(`alder-bend/${name}`)]),
  );
  const { kept } = await asked<{ kept: { thing: string } }>(home, "POST", "/api/records/of-visit", {
    visit: request,
    files,
  });
  return kept.thing;
}

async function checked(page: Page, what: string): Promise<void> {
  expect(await barriers(page), what).toEqual([]);
  const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  expect(overflow, `${what}: wider than the screen`).toBeLessThanOrEqual(0);
}

const BEFORE = [2, 3, 4, 2, 1, 3, 2, 5, 3, 2];
const AFTER = [0, 1, 0, 0, 0, 1, 0, 0, 0, 1];
const CHECK = [3, 2, 4, 3, 2, 3, 4, 2];

test.each(sizes)(
  "a treatment is told with its picture, its reasons and what to do next: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/properties/${demo.property}`);
    await page.getByRole("link", { name: "Did it work?" }).click();
    await page.getByText("Nothing was counted or treated here yet.").waitFor();
    await checked(page, `nothing to tell at the size of a ${size}`);
    const kept = await record();
    await page.reload();
    // Treated and not counted: that is no answer, and says what would be one.
    await page.getByText("It cannot be told", { exact: true }).waitFor();
    await page.getByText("nobody counted within 28 days after the treatment").waitFor();
    await page.getByText("count again 3 to 14 days after the treatment", { exact: false }).waitFor();
    await checked(page, `what cannot be told at the size of a ${size}`);
    await survey("2026-07-06", BEFORE, CHECK);
    await survey("2026-07-14", AFTER, CHECK);
    await page.reload();
    await page.locator("article").getByText("It worked", { exact: true }).first().waitFor();
    await page
      .getByText(/^Counted on [^]*7 days after,\s+against the count of [^]*Control 89 %, between/)
      .waitFor();
    await page
      .getByRole("img", { name: /^Control over time: grasshopper.*It worked. Control 89 %/ })
      .waitFor();
    await page.getByText("How it was reckoned").click();
    await page.getByText(/formula of Henderson and Tilton: counted before and after/).waitFor();
    const found = page.getByRole("table", { name: "What was found" });
    expect(
      await found.getByRole("row", { name: /^Treated 27 at 10 stations 3 at 10 stations/ }).count(),
    ).toBe(1);
    await page.getByText("The same as a table").click();
    expect(await page.getByRole("row", { name: /grasshopper .* 3A 10, 8 89 %/ }).count()).toBe(1);
    await page.getByText("Nothing is told yet: it takes four treatments on four days.").waitFor();
    // Three pests left are few: beside the interval, and only there.
    await page.locator("article").getByText("is wider than need be", { exact: false }).waitFor();
    expect(await page.getByText("is wider than need be", { exact: false }).count()).toBe(1);
    expect(await page.getByRole("link", { name: "The record of it" }).getAttribute("href")).toBe(
      `/records/${kept}`,
    );
    await checked(page, `a treatment that worked at the size of a ${size}`);
    // A visit is planned from a count that is kept.
    await page
      .getByRole("link", { name: /^Plan a visit from this count: grasshopper/ })
      .first()
      .click();
    await page.getByLabel("Counts", { exact: true }).waitFor();
    await expect.poll(() => page.locator("#survey").inputValue()).toContain("books:survey/");
    // A visit that asks for nothing yet cannot be planned.
    expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "falling control over many treatments is a sign, with what to rule out first: %s",
  async (size) => {
    const many = [8, 10, 6, 9, 7, 8, 9, 8];
    for (const [at, left] of [0, 0, 1, 2, 3, 5, 6].entries()) {
      const month = String(at + 3).padStart(2, "0");
      await survey(`2026-${month}-02`, many, many);
      await survey(
        `2026-${month}-10`,
        many.map((_, station) => left + (station % 2)),
        many,
        { treated: { on: `2026-${month}-03`, group: "3A" } },
      );
    }
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/properties/${demo.property}/efficacy`);
    await page.getByText("A sign of resistance: control falls for certain", { exact: false }).waitFor();
    await page.getByText("7 treatments on 7 days, 1 property.", { exact: false }).waitFor();
    await page.locator("article").getByText("Less than expected", { exact: true }).first().waitFor();
    expect(await page.getByText("stage: were eggs, large larvae", { exact: false }).count()).toBeGreaterThan(
      0,
    );
    await page
      .getByText("of the latest control are wider than need be. Expected: 12 treatments or more", {
        exact: false,
      })
      .waitFor();
    // The newest treatment stands first.
    expect(await page.locator("article h3").first().innerText()).toMatch(/Treated on .*(Sep|9)/);
    await checked(page, `a sign of resistance at the size of a ${size}`);
    expect(faults).toEqual([]);
    await context.close();
  },
);
