// The work in the yard: taken along, counted and recorded without reception, delivered exactly once.
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { sayAsPlanned } from "./recording";
import { standAt } from "./standing";
import {
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  onDevice,
  reader,
  type Demo,
  type House,
  type Size,
  sizes,
} from "./support";

let home: House;
let demo: Demo;

beforeEach(async () => {
  home = await house();
  demo = await keepDemo(home.origin);
});
afterEach(() => home.stop());
afterAll(closeBrowser);

/** Takes the demo visit and its property along, and waits until the pages are kept on the device. */
async function takenAlong(size: Size) {
  const opened = await reader(home.origin, size);
  const { page } = opened;
  await page.goto("/yard");
  await page.getByLabel("Day").fill(demo.day);
  await page.getByRole("button", { name: "Take along" }).first().click();
  await page.getByText("One visit is taken along.").first().waitFor();
  await page.evaluate(async () => void (await navigator.serviceWorker.ready));
  await page.reload();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).waitFor();
  return opened;
}

test.each(sizes)("counts made without reception are delivered when there is some: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  await context.grantPermissions(["geolocation"]);
  await context.setOffline(true);
  await page.reload();
  await page.getByText("No reception").waitFor();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
  await page.getByRole("button", { name: "One more" }).click();
  await page.getByRole("button", { name: "One more" }).click();
  await standAt(page, { longitude: -97.6198, latitude: 38.8401, accuracy: 4 });
  // The readings that were averaged are of four and five metres.
  await page
    .getByText(/38\.840100, -97\.619800, to about [45] m/)
    .first()
    .waitFor();
  await page.getByRole("button", { name: "Keep this count" }).click();
  // A tap on the map is a place, too.
  await page.getByRole("spinbutton", { name: "Count" }).fill("5");
  await page.getByRole("group", { name: /Map of the property/ }).click();
  await page.getByRole("button", { name: "Without a place" }).waitFor();
  await page.getByRole("button", { name: "Keep this count" }).click();
  await page.getByText("Station 2: 5 kept.").waitFor({ state: "attached" });
  // The page is closed and opened again: nothing written is lost.
  await page.reload();
  await page.getByRole("row", { name: /^2 5/ }).waitFor();
  await page.getByLabel("Pest").fill("grasshopper");
  const picture = readFileSync(new URL("../public/mark-192.png", import.meta.url));
  await page
    .getByLabel("Add a photo")
    .setInputFiles({ name: "frame.png", mimeType: "image/png", buffer: picture });
  await page.getByRole("img", { name: "Photo 1" }).waitFor();
  await page.getByRole("button", { name: "Counting is done" }).click();
  await page.getByText("waits for reception").first().waitFor();
  expect((await asked(home.origin, "/api/surveys")).entries).toEqual([]);

  await context.setOffline(false);
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  const surveys = (await asked(home.origin, "/api/surveys")).entries as { thing: string }[];
  expect(surveys.length).toBe(1);
  const survey = await asked(home.origin, `/api/surveys/${surveys[0]!.thing}`);
  expect([survey.pest, survey.by]).toEqual(["grasshopper", "owner"]);
  const stations = survey.stations as { count: number; position: { longitude: number; latitude: number } }[];
  expect(stations.map(({ count }) => count)).toEqual([2, 5]);
  expect(stations[0]!.position).toEqual({ longitude: -97.6198, latitude: 38.8401 });
  expect(Math.abs(stations[1]!.position.latitude - 38.8402)).toBeLessThan(0.0005);
  const files = (await asked(home.origin, `/api/files/of/${surveys[0]!.thing}`)) as unknown as unknown[];
  expect(JSON.stringify(files)).toContain("frame.jpg");
  await context.close();
});

/** Work of this day is done whatever the hour; that of the visit's own day would plan it anew. */
const dayBefore = () => new Date(Date.now() - 30 * 3_600_000).toISOString().slice(0, 10);

