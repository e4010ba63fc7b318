// Bad reception: requests that are never answered, a server that is busy, and pages that stand open meanwhile.
import type { BrowserContext, Page, Route } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { mapped, shape, tool } from "./map-support";
import {
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  reader,
  sizes,
  unfoldMenu,
  type Demo,
  type House,
  type Size,
} from "./support";

let home: House;
let demo: Demo;

beforeEach(async () => {
  home = await house();
  demo = await keepDemo(home.origin);
});
afterEach(() => home.stop());
afterAll(closeBrowser);

/** One bar: what is sent is lost on the way, and nobody says so. */
const isLost = (): Promise<void> => new Promise(() => {});

/** Takes the demo's property along, and waits until the pages are kept on the device. */
async function takenAlong(size: Size) {
  const opened = await reader(home.origin, size);
  const { page } = opened;
  await page.goto("/yard");
  await page.getByRole("combobox", { name: "Property" }).waitFor();
  await page.getByRole("button", { name: "Take along" }).last().click();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).waitFor();
  await page.evaluate(async () => void (await navigator.serviceWorker.ready));
  return opened;
}

/** Counts one station, and says that it is done. */
async function counted(page: Page, pest: string): Promise<void> {
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
  await page.getByLabel("Pest", { exact: true }).fill(pest);
  await page.getByRole("button", { name: "Keep this count" }).click();
  await page.getByRole("button", { name: "Counting is done" }).click();
  await page.getByRole("heading", { level: 2, name: "Waits on this device" }).waitFor();
}

const surveys = async () => (await asked(home.origin, "/api/surveys")).entries as { thing: string }[];
/** The page is looked at again: what waits is tried at once. */
const lookedAtAgain = (page: Page) =>
  page.evaluate(() => void document.dispatchEvent(new Event("visibilitychange")));
const nothingWaits = (page: Page) => page.getByText("Nothing waits: the server has everything.");
const row = (page: Page, pest: string) =>
  page.getByRole("listitem").filter({ hasText: `Counts: ${demo.name}, ${pest}` });

