// The map of a visit: a corner that was moved is part of what is kept, the way back is too, and a finger moves the page.
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { asked } from "./demo";
import { swipe } from "./hand";
import { mapped, type OnMap } from "./map-support";
import { barriers, closeBrowser, house, reader, sizes, type House } from "./support";

let home: House;
let property: string;
let visit: string;

beforeEach(async () => {
  home = await house();
  const answer = await fetch(`${home.origin}/api/demo`, {
    method: "POST",
    headers: { "idempotency-key": crypto.randomUUID() },
  });
  ({ property, visit } = (await answer.json()) as { property: string; visit: string });
});
afterEach(() => home.stop());
afterAll(closeBrowser);

interface Version {
  version: number;
}
const request = async () => (await asked<{ request: string }>(home, "GET", `/api/visits/${visit}`)).request;
const keptMap = async () => (await asked<{ map: string }>(home, "GET", `/api/properties/${property}`)).map;
const versions = async () =>
  (await asked<Version[]>(home, "GET", `/api/properties/${property}/versions`)).length;

const current = (page: Page) => page.locator(".told[aria-busy=false]").waitFor();

async function planned(page: Page): Promise<OnMap> {
  await page.goto(`/visits/${visit}`);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  await current(page);
  return mapped(page);
}

const button = (page: Page, name: string) => page.getByRole("button", { name, exact: true });
const lawn = (page: Page) => page.getByRole("row", { name: /^lawn .*treated by/ }).innerText();
/** A plan may take longer than a poll waits of itself. */
const PATIENCE = { timeout: 10_000 };
const lawnIs = (page: Page) => expect.poll(() => lawn(page), PATIENCE);
const own = (page: Page) => page.getByText("This visit has a map of its own", { exact: false });

async function push(page: Page, times = 3): Promise<void> {
  const summary = page.locator("summary", { hasText: "Move a corner" });
  if ((await summary.locator("..").getAttribute("open")) === null) await summary.click();
  await page.getByLabel("Shape", { exact: true }).selectOption({ label: "house (Building)" });
  for (let step = 0; step < times; step += 1) await button(page, "North").click();
}

async function keep(page: Page): Promise<void> {
  await current(page);
  await button(page, "Keep the visit").click();
  await page.getByText("The visit is in the books.").waitFor();
}

test.each(sizes)(
  "a corner that was moved is a change: it outlives loading again, is kept, and the way back is kept too: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await planned(page);
    const before = await lawn(page);
    await page.getByText("All is kept.").waitFor();
    expect(await own(page).count()).toBe(0);
    await push(page);
    await own(page).waitFor();
    await page.getByText("Changes are on this device alone.").waitFor();
    expect(await button(page, "Keep the visit").isEnabled()).toBe(true);
    await lawnIs(page).not.toBe(before);
    await current(page);
    const moved = await lawn(page);
    await page.waitForTimeout(600);

    await page.reload();
    await page.getByText("were found on this device", { exact: false }).waitFor();
    await own(page).waitFor();
    await lawnIs(page).toBe(moved);
    expect(await barriers(page)).toEqual([]);

    await keep(page);
    expect(await request()).toContain('property = "drawn.geojson"');
    await planned(page);
    await own(page).waitFor();
    await page.getByText("All is kept.").waitFor();
    expect(await lawn(page)).toBe(moved);

    await button(page, "Back to the property's map").click();
    await lawnIs(page).toBe(before);
    await page.getByText("Changes are on this device alone.").waitFor();
    expect(await own(page).count()).toBe(0);
    await keep(page);
    expect(await request()).toContain('property = "books:property/');
    await planned(page);
    expect(await own(page).count()).toBe(0);
    expect(await lawn(page)).toBe(before);
    expect(await versions()).toBe(1);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "dropping the changes brings back the map that was kept with the visit: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await planned(page);
    const before = await lawn(page);
    await push(page);
    await lawnIs(page).not.toBe(before);
    await current(page);
    const moved = await lawn(page);
    await keep(page);
    await push(page);
    await lawnIs(page).not.toBe(moved);
    await button(page, "Drop the changes").click();
    await lawnIs(page).toBe(moved);
    await page.getByText("All is kept.").waitFor();
    await own(page).waitFor();
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "keeping the map puts the visit back on its property, and a lost answer makes one version: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await planned(page);
    await push(page);
    await keep(page);
    // The map arrives, and its answer does not.
    let lost = 0;
    const keys: string[] = [];
    await page.route(
      (url) => url.pathname === `/api/properties/${property}`,
      async (route) => {
        if (route.request().method() !== "PUT") return route.continue();
        keys.push(route.request().headers()["idempotency-key"] ?? "");
        if (lost > 0) return route.continue();
        lost += 1;
        await route.fetch();
        return route.abort();
      },
    );
    await button(page, "Keep this map").click();
    await page.getByRole("alert").first().waitFor();
    await own(page).waitFor();
    await button(page, "Keep this map").click();
    await page.getByText("The property has this map", { exact: false }).waitFor();
    expect(keys.length).toBe(2);
    expect(keys[0]).toBe(keys[1]);
    expect(await versions()).toBe(2);
    expect(await own(page).count()).toBe(0);
    expect(await button(page, "Keep this map").count()).toBe(0);
    await page.getByText("Changes are on this device alone.").waitFor();
    await keep(page);
    expect(await request()).toContain('property = "books:property/');
    expect(faults.filter((fault) => !fault.includes("net::ERR_FAILED"))).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "a property that somebody changed meanwhile is not overwritten, and the page says so with the way to it: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await planned(page);
    await push(page);
    await own(page).waitFor();
    await page.waitForTimeout(600);
    const address = `${home.origin}/api/properties/${property}`;
    const seen = await fetch(address);
    const document = (await seen.json()) as { map: string };
    const theirs = document.map.replace('"house"', '"home"');
    expect(theirs).not.toBe(document.map);
    const put = await fetch(address, {
      method: "PUT",
      headers: {
        "content-type": "application/json",
        "idempotency-key": crypto.randomUUID(),
        "if-match": seen.headers.get("etag") ?? "",
        origin: home.origin,
      },
      body: JSON.stringify({ ...document, map: theirs }),
    });
    expect(put.status, await put.clone().text()).toBe(200);
    const tell = page
      .getByRole("alert")
      .filter({ hasText: "Somebody kept another version of this property" });
    await button(page, "Keep this map").click();
    await tell.waitFor();
    expect(await tell.getByRole("link").getAttribute("href")).toBe(`/properties/${property}`);
    expect(await barriers(page)).toEqual([]);
    // Loading again does not make it a map of their version.
    await planned(page);
    await button(page, "Keep this map").click();
    await tell.waitFor();
    expect(await keptMap()).toBe(theirs);
    await button(page, "Back to the property's map").click();
    await page.getByText("All is kept.").waitFor();
    await page
      .getByLabel("Shape", { exact: true })
      .locator("option", { hasText: "home" })
      .waitFor({ state: "attached" });
    expect(faults.filter((fault) => !fault.includes("412"))).toEqual([]);
    await context.close();
  },
);

