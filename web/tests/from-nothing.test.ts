// One path by pointer, as somebody goes it who has only the demo's label and sprayer: a property drawn from nothing, a
// visit on it, and its sheet.
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { asked, demoFile } from "./demo";
import { draw, openAt, save, shape, squareFeet, until } from "./map-support";
import { barriers, closeBrowser, house, keptThing, reader, sizes, type House } from "./support";

afterAll(closeBrowser);

/** The demo's label and sprayer, as somebody kept them before. */
async function shelf(home: House): Promise<void> {
  await keptThing(home.origin, "/api/labels", {
    format: "tussock.kept-label/1",
    id: "brackwater-sc",
    label: demoFile("labels/brackwater-sc.toml"),
  });
  await keptThing(home.origin, "/api/equipment", {
    format: "tussock.kept-equipment/1",
    name: "Hand pump (invented)",
    equipment: demoFile("alder-bend/equipment.toml"),
  });
}

const rectangle = (east: number, north: number, width: number, depth: number): [number, number][] => [
  [east, north],
  [east + width, north],
  [east + width, north + depth],
  [east, north + depth],
];

async function opened(page: Page, title: string): Promise<void> {
  const summary = page.locator(".asked summary", { hasText: title });
  if ((await summary.locator("..").getAttribute("open")) === null) await summary.click();
}

test.each(sizes)(
  "a house and a lawn are drawn, a visit is planned on them and kept, and its sheet is printed: %s",
  async (size) => {
    const home = await house();
    await shelf(home);
    const { context, page, faults } = await reader(home.origin, size);

    // A house in the corner of the lot, and the lawn round it; corners snap to those that are there.
    const map = await openAt(page);
    await draw(page, map, "boundary", rectangle(0, 0, 100, 80));
    await shape(page, "Boundary").waitFor();
    await draw(page, map, "structure", rectangle(0, 0, 40, 24));
    await shape(page, "Building").waitFor();
    await draw(page, map, "turf", [
      [40, 0],
      [100, 0],
      // On the edge of the lot, where it has no corner: snapped to it, and written to a tenth of a millimetre.
      [100, 45],
      [100, 80],
      [55, 80],
      [0, 80],
      [0, 24],
      [40, 24],
    ]);
    await shape(page, "Turf").waitFor();
    const drawn = await until(() => squareFeet(page, "Building"), Number.isFinite);
    // A press lands on a whole pixel of the screen: some inches at this scale.
    expect(Math.abs(drawn - 960) / 960).toBeLessThan(0.05);
    expect(await barriers(page)).toEqual([]);
    await page.getByLabel("Name", { exact: true }).fill("Drawn from nothing");
    await save(page);
    await page.waitForURL(/\/properties\/[0-9a-f-]{36}$/);

    await page.getByRole("link", { name: "Plan a visit here" }).click();
    await page.getByRole("heading", { level: 1, name: "Drawn from nothing" }).waitFor();
    await page.locator("#date").fill("2026-07-07");
    await opened(page, "What was found");
    await page.locator("#pest").fill("grasshopper");
    await page.locator("#stage").fill("nymph");
    await page.locator("#basis").fill("caught in a net");
    await page.getByRole("button", { name: "Add a task" }).click();
    await page.locator("#task-0-id").fill("front lawn");
    await page.locator("#task-0-calibration").selectOption("lawn");
    await opened(page, "Labels and sprayer");
    await page.getByLabel("Take in a forecast file").setInputFiles({
      name: "forecast.csv",
      mimeType: "text/csv",
      buffer: Buffer.from(demoFile("alder-bend/forecast.csv")),
    });
    await page
      .getByText(/^Start between \d\d:\d\d and \d\d:\d\d\.$/)
      .first()
      .waitFor();
    await page.locator(".told[aria-busy=false]").waitFor();
    expect(await page.locator(".whole").getAttribute("data-verdict")).not.toBe("refused");
    await page.getByRole("button", { name: "Keep the visit" }).click();
    await page.waitForURL(/\/visits\/[0-9a-f-]{36}$/);
    await page.getByText("All is kept.").waitFor();

    // The lawn is the lot without the house.
    const row = await page.getByRole("row", { name: /^turf .*treated by front lawn/ }).innerText();
    const treated = Number(/([\d,]+) sq ft/.exec(row)?.[1]?.replaceAll(",", ""));
    expect(Math.abs(treated - (8000 - 960)) / 7040).toBeLessThan(0.05);

    // Each zone is ground that somebody can tell: no seam between two outlines is one.
    const zones = page
      .getByRole("table", { name: "Zones: every square foot once" })
      .locator("tbody td:nth-child(2)");
    const areas = (await zones.allInnerTexts()).map((text) =>
      Number(/^[\d,.]+/.exec(text)?.[0]?.replaceAll(",", "")),
    );
    expect(areas.length).toBe(2);
    expect(Math.min(...areas)).toBeGreaterThan(100);

    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Work sheet (PDF)" }).click(),
    ]);
    const sheet = readFileSync(await download.path());
    expect(sheet.subarray(0, 5).toString()).toBe("%PDF-");
    expect(sheet.length).toBeGreaterThan(10_000);
    await page.getByRole("link", { name: "Print sheet" }).click();
    await page.waitForURL(/\/print$/);
    const picture = page.getByRole("img", { name: /^Map of Drawn from nothing/ });
    await picture.waitFor();
    await expect
      .poll(() => picture.evaluate((one) => (one as HTMLImageElement).naturalWidth))
      .toBeGreaterThan(0);
    await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
    await page.emulateMedia({ media: "print" });
    expect(await picture.isVisible()).toBe(true);
    expect(await page.getByRole("button", { name: "Print", exact: true }).isVisible()).toBe(false);
    await page.emulateMedia({ media: null });
    expect(await barriers(page)).toEqual([]);

    const { entries } = await asked<{ entries: { title: string }[] }>(home, "GET", "/api/visits");
    expect(entries.map(({ title }) => title)).toEqual(["Drawn from nothing"]);
    expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
    await context.close();
    await home.stop();
  },
);
