// The yard where something is out of the ordinary: one sentence told twice, a server that breaks on one deed, a device
// that is full, work on another day and by another person than planned.
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { demoFile } from "./demo";
import { done, recording, sayAsPlanned } from "./recording";
import {
  asked,
  closeBrowser,
  house,
  keepDemo,
  keepVisit,
  reader,
  type Demo,
  type House,
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

test.each(sizes)("a sentence that three tasks passed is told once: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  const visit = await keepVisit(home.origin, demo.property, "Windy");
  await recording(page, visit);
  await page.locator("#day").fill(demo.day);
  await page.locator("#started").fill("07:05");
  await page.locator("#ended").fill("08:50");
  await page.locator("#start-wind").fill("12");
  await page.locator("#start-gust").fill("18");
  await sayAsPlanned(page);
  await done(page).click();
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  const told = page.getByRole("listitem").filter({ hasText: "Record: Windy" }).getByRole("listitem");
  await told.first().waitFor();
  const sentences = await told.allInnerTexts();
  expect(sentences.some((one) => /^perimeter, .*: /.test(one))).toBe(true);
  expect(new Set(sentences).size).toBe(sentences.length);

  // A device of an earlier build has them as often as they were told.
  await page.evaluate(async () => {
    const db = await new Promise<IDBDatabase>((resolve) => {
      const opened = indexedDB.open("tussock.yard");
      opened.onsuccess = () => resolve(opened.result);
    });
    const store = db.transaction("delivered", "readwrite").objectStore("delivered");
    const rows = await new Promise<{ told: string[] }[]>((resolve) => {
      const all = store.getAll();
      all.onsuccess = () => resolve(all.result as { told: string[] }[]);
    });
    for (const row of rows) store.put({ ...row, told: ["too windy", "too windy", "too windy"] });
    await new Promise((resolve) => (store.transaction.oncomplete = resolve));
    db.close();
  });
  await page.reload();
  await page.getByText("too windy").waitFor();
  expect(await page.getByText("too windy").count()).toBe(1);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("two labels that say the same, and an order of mixing: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  const twin = demoFile("labels/brackwater-sc.toml")
    .replace('id = "brackwater-sc"', 'id = "brackwater-twin"')
    .replace("Brackwater 1 SC", "Brackwater 2 SC");
  const visit = await keepVisit(home.origin, demo.property, "Two labels", {
    request: (text) =>
      text
        .replace('"../labels/brackwater-sc.toml"', '"../labels/brackwater-sc.toml", "../labels/twin.toml"')
        .replace(/(id = "lawn"[^[]*label = )"brackwater-sc"/, '$1"brackwater-twin"'),
    files: { "../labels/twin.toml": twin },
  });
  await recording(page, visit);
  const text = "Keep people and pets off treated areas for at least 2 hours and until the spray has dried.";
  expect(await page.getByText(text).count()).toBe(1);
  await page.getByRole("heading", { level: 2, name: /^lawn: Brackwater 2 SC/ }).waitFor();
  await page.getByText("Order of mixing").first().click();
  const steps = await page.locator("details[open] ol").first().getByRole("listitem").allInnerTexts();
  expect(steps.some((step) => /measured amount.*: Brackwater 1 SC \(invented\)/.test(step))).toBe(true);
  await page.goto(`/visits/${visit}`);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("one deed on which the server breaks stops no other: %s", async (size) => {
  const { context, page } = await reader(home.origin, size);
  const visit = await keepVisit(home.origin, demo.property, "Stuck");
  const broken = "**/api/records/of-visit";
  await page.route(broken, (route) => route.fulfill({ status: 500, json: {} }));
  await recording(page, visit);
  await page.locator("#day").fill(demo.day);
  await page.locator("#started").fill("07:05");
  await sayAsPlanned(page);
  await done(page).click();
  const stuck = page.getByRole("listitem").filter({ hasText: "Record: Stuck" });
  await stuck.getByText("The server broke off on it", { exact: false }).waitFor();
  await stuck.getByText("the server answered with status 500").waitFor();

  await page.goto(`/yard/counts/${demo.property}`);
  await page.getByLabel("Pest", { exact: true }).fill("grasshopper");
  await page.getByRole("button", { name: "Keep this count" }).click();
  await page.getByRole("button", { name: "Counting is done" }).click();
  await page.getByText(`Counts: ${demo.name}, grasshopper, delivered`, { exact: false }).waitFor();
  expect(((await asked(home.origin, "/api/surveys")).entries as unknown[]).length).toBe(1);

  // Tried often enough, it is in the person's hand: sent again under its own key, or given up.
  const giveUp = stuck.getByRole("button", { name: "Give it up" });
  for (let times = 0; times < 5 && (await giveUp.count()) === 0; times += 1) {
    const answered = page.waitForResponse(broken);
    await page.getByRole("button", { name: "Send now" }).click();
    await answered;
    await page.waitForTimeout(300);
  }
  expect(await stuck.getByRole("button", { name: "Mend it" }).count()).toBe(0);
  await giveUp.click();
  await page.getByRole("dialog").getByText("may have it or not", { exact: false }).waitFor();
  await page.getByRole("button", { name: "Keep it" }).click();
  await page.unroute(broken);
  await stuck.getByRole("button", { name: "Send it again" }).click();
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  const records = (await asked(home.origin, "/api/records")).entries as { title: string }[];
  expect(records.filter(({ title }) => title === "Stuck").length).toBe(1);
  await context.close();
});

/** A device that keeps nothing more, or does again. */
const full = (page: Page, isFull: boolean): Promise<void> =>
  page.evaluate((isFull) => {
    const store = IDBObjectStore.prototype as unknown as Record<string, unknown>;
    for (const name of ["put", "add"]) {
      store[`own ${name}`] ??= store[name];
      store[name] = isFull
        ? () => {
            throw new DOMException("full", "QuotaExceededError");
          }
        : store[`own ${name}`];
    }
  }, isFull);

test.each(sizes)("a device that keeps nothing says so, and the form stays: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/yard/counts/${demo.property}`);
  await page.getByRole("button", { name: "Counting is done" }).waitFor();
  await full(page, true);
  await page.getByLabel("Pest", { exact: true }).fill("chinch bug");
  const told = page.getByRole("alert");
  await told.getByText("This device does not keep what you write", { exact: false }).waitFor();
  await page.getByRole("button", { name: "Keep this count" }).click();
  await page.getByRole("row", { name: /^1 0/ }).waitFor();
  expect(await page.getByText("Station 1: 0 kept.").count()).toBe(0);
  await page.getByRole("button", { name: "Counting is done" }).click();
  await told.getByText("This device did not keep it, and nothing was sent", { exact: false }).waitFor();
  expect(await page.getByLabel("Pest", { exact: true }).inputValue()).toBe("chinch bug");
  await full(page, false);
  await page.getByRole("button", { name: "Counting is done" }).click();
  await page.getByText("Nothing waits: the server has everything.").waitFor();

  const visit = await keepVisit(home.origin, demo.property, "Full");
  await recording(page, visit);
  await page.locator("#day").fill(demo.day);
  await full(page, true);
  await page.locator("#started").fill("07:05");
  await told.getByText("This device does not keep what you write", { exact: false }).waitFor();
  await sayAsPlanned(page);
  await done(page).click();
  await told.getByText("This device did not keep it, and nothing was sent", { exact: false }).waitFor();
  expect(await page.locator("#started").inputValue()).toBe("07:05");
  await full(page, false);
  await done(page).click();
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  const records = (await asked(home.origin, "/api/records")).entries as { title: string }[];
  expect(records.filter(({ title }) => title === "Full").length).toBe(1);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("work of another day is recorded as its person's: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  const visit = await keepVisit(home.origin, demo.property, "Another day");
  await recording(page, visit);
  const day = page.getByLabel("Day of the work");
  // The day at the property stands there, and is told where it is not the planned one.
  const today = await page.evaluate(() => new Date().toLocaleDateString("sv", { timeZone: "Etc/GMT+5" }));
  expect(await day.inputValue()).toBe(today);
  await page.getByText("the record will say", { exact: false }).waitFor();
  await day.fill(demo.day);
  await page.getByText("the record will say", { exact: false }).waitFor({ state: "detached" });
  await day.fill("2026-07-09");
  await page.getByText("the record will say", { exact: false }).waitFor();
  await page.getByText("the record says J. Example, as planned", { exact: false }).waitFor();
  await page.getByLabel("Who applied it, if another than planned").fill("A. Other");
  await page.locator("#started").fill("07:05");
  await sayAsPlanned(page);
  await done(page).click();
  await page.getByText("the planned person's would be untrue", { exact: false }).first().waitFor();
  await page.getByLabel("Number of their certificate").fill("KS-11111");
  await page.getByLabel("Who supervised the work").fill("J. Example");
  await done(page).click();
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  const records = (await asked(home.origin, "/api/records")).entries as { title: string; thing: string }[];
  const own = records.find(({ title }) => title === "Another day")!;
  const record = await asked(home.origin, `/api/records/${own.thing}`);
  expect(record).toMatchObject({
    date: "2026-07-09",
    applicator: { recorded: "A. Other" },
    certification_number: { recorded: "KS-11111" },
    supervisor: { recorded: "J. Example" },
  });
  expect(JSON.stringify(record.started)).toContain("2026-07-09T07:05");
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("the sheet tells at what to look; laying aside asks first: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  const visit = await keepVisit(home.origin, demo.property, "Told whole");
  await recording(page, visit);
  const planned = (await page.evaluate(async () => {
    const db = await new Promise<IDBDatabase>((resolve) => {
      const opened = indexedDB.open("tussock.yard");
      opened.onsuccess = () => resolve(opened.result);
    });
    const rows = await new Promise<{ name: string; planned: unknown }[]>((resolve) => {
      const all = db.transaction("taken").objectStore("taken").getAll();
      all.onsuccess = () => resolve(all.result as { name: string; planned: unknown }[]);
    });
    db.close();
    return rows.find(({ name }) => name.startsWith("visit/"))!.planned;
  })) as {
    visit: {
      directions: { text: string }[];
      start_windows: { first: string }[];
      tasks: { verdicts: { status: string; text: string }[] }[];
    };
  };
  const { directions, start_windows, tasks } = planned.visit;
  const cautions = tasks.flatMap(({ verdicts }) => verdicts).filter(({ status }) => status === "caution");
  expect(cautions.length).toBeGreaterThan(0);
  expect(directions.length).toBeGreaterThan(0);
  const told = await page.locator("main").innerText();
  const bare = (text: string) => text.replaceAll("`", "");
  for (const { text } of [...cautions, ...directions]) expect(bare(told)).toContain(bare(text));
  expect(told.match(/Start between/g)?.length).toBe(start_windows.length);

  await page.goto("/yard");
  const aside = page.getByRole("button", { name: "Lay aside: Told whole" });
  await aside.click();
  await page.getByRole("button", { name: "Keep it" }).click();
  expect(await aside.count()).toBe(1);
  await aside.click();
  await page.getByRole("dialog").getByRole("button", { name: "Lay aside" }).click();
  await aside.waitFor({ state: "detached" });
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("the zones of the visit are on the sheet: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  const visit = await keepVisit(home.origin, demo.property, "Zones");
  await page.goto("/yard");
  await page.getByLabel("Day").fill(demo.day);
  await page.getByRole("button", { name: "Take along" }).first().click();
  await page.getByRole("link", { name: "Mix and record: Zones" }).waitFor();
  await page.evaluate(async () => void (await navigator.serviceWorker.ready));
  await page.reload();
  await page.getByRole("link", { name: "Mix and record: Zones" }).waitFor();
  await context.setOffline(true);
  await page.goto(`/yard/record/${visit}`);
  await page.getByRole("group", { name: "Map of Zones with the zones of the visit" }).waitFor();
  await page.locator("summary", { hasText: "Zones: every square foot once" }).click();
  await page.getByRole("row", { name: /lawn/ }).first().waitFor();
  // Treated ground is drawn on the map and stands in its key.
  await page
    .getByRole("list")
    .getByRole("listitem")
    .filter({ hasText: /^\s*Treated\s*$/ })
    .waitFor();
  const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  expect(overflow).toBeLessThanOrEqual(0);
  expect(faults.filter((one) => !one.includes("ERR_INTERNET_DISCONNECTED"))).toEqual([]);
  await context.close();
});