test("on a phone a thumb scrolls past the map, and drags a corner of the shape that it tapped", async () => {
  const { context, page, faults } = await reader(home.origin, "phone");
  const map = await planned(page);
  const before = await lawn(page);
  const view = () => map.target.getAttribute("data-view");
  const scrolled = () => page.evaluate(() => scrollY);
  const middle = async () => {
    await map.target.evaluate((one) => one.scrollIntoView({ block: "center" }));
    await page.waitForTimeout(200);
  };
  const shape = page.getByLabel("Shape", { exact: true });
  // The house's north-west corner: a swipe that begins on it moves the page, and neither corner nor map.
  await middle();
  const [stood, seen] = [await scrolled(), await view()];
  const corner = await map.at(30, 85);
  await swipe(page, corner, { x: corner.x, y: corner.y - 150 });
  expect((await scrolled()) - stood).toBeGreaterThan(80);
  expect(await view()).toBe(seen);
  expect(await own(page).count()).toBe(0);
  expect(await shape.inputValue()).toBe("");
  expect(await lawn(page)).toBe(before);

  // Tapped, its corners can be dragged, and the page stays while one is.
  await middle();
  const inside = await map.at(62, 80);
  await page.touchscreen.tap(inside.x, inside.y);
  await expect.poll(() => shape.locator("option:checked").textContent(), PATIENCE).toBe("house (Building)");
  // What is told above the map makes room for itself; the map must not move on the screen.
  const top = async () => (await map.target.boundingBox())!.y;
  const still = await top();
  const held = await map.at(30, 85);
  await swipe(page, held, { x: held.x, y: held.y - 30 });
  await own(page).waitFor();
  expect(Math.abs((await top()) - still)).toBeLessThan(2);
  expect(await view()).toBe(seen);
  await lawnIs(page).not.toBe(before);

  // Beside its corners the page moves as before.
  const beside = await map.at(100, 45);
  await swipe(page, beside, { x: beside.x, y: beside.y - 150 });
  expect(still - (await top())).toBeGreaterThan(80);

  // One step back is the whole drag.
  await button(page, "Undo the last move").tap();
  await lawnIs(page).toBe(before);
  await page.getByText("All is kept.").waitFor();
  expect(await own(page).count()).toBe(0);
  expect(await button(page, "Undo the last move").isDisabled()).toBe(true);

  // Two fingers move the map, and not the page.
  await middle();
  const [here, shown] = [await top(), await view()];
  const hand = await map.at(5, 5);
  await swipe(page, hand, { x: hand.x, y: hand.y - 60 }, 2);
  expect(await view()).not.toBe(shown);
  expect(Math.abs((await top()) - here)).toBeLessThan(2);
  expect(await own(page).count()).toBe(0);
  expect(faults).toEqual([]);
  await context.close();
});

test("at a desk a corner is dragged straight away, and each drag is one step back, by keys too", async () => {
  const { context, page, faults } = await reader(home.origin, "desk");
  const map = await planned(page);
  await map.target.scrollIntoViewIfNeeded();
  const before = await lawn(page);
  await map.drag([30, 85], [30, 91]);
  await own(page).waitFor();
  await current(page);
  await lawnIs(page).not.toBe(before);
  const once = await lawn(page);
  await map.drag([30, 91], [24, 91]);
  await lawnIs(page).not.toBe(once);
  await current(page);
  await page.keyboard.press("ControlOrMeta+z");
  await lawnIs(page).toBe(once);
  await button(page, "Undo the last move").focus();
  await page.keyboard.press("Enter");
  await lawnIs(page).toBe(before);
  await page.getByText("The last move was taken back.").waitFor();
  await page.getByText("All is kept.").waitFor();
  // In a field the keys are the field's own.
  await map.target.scrollIntoViewIfNeeded();
  await map.drag([30, 85], [30, 91]);
  await lawnIs(page).toBe(once);
  await page.locator(".asked summary", { hasText: "Property, day and people" }).click();
  await page.locator("#name").focus();
  await page.keyboard.press("ControlOrMeta+z");
  await page.waitForTimeout(300);
  await own(page).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});