test.each(sizes)("a record made without reception says what differed: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  await context.setOffline(true);
  await page.reload();
  await page.getByRole("link", { name: `Mix and record: ${demo.name}` }).click();
  await page.locator("#day").fill(dayBefore());
  await page.locator("#started").fill("07:05");
  await page.locator("#ended").fill("08:50");
  await page.locator("#start-wind").fill("4 mph");
  const first = page.getByLabel("Tank 1: area covered").first();
  await first.fill("100");
  await page.getByText("Stop, and look at pace").waitFor();
  await first.fill("");
  await sayAsPlanned(page);
  await page.getByRole("button", { name: "Work is done" }).click();
  await page.getByText("cannot be read").first().waitFor();
  await page.locator("#start-wind").fill("4");
  await page.getByRole("button", { name: "Work is done" }).click();
  await page.getByText("waits for reception").waitFor();
  await context.setOffline(false);
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  const records = (await asked(home.origin, "/api/records")).entries as { thing: string }[];
  expect(records.length).toBe(1);
  const record = await asked(home.origin, `/api/records/${records[0]!.thing}`);
  expect(JSON.stringify(record.started)).toContain("07:05");

  // The same visit recorded by another hand: refused, shown, mended or given up by a person; nothing is overwritten.
  await page.getByRole("link", { name: `Mix and record: ${demo.name}` }).click();
  await page.locator("#day").fill(dayBefore());
  await page.locator("#started").fill("09:00");
  await sayAsPlanned(page);
  await page.getByRole("button", { name: "Work is done" }).click();
  await page.getByText("is recorded already").waitFor();
  // The record that is kept is one press away, and so is to put it right.
  const kept = page.getByRole("link", { name: `Look at the record that is kept: ${demo.name}` });
  expect(await kept.getAttribute("href")).toBe(`/records/${records[0]!.thing}`);
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("link", { name: `Put that record right: ${demo.name}` }).click();
  await page.waitForURL(`**/records/${records[0]!.thing}/amend`);
  await page.getByRole("button", { name: "Keep it as a new version" }).waitFor();
  await page.goBack();
  await page.getByRole("button", { name: "Mend it" }).click();
  expect(await page.locator("#started").inputValue()).toBe("09:00");
  await page.getByRole("button", { name: "Work is done" }).click();
  await page.getByText("is recorded already").waitFor();

  // What was begun since under the same name is not written over, here or in another window.
  const second = await context.newPage();
  await second.goto(`/yard/record/${demo.visit}`);
  await second.locator("#started").fill("10:00");
  await page.getByRole("button", { name: "Mend it" }).click();
  await page.getByText("is open in another window of this browser", { exact: false }).waitFor();
  await second.close();
  await page.getByRole("button", { name: "Mend it" }).click();
  await page.getByText("is begun, and would be written over", { exact: false }).waitFor();
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("link", { name: `Open the form that is begun: ${demo.name}` }).click();
  expect(await page.locator("#started").inputValue()).toBe("10:00");
  await page.goto("/yard");
  await page.getByRole("button", { name: "Mend it" }).click();
  await page.getByRole("button", { name: "Drop what is begun, and mend this one" }).click();
  await page
    .getByRole("dialog")
    .getByRole("button", { name: "Drop what is begun, and mend this one" })
    .click();
  await page.waitForURL(`**/yard/record/${demo.visit}`);
  expect(await page.locator("#started").inputValue()).toBe("09:00");
  await page.getByRole("button", { name: "Work is done" }).click();
  await page.getByRole("button", { name: "Give it up" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Give it up" }).click();
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  expect(((await asked(home.origin, "/api/records")).entries as unknown[]).length).toBe(1);
  await context.close();
});

test.each(sizes)("what waits is read back on another device, once: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  const before = ((await asked(home.origin, "/api/surveys")).entries as unknown[]).length;
  await context.setOffline(true);
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
  await page.getByLabel("Pest").fill("chinch bug");
  await page.getByRole("button", { name: "Keep this count" }).click();
  await page.getByRole("button", { name: "Counting is done" }).click();
  const saved = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save what waits to a file" }).click();
  const path = await (await saved).path();

  const other = await reader(home.origin, size);
  await other.page.goto("/yard");
  await other.page
    .getByLabel("Read such a file back")
    .setInputFiles({ name: "a.json", mimeType: "text/plain", buffer: Buffer.from("{}") });
  await other.page.getByText("This is no file of what waits.").waitFor();
  await other.page.getByLabel("Read such a file back").setInputFiles(path);
  await other.page.getByText("Nothing waits: the server has everything.").waitFor();
  // The first device comes back: the server knows the deed by its key.
  await context.setOffline(false);
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  expect(((await asked(home.origin, "/api/surveys")).entries as unknown[]).length).toBe(before + 1);
  await context.close();
  await other.context.close();
});

