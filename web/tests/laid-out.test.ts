// The pages with a map at both sizes, with what their tools show in turn: nothing lies on a map, is cut off, too small or out
// of reach. `every-page.test.ts` looks at every page in one state of it.
import type { Locator, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { keepDemo } from "./demo";
import { press } from "./hand";
import { layoutFaults } from "./layout";
import { mapped, openAt, shape, tapFirst, tool } from "./map-support";
import { SIZES, closeBrowser, house, reader, sizes, type House } from "./support";

let home: House;
let property: string;
let visit: string;

beforeAll(async () => {
  home = await house();
  ({ property, visit } = await keepDemo(home));
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
});
