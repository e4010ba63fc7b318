// An answer is lost on its way: what was sent is in the books once, whatever a person does then.
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { asked, demoFile, keepDemo } from "./demo";
import { draw, mapped, openAt, save, shape } from "./map-support";
import { barriers, closeBrowser, house, reader, sizes, type House } from "./support";

let home: House;

beforeEach(async () => {
  home = await house();
});
afterEach(() => home.stop());
afterAll(closeBrowser);

/** Lets the server do what a page asks, and loses its answer. @returns what lets answers come again */
async function loseAnswers(page: Page, method: string, path: string): Promise<() => Promise<void>> {
  const isIt = (url: URL) => url.pathname === path;
  await page.route(isIt, async (route) => {
    if (route.request().method() !== method) return route.continue();
    await route.fetch();
    await route.abort();
  });
  return () => page.unroute(isIt);
}

const current = (page: Page) => page.locator(".told[aria-busy=false]").waitFor();
const keep = (page: Page) => page.getByRole("button", { name: /^Keep the (visit|label)$/ }).click();
const unanswered = (page: Page) => page.getByText("This was sent, and no answer came.", { exact: false });
const found = (page: Page) => page.getByText("found on this device.", { exact: false });
const titles = async (kind: string) =>
  (await asked<{ entries: { title: string }[] }>(home, "GET", `/api/${kind}`)).entries.map(
    ({ title }) => title,
  );
const versions = async (kind: string, thing: string) =>
  (await asked<unknown[]>(home, "GET", `/api/${kind}/${thing}/versions`)).length;
const thingOf = (page: Page) => new URL(page.url()).pathname.split("/").at(-1)!;
/** The browser itself tells of requests that broke off. */
const own = (faults: string[]) =>
  faults.filter((fault) => !/net::ERR_FAILED|status of (412|422)/.test(fault));

/** Begins a visit on the demo property, and waits for its plan. */
async function beginVisit(page: Page, property: string, name: string): Promise<void> {
  await page.goto(`/visits/new?property=${property}`);
  await page.getByText("the visit has no task", { exact: false }).waitFor();
  await page.locator("#name").fill(name);
  await page.locator("#pest").fill("grasshopper");
  await page.locator("#stage").fill("nymph");
  await page.locator("#basis").fill("caught in a net");
  await page.getByRole("button", { name: "Add a task" }).click();
  await page.locator("#task-0-calibration").selectOption("lawn");
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  await current(page);
}

/** The page after loading again, with what was asked there before. */
async function loadAgain(page: Page): Promise<void> {
  await page.reload();
  await found(page).waitFor();
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  await current(page);
}