test.each(sizes)("a count that stands on the counter is kept or left out by a person: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  const before = ((await asked(home.origin, "/api/surveys")).entries as unknown[]).length;
  const surveys = async () => (await asked(home.origin, "/api/surveys")).entries as { thing: string }[];
  const counter = page.getByRole("spinbutton", { name: "Count" });
  const isDone = page.getByRole("button", { name: "Counting is done" });
  const kept: number[][] = [];
  for (const answer of ["Keep this count too", "Leave it out"]) {
    await page.goto(`/yard/counts/${demo.property}`);
    await page.getByLabel("Pest").fill("sod webworm");
    await counter.fill("3");
    await page.getByRole("button", { name: "Keep this count" }).click();
    await counter.fill("7");
    await isDone.click();
    const asks = page.getByRole("dialog", { name: "One count is not kept yet" });
    await asks.getByText("7 stands on the counter, and is no station yet.").waitFor();
    expect(await barriers(page)).toEqual([]);
    await asks.getByRole("button", { name: "Go on counting" }).click();
    expect(await counter.inputValue()).toBe("7");
    // A place alone is asked for likewise.
    await counter.fill("0");
    await page.getByRole("group", { name: /Map of the property/ }).click();
    await page.getByRole("button", { name: "Without a place" }).waitFor();
    await isDone.click();
    await asks.getByText("0 stands on the counter, with a place, and is no station yet.").waitFor();
    const had = new Set((await surveys()).map(({ thing }) => thing));
    await asks.getByRole("button", { name: answer }).click();
    await page.waitForURL("**/yard");
    await page.getByText("Nothing waits: the server has everything.").waitFor();
    const [own] = (await surveys()).filter(({ thing }) => !had.has(thing));
    const survey = await asked(home.origin, `/api/surveys/${own!.thing}`);
    kept.push((survey.stations as { count: number }[]).map(({ count }) => count));
  }
  expect(kept).toEqual([[3, 0], [3]]);
  expect((await surveys()).length).toBe(before + 2);
  await context.close();
});

test.each(sizes)("one window writes a count, and another says so: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  const drafts = async () => (JSON.parse((await onDevice(page))["tussock.yard/drafts"]!) as unknown[]).length;
  const form = (on: Page) => on.getByRole("button", { name: "Counting is done" });
  await page.goto(`/yard/record/${demo.visit}`);
  await page.getByRole("button", { name: "Work is done" }).waitFor();
  await page.goto(`/yard/counts/${demo.property}`);
  await form(page).waitFor();
  await page.waitForTimeout(300);
  expect(await drafts()).toBe(0);
  await page.getByRole("button", { name: "One more" }).click();
  await expect.poll(drafts).toBe(1);

  const other = await context.newPage();
  await other.goto(`/yard/counts/${demo.property}`);
  await other.getByText("Another window of this browser has this open.", { exact: false }).waitFor();
  expect(await form(other).count()).toBe(0);
  // What is taken back again is no draft, and the window that leaves lets the other go on.
  await page.getByRole("button", { name: "One fewer" }).click();
  await expect.poll(drafts).toBe(0);
  await page.getByRole("link", { name: "Back to the yard" }).click();
  await other.reload();
  await form(other).waitFor();
  await context.close();
});