test.each(sizes)("where no answer comes the yard opens with what lies on the device: %s", async (size) => {
  const { context, page, faults } = await takenAlong(size);
  await context.route("**/api/session", isLost);
  const begun = Date.now();
  await page.reload();
  await page.getByText("No reception: what you do is kept on this device").waitFor();
  expect(Date.now() - begun).toBeLessThan(10_000);
  expect(await barriers(page)).toEqual([]);
  await counted(page, "grasshopper");
  await row(page, "grasshopper").getByText("waits for reception").waitFor();
  // A page that is not on the device takes the server, and says so.
  await unfoldMenu(page);
  await page.getByRole("link", { name: "Shelf", exact: true }).click();
  await page.getByRole("heading", { level: 1, name: "This page needs the server" }).waitFor();
  await page.getByRole("link", { name: "To what was taken along" }).click();
  // The question that is lost is not waited for once there is reception.
  await context.unroute("**/api/session");
  await page.evaluate(() => void dispatchEvent(new Event("online")));
  await nothingWaits(page).waitFor();
  expect(await page.getByText("No reception").count()).toBe(0);
  expect((await surveys()).length).toBe(1);
  // What was missing while there was no reception is there now.
  await page.getByRole("combobox", { name: "Property" }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("an answer that comes late is taken all the same: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  let answer = (): void => {};
  await context.route("**/api/session", async (route) => {
    await new Promise<void>((resolve) => (answer = resolve));
    await route.fallback();
  });
  await page.reload();
  await page.getByText("No reception: what you do is kept on this device").waitFor();
  answer();
  await page.getByText("No reception").waitFor({ state: "detached" });
  await page.getByRole("button", { name: "Take along" }).first().waitFor();
  await context.close();
});

/** Loses the first delivery of counts on its way, and lets the others through. */
async function firstIsLost(context: BrowserContext): Promise<() => number> {
  let tries = 0;
  await context.route("**/api/surveys", async (route: Route) => {
    if (route.request().method() !== "POST") return route.fallback();
    tries += 1;
    await (tries === 1 ? isLost() : route.fallback());
  });
  return () => tries;
}

test.each(sizes)(
  "a delivery that nobody answers lets the next try, and other windows, go: %s",
  async (size) => {
    const { context, page, faults } = await takenAlong(size);
    await page.clock.install();
    await page.reload();
    const tries = await firstIsLost(context);
    await counted(page, "chinch bug");
    await row(page, "chinch bug").getByText("being sent").waitFor();
    await counted(page, "armyworm");
    await row(page, "armyworm").getByText("goes after what is being sent").waitFor();
    expect(await barriers(page)).toEqual([]);
    expect(await surveys()).toEqual([]);
    // Its time is over, and it goes again with the other.
    await page.clock.fastForward(25_000);
    await nothingWaits(page).waitFor();
    expect(tries()).toBe(3);
    expect((await surveys()).length).toBe(2);
    expect(faults.filter((fault) => !fault.includes("ERR_ABORTED"))).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("an open page stays as it is while reception comes and goes: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  await context.route("**/api/surveys", (route) => route.abort());
  await counted(page, "grasshopper");
  await row(page, "grasshopper").getByText("waits for reception").waitFor();
  await unfoldMenu(page);
  await page.getByRole("link", { name: "Properties", exact: true }).click();
  await page.getByRole("link", { name: demo.name }).click();
  await mapped(page);
  await shape(page, "hedge").click();
  await tool(page, "Delete").click();
  await shape(page, "hedge").waitFor({ state: "detached" });

  // The delivery in the background fails, and so does the question who is there.
  await context.setOffline(true);
  await lookedAtAgain(page);
  await page.getByText("No reception. This page stays as it is", { exact: false }).waitFor();
  expect(await barriers(page)).toEqual([]);
  await tool(page, "Undo").click();
  await shape(page, "hedge").waitFor();
  await context.setOffline(false);
  await page.evaluate(() => void dispatchEvent(new Event("online")));
  await page.getByText("No reception.").waitFor({ state: "detached" });
  // It is the same page, with its steps.
  await page.locator("h1").click();
  expect(await tool(page, "Undo").isDisabled()).toBe(true);
  await page.keyboard.press("ControlOrMeta+y");
  await shape(page, "hedge").waitFor({ state: "detached" });

  // Only to open another takes reception.
  await context.setOffline(true);
  await lookedAtAgain(page);
  await page.getByText("No reception. This page stays as it is", { exact: false }).waitFor();
  await unfoldMenu(page);
  await page.getByRole("link", { name: "Visits", exact: true }).click();
  await page.getByRole("heading", { level: 1, name: "This page needs the server" }).waitFor();
  await context.setOffline(false);
  await page.evaluate(() => void dispatchEvent(new Event("online")));
  await page.getByRole("heading", { level: 1, name: "Visits" }).waitFor();
  await context.close();
});

test.each(sizes)("a server that is busy is there: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  let [busy, wait] = [401, 429];
  await context.route("**/api/surveys", (route) => route.fulfill({ status: busy, json: {} }));
  await context.route("**/api/session", (route) => route.fulfill({ status: wait, json: {} }));
  const isAsked = () => page.waitForResponse("**/api/session");
  const first = isAsked();
  await counted(page, "sod webworm");
  await (await first).finished();
  for (wait of [503, 500]) {
    const again = isAsked();
    await lookedAtAgain(page);
    await (await again).finished();
  }
  // What waits is tried again later, and nobody need be asked who is there.
  busy = 503;
  let questions = 0;
  page.on("request", (request) => (questions += Number(request.url().endsWith("/api/session"))));
  const refused = page.waitForResponse("**/api/surveys");
  await lookedAtAgain(page);
  await (await refused).finished();
  await page.waitForTimeout(100);
  expect(questions).toBe(0);
  expect(await page.getByText("No reception").count()).toBe(0);
  await page.getByRole("button", { name: "Send now" }).waitFor();
  expect(await page.getByRole("button", { name: "Send now" }).isDisabled()).toBe(false);
  // A proxy that does not reach its server is none.
  busy = 504;
  wait = 504;
  await context.unroute("**/api/surveys");
  await context.route("**/api/surveys", (route) => route.abort());
  await lookedAtAgain(page);
  await page.getByText("No reception: what you do is kept on this device").waitFor();
  await context.close();
});