test.each(sizes)(
  "a new visit whose answer was lost is kept once, after the page was loaded again: %s",
  async (size) => {
    const { property } = await keepDemo(home);
    const before = await titles("visits");
    const { context, page, faults } = await reader(home.origin, size);
    await beginVisit(page, property, "Once alone");
    const answer = await loseAnswers(page, "POST", "/api/visits");
    await keep(page);
    await unanswered(page).waitFor();
    expect(await titles("visits")).toHaveLength(before.length + 1);
    expect(await barriers(page)).toEqual([]);
    // Twice, since what is found must not be lost by being found.
    await loadAgain(page);
    await loadAgain(page);
    await keep(page);
    await unanswered(page).waitFor();
    await answer();
    await loadAgain(page);
    await keep(page);
    await page.waitForURL(/\/visits\/[0-9a-f-]{36}$/);
    await page.getByText("All is kept.").waitFor();
    expect((await titles("visits")).sort()).toEqual([...before, "Once alone"].sort());
    expect(await versions("visits", thingOf(page))).toBe(1);
    // The draft is gone with the answer: the next new visit begins empty.
    await page.goto(`/visits/new?property=${property}`);
    await page.getByText("the visit has no task", { exact: false }).waitFor();
    expect(await found(page).count()).toBe(0);
    expect(own(faults)).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "what is changed after a lost answer is the next version of that visit, and no second one: %s",
  async (size) => {
    const { property } = await keepDemo(home);
    const before = await titles("visits");
    const { context, page, faults } = await reader(home.origin, size);
    await beginVisit(page, property, "As it was sent");
    const answer = await loseAnswers(page, "POST", "/api/visits");
    await keep(page);
    await unanswered(page).waitFor();
    await answer();
    await loadAgain(page);
    await page.locator("#name").fill("As it was changed");
    await current(page);
    await keep(page);
    await page.waitForURL(/\/visits\/[0-9a-f-]{36}$/);
    const visit = thingOf(page);
    await found(page).waitFor();
    await page.getByRole("heading", { level: 1, name: "As it was changed" }).waitFor();
    expect(await barriers(page)).toEqual([]);
    await current(page);
    // Its next version loses an answer, too: nobody else's version stands in the way of asking for it again.
    const changed = await loseAnswers(page, "PUT", `/api/visits/${visit}`);
    await keep(page);
    await unanswered(page).waitFor();
    await changed();
    await loadAgain(page);
    await keep(page);
    await page.getByText("The visit is in the books.").waitFor();
    expect((await titles("visits")).sort()).toEqual([...before, "As it was changed"].sort());
    expect(await versions("visits", visit)).toBe(2);
    expect(own(faults)).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("what the server refuses is sent anew under another key: %s", async (size) => {
  const { property } = await keepDemo(home);
  const before = await titles("visits");
  const { context, page, faults } = await reader(home.origin, size);
  await beginVisit(page, property, "Refused at first");
  const keys: string[] = [];
  await page.route("**/api/visits", async (route) => {
    if (route.request().method() !== "POST") return route.continue();
    keys.push((await route.request().allHeaders())["idempotency-key"] ?? "");
    if (keys.length > 1) return route.continue();
    const problems = [{ code: "test::no", severity: "error", found: "it is refused for the test" }];
    return route.fulfill({
      status: 422,
      contentType: "application/json",
      body: JSON.stringify({ problems }),
    });
  });
  await keep(page);
  await page.getByText("it is refused for the test").waitFor();
  expect(await unanswered(page).count()).toBe(0);
  await keep(page);
  await page.waitForURL(/\/visits\/[0-9a-f-]{36}$/);
  await page.getByText("All is kept.").waitFor();
  expect(new Set(keys).size).toBe(2);
  expect(await titles("visits")).toHaveLength(before.length + 1);
  expect(own(faults)).toEqual([]);
  await context.close();
});

test.each(sizes)("a new label whose answer was lost is kept once, changed since or not: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/shelf/labels/new");
  const buffer = Buffer.from(demoFile("labels/brackwater-sc.toml"));
  await page
    .getByLabel("Take in a label file")
    .setInputFiles({ name: "label.toml", mimeType: "application/toml", buffer });
  await page.getByText("Plans can use it.").waitFor();
  const answer = await loseAnswers(page, "POST", "/api/labels");
  await keep(page);
  await unanswered(page).waitFor();
  await page.reload();
  await found(page).waitFor();
  await unanswered(page).waitFor();
  expect(await barriers(page)).toEqual([]);
  await answer();
  await page.locator("summary", { hasText: "The container in hand" }).click();
  await page.locator("#compared-by").fill("J. Example (invented)");
  await page.getByText("Plans can use it.").waitFor();
  await keep(page);
  await page.waitForURL(/\/shelf\/labels\/[0-9a-f-]{36}$/);
  await found(page).waitFor();
  await page.getByText("Plans can use it.").waitFor();
  await keep(page);
  await page.getByText("All is kept.").waitFor();
  expect(await titles("labels")).toEqual(["brackwater-sc"]);
  expect(await versions("labels", thingOf(page))).toBe(2);
  const { label, compared_by } = await asked<Record<string, string>>(
    home,
    "GET",
    `/api/labels/${thingOf(page)}`,
  );
  expect([label, compared_by]).toEqual([buffer.toString(), "J. Example (invented)"]);
  expect(own(faults)).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "a new property whose answer was lost is saved once, changed since or not: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    const map = await openAt(page);
    const name = page.getByLabel("Name", { exact: true });
    await name.fill("Once alone");
    await draw(page, map, "boundary", [
      [0, 0],
      [100, 0],
      [100, 80],
      [0, 80],
    ]);
    await shape(page, "boundary").waitFor();
    const answer = await loseAnswers(page, "POST", "/api/properties");
    await save(page);
    await unanswered(page).waitFor();
    await page.reload();
    await mapped(page);
    await unanswered(page).waitFor();
    expect(await barriers(page)).toEqual([]);
    await answer();
    await name.fill("Once alone, renamed");
    await save(page);
    await page.waitForURL(/\/properties\/[0-9a-f-]{36}$/);
    await mapped(page);
    await page.getByText(/^Your draft of .* is back\.$/).waitFor();
    const thing = thingOf(page);
    const changed = await loseAnswers(page, "PUT", `/api/properties/${thing}`);
    await save(page);
    await unanswered(page).waitFor();
    await changed();
    await page.reload();
    await mapped(page);
    await save(page);
    await page.getByText("Saved in the books.").waitFor();
    expect(await titles("properties")).toEqual(["Once alone, renamed"]);
    expect(await versions("properties", thing)).toBe(2);
    await page.reload();
    await mapped(page);
    await page.getByText("All is saved.").waitFor();
    expect(own(faults)).toEqual([]);
    await context.close();
  },
);

/** The form by which a lot is taken in. */
async function fillLot(page: Page, number: string, received: string): Promise<void> {
  await page.locator("#lot-label").selectOption("brackwater-sc");
  await page.locator("#lot-number").fill(number);
  await page.locator("#lot-received").fill(received);
}
const lots = async (number: string) => {
  const { lots } = await asked<{ lots: { lot: string; number: string; received: { volume_ml: number } }[] }>(
    home,
    "GET",
    "/api/stock",
  );
  return lots.filter((one) => one.number === number);
};
const GALLON_ML = 3785.411784;

test.each(sizes)("a lot whose answer was lost is taken in once, changed since or not: %s", async (size) => {
  await keepDemo(home);
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/shelf/stock");
  await fillLot(page, "A-17", "1 gal");
  const takeIn = page.getByRole("button", { name: "Take it in" });
  const answer = await loseAnswers(page, "POST", "/api/lots");
  await takeIn.click();
  await unanswered(page).waitFor();
  expect(await lots("A-17")).toHaveLength(1);
  await page.reload();
  await found(page).waitFor();
  expect(await page.locator("#lot-received").inputValue()).toBe("1 gal");
  await unanswered(page).waitFor();
  expect(await barriers(page)).toEqual([]);
  await answer();
  await takeIn.click();
  await page.getByText("The lot is in the books.").waitFor();
  expect(await lots("A-17")).toHaveLength(1);
  expect(await page.locator("#lot-number").inputValue()).toBe("");
  // Put right after a lost answer it is the next version of the same lot.
  await fillLot(page, "A-18", "1 gal");
  const changed = await loseAnswers(page, "POST", "/api/lots");
  await takeIn.click();
  await unanswered(page).waitFor();
  await changed();
  await page.locator("#lot-received").fill("2 gal");
  await takeIn.click();
  await page.getByText("The lot is in the books.").waitFor();
  const [lot, ...more] = await lots("A-18");
  expect(more).toEqual([]);
  expect(lot!.received.volume_ml).toBeCloseTo(2 * GALLON_ML, 3);
  expect(await versions("lots", lot!.lot)).toBe(2);
  // Another lot number is another lot.
  await fillLot(page, "A-19", "1 gal");
  const lost = await loseAnswers(page, "POST", "/api/lots");
  await takeIn.click();
  await unanswered(page).waitFor();
  await lost();
  await page.getByText("Another label or lot number is another lot", { exact: false }).waitFor();
  await page.locator("#lot-number").fill("A-20");
  await takeIn.click();
  await page.getByText("The lot is in the books.").waitFor();
  expect((await Promise.all(["A-19", "A-20"].map(lots))).map(({ length }) => length)).toEqual([1, 1]);
  expect(own(faults)).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "a correction whose answer was lost is made once, beside a lot that waits for its own: %s",
  async (size) => {
    await keepDemo(home);
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/shelf/stock");
    await fillLot(page, "A-17", "1 gal");
    const takenIn = await loseAnswers(page, "POST", "/api/lots");
    await page.getByRole("button", { name: "Take it in" }).click();
    await unanswered(page).waitFor();
    await takenIn();
    const corrections = () => titles("stock-adjustments");
    const before = (await corrections()).length;
    await page.locator("#change-lot").selectOption({ label: "brackwater-sc, B-0417 (invented)" });
    await page.locator("#change-amount").fill("1 fl oz");
    await page.locator("#change-reason").fill("spilled");
    const correct = page.getByRole("button", { name: "Correct it" });
    const answer = await loseAnswers(page, "POST", "/api/stock-adjustments");
    await correct.click();
    await expect.poll(() => unanswered(page).count()).toBe(2);
    await page.reload();
    await expect.poll(() => found(page).count()).toBe(2);
    expect(await page.locator("#change-reason").inputValue()).toBe("spilled");
    await answer();
    await page.locator("#change-amount").fill("2 fl oz");
    await correct.click();
    await page.getByText("The correction is in the books.").waitFor();
    expect(await corrections()).toHaveLength(before + 1);
    const { entries } = await asked<{ entries: { thing: string; version: number }[] }>(
      home,
      "GET",
      "/api/stock-adjustments",
    );
    const { amount } = await asked<{ amount: string }>(
      home,
      "GET",
      `/api/stock-adjustments/${entries.find(({ version }) => version === 2)!.thing}`,
    );
    expect(amount).toBe("2 fl oz");
    // The lot's own answer is asked for under its own key.
    await page.getByRole("button", { name: "Take it in" }).click();
    await page.getByText("The lot is in the books.").waitFor();
    expect(await lots("A-17")).toHaveLength(1);
    await page.goto("/shelf");
    await page.getByRole("heading", { level: 1, name: "Shelf" }).waitFor();
    expect(await page.getByText("A lot that is taken in").count()).toBe(0);
    expect(own(faults)).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("what is typed while a lot is taken in is a change of it: %s", async (size) => {
  await keepDemo(home);
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/shelf/stock");
  await fillLot(page, "A-17", "1 gal");
  let letGo = () => {};
  const held = new Promise<void>((resolve) => (letGo = resolve));
  await page.route("**/api/lots", async (route) => {
    if (route.request().method() !== "POST") return route.continue();
    const answer = await route.fetch();
    await held;
    await route.fulfill({ response: answer });
  });
  await page.getByRole("button", { name: "Take it in" }).click();
  await page.locator("#lot-supplier").fill("Example Supply (invented)");
  letGo();
  await page.getByText("The books have what was sent", { exact: false }).waitFor();
  // The shelf leads back to what is typed and not kept.
  await page.goto("/shelf");
  await page
    .getByRole("list", { name: "Not kept yet, on this device" })
    .getByRole("link", { name: "A lot that is taken in" })
    .click();
  await found(page).waitFor();
  await page.getByRole("button", { name: "Take it in" }).click();
  await page.getByText("The lot is in the books.").waitFor();
  const [lot] = await lots("A-17");
  expect(await versions("lots", lot!.lot)).toBe(2);
  const { supplier } = await asked<{ supplier: string }>(home, "GET", `/api/lots/${lot!.lot}`);
  expect(supplier).toBe("Example Supply (invented)");
  expect(own(faults)).toEqual([]);
  await context.close();
});
