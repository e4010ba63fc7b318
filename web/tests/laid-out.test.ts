// Every page at both sizes, with what its tools show in turn: nothing lies on a map, is cut off, too small or out of reach.
import type { Locator, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { asked, demoFile, keepDemo } from "./demo";
import { press } from "./hand";
import { layoutFaults } from "./layout";
import { mapped, openAt, shape, tapFirst, tool } from "./map-support";
import { SIZES, closeBrowser, house, reader, sizes, type House } from "./support";

/** East of the demo's lot, on the day of its visit. */
const NEAR =
  "longitude=-97.61951&latitude=38.84018&within_m=91.44&from=2026-07-07T06:00:00-05:00&until=2026-07-07T20:00:00-05:00";
let home: House;
let property: string;
let visit: string;
let record: string;

beforeAll(async () => {
  home = await house();
  ({ property, visit } = await keepDemo(home));
  // The demo's visit carried out as planned, and what was counted before and after it.
  const { request } = await asked<{ request: string }>(home, "GET", `/api/visits/${visit}`);
  const files = Object.fromEntries(
    ["forecast.csv", "history.toml"].map((name) => [name, demoFile(`alder-bend/${name}`)]),
  );
  const order = { visit: request, files, kept: visit };
  const { kept } = await asked<{ kept: { thing: string } }>(home, "POST", "/api/records/of-visit", order);
  record = kept.thing;
  for (const [date, counts] of [
    ["2026-07-06", [2, 3, 4, 2, 1, 3, 2, 5, 3, 2]],
    ["2026-07-14", [0, 1, 0, 0, 0, 1, 0, 0, 0, 1]],
  ] as const)
    await asked(home, "POST", "/api/surveys", {
      format: "tussock.kept-survey/1",
      property,
      date,
      pest: "grasshopper",
      method: "frame",
      count_area: "1 sq ft",
      by: "J. Example",
      stations: counts.map((count) => ({ count, is_check: false })),
    });
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

describe.each(sizes)("at the size of a %s", (size) => {
  const laidOut = async (page: Page, what: string) =>
    expect(await layoutFaults(page), `${what} at the size of a ${size}`).toEqual([]);
  /** The map and a button below it stand on one screen. */
  const onOneScreen = async (page: Page, button: Locator) => {
    const above = (await page.locator(".target").boundingBox())!;
    const below = (await button.boundingBox())!;
    expect(below.y + below.height - above.y, await button.innerText()).toBeLessThan(SIZES[size].height);
  };

  test("the map of a property is never covered, whatever tool is in hand", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/properties/${property}`);
    await mapped(page);
    await laidOut(page, "nothing chosen");
    await onOneScreen(page, tool(page, "Draw"));
    await shape(page, "house").click();
    await tool(page, "Cut a hole").waitFor();
    await laidOut(page, "a shape chosen");
    await onOneScreen(page, tool(page, "Delete"));
    for (const [name, end] of [
      ["Cut a hole", "Give up"],
      ["Split", "Give up"],
      ["Move", "Done moving"],
    ] as const) {
      await tool(page, name).click();
      await tool(page, end).waitFor();
      await laidOut(page, name);
      await onOneScreen(page, tool(page, end));
      await tool(page, end).click();
    }
    await tool(page, "Draw").click();
    await laidOut(page, "drawing");
    await tool(page, "Give up").click();
    await context.grantPermissions(["geolocation"], { origin: home.origin });
    await context.setGeolocation({ latitude: 38.84, longitude: -97.62, accuracy: 4 });
    await page.getByRole("button", { name: "Walk a boundary" }).click();
    await page.getByRole("button", { name: "I stand at a corner" }).click();
    await page.getByRole("button", { name: "Take this corner" }).waitFor();
    await laidOut(page, "walking");
    expect(faults).toEqual([]);
    await context.close();
    const empty = await reader(home.origin, size);
    await openAt(empty.page);
    await laidOut(empty.page, "nothing drawn");
    expect(empty.faults).toEqual([]);
    await empty.context.close();
  });

  test("the map of a visit is never covered, before and after a corner was moved", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/visits/${visit}`);
    await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
    await page.locator(".told[aria-busy=false]").waitFor();
    const map = await mapped(page);
    await laidOut(page, "a visit");
    await tapFirst(page, map, 62, 80);
    await map.drag([30, 85], [30, 91]);
    await page.getByRole("button", { name: "Keep this map" }).waitFor();
    await page.locator("summary", { hasText: "Move a corner" }).click();
    await laidOut(page, "a corner moved");
    expect(faults).toEqual([]);
    await context.close();
  });

  test("the map of counts is never covered, and stands with the counter on one screen", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/yard/counts/${property}`);
    const map = await mapped(page);
    await laidOut(page, "counts");
    await onOneScreen(page, page.getByRole("button", { name: "Keep this count" }));
    await press(page, await map.at(62, 40));
    await page.getByRole("button", { name: "Without a place" }).waitFor();
    await laidOut(page, "a station with its place");
    await page.getByRole("button", { name: "Keep this count" }).click();
    await page.getByLabel("Profile").selectOption("southern-chinch-bug");
    await laidOut(page, "counts with a threshold");
    expect(faults).toEqual([]);
    await context.close();
  });

  test("on no other page is anything cut off, too small or out of reach", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const things = async (kind: string) =>
      (await asked<{ entries: { thing: string }[] }>(home, "GET", `/api/${kind}`)).entries.map(
        ({ thing }) => thing,
      );
    const [[label], [equipment]] = [await things("labels"), await things("equipment")];
    for (const path of [
      "/",
      "/properties",
      "/properties/new",
      `/properties/${property}/versions`,
      "/visits",
      `/visits/new?property=${property}`,
      `/visits/${visit}/print`,
      "/shelf",
      "/shelf/labels/new",
      `/shelf/labels/${label}`,
      "/shelf/equipment/new",
      `/shelf/equipment/${equipment}`,
      "/shelf/stock",
      "/records",
      `/records/${record}`,
      `/records/${record}/amend`,
      "/records/near",
      `/records/near?${NEAR}`,
      `/records/totals?property=${property}&from=2026-01-01&until=2026-12-31`,
      `/properties/${property}/efficacy?pest=grasshopper`,
      "/yard",
      `/yard/record/${visit}`,
      "/key",
      "/key/two-striped-grasshopper",
      "/clients",
      "/clients/new",
      "/business",
      "/people",
      "/my-sign-in",
      "/settings",
    ]) {
      await page.goto(path);
      await page.getByRole("heading", { level: 1 }).waitFor();
      await page.waitForLoadState("networkidle");
      await laidOut(page, path);
    }
    expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
    await context.close();
  });
});
