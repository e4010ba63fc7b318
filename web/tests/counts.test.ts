// Counting in the yard: what a place, a name from the key and a visit to come belong to.
import type { Page, Route } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { closeBrowser, house, keepDemo, reader, sizes, type Demo, type House, type Size } from "./support";

let home: House;
let demo: Demo;

beforeEach(async () => {
  home = await house();
  demo = await keepDemo(home.origin);
});
afterEach(() => home.stop());
afterAll(closeBrowser);

async function counting(size: Size, query = "") {
  const opened = await reader(home.origin, size);
  await opened.context.grantPermissions(["geolocation"], { origin: home.origin });
  await opened.page.goto(`/yard/counts/${demo.property}${query}`);
  await opened.page.getByRole("heading", { level: 2, name: "The next station" }).waitFor();
  return opened;
}

async function count(page: Page, found: number): Promise<void> {
  await page.getByRole("spinbutton", { name: "Count" }).fill(String(found));
  await page.getByRole("button", { name: "Keep this count" }).click();
}

/** The device has one position, and goes on listening for better ones. */
async function listen(page: Page, latitude: number, longitude: number): Promise<void> {
  await page.context().setGeolocation({ latitude, longitude, accuracy: 4 });
  await page.getByRole("button", { name: "Where I stand" }).click();
  await page.getByText("Listening for the position").waitFor();
}

/** The device tells where it is as often as the page wants to hear it. */
async function tell(page: Page, latitude: number, longitude: number): Promise<void> {
  for (let reading = 0; reading < 6; reading += 1) {
    await page.context().setGeolocation({ latitude, longitude, accuracy: 3 + (reading % 2) });
    await page.waitForTimeout(30);
  }
}

const nowhere = (page: Page) => page.getByText("Not marked. Tap the map", { exact: false });

test.each(sizes)("a position that comes late is that of the count it was asked for: %s", async (size) => {
  const { context, page, faults } = await counting(size);
  await listen(page, 38.8401, -97.6198);
  await count(page, 3);
  await page.getByRole("row", { name: /^1 3/ }).waitFor();
  // The next station is begun before the position of the first is there.
  await page.getByRole("spinbutton", { name: "Count" }).fill("8");
  await tell(page, 38.8401, -97.6198);
  await page.getByRole("row", { name: /^1 3 no 38\.840100, -97\.619800/ }).waitFor();
  await nowhere(page).waitFor();
  await count(page, 8);
  await page.getByRole("row", { name: /^2 8 no\s+Remove/ }).waitFor();

  // Who taps the map meanwhile has said where it was.
  await listen(page, 38.8409, -97.6191);
  await page.getByRole("group", { name: /Map of the property/ }).click();
  const placed = page.getByText(/^Place: 38\./);
  const tapped = await placed.innerText();
  await tell(page, 38.8409, -97.6191);
  expect(await placed.innerText()).toBe(tapped);

  // Who is done waits for the place of what is kept.
  await page.getByRole("button", { name: "Without a place" }).click();
  await page.getByLabel("Pest").fill("grasshopper");
  await listen(page, 38.8402, -97.6197);
  await count(page, 5);
  await page.getByRole("button", { name: "Counting is done" }).click();
  await page.getByText("The place of a kept station is still listened for.").waitFor();
  await tell(page, 38.8402, -97.6197);
  await page.waitForURL(/\/yard$/);
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  const { entries } = await (await fetch(`${home.origin}/api/surveys`)).json();
  const survey = await (await fetch(`${home.origin}/api/surveys/${entries[0].thing}`)).json();
  expect(survey.stations).toMatchObject([
    { count: 3, position: { latitude: 38.8401, longitude: -97.6198 } },
    { count: 8, position: null },
    { count: 5, position: { latitude: 38.8402, longitude: -97.6197 } },
  ]);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "a pest that the key named is taken once, and never over counts of another: %s",
  async (size) => {
    const { context, page, faults } = await counting(size, "?pest=southern-chinch-bug");
    const pest = page.getByRole("textbox", { name: "Pest" });
    await expect.poll(() => pest.inputValue()).toBe("southern chinch bug");
    expect(new URL(page.url()).search).toBe("");
    // What is chosen later stays chosen when the page is loaded anew.
    await pest.fill("billbug");
    await count(page, 2);
    await count(page, 4);
    await page.reload();
    await page.getByRole("row", { name: /^2 4/ }).waitFor();
    expect(await pest.inputValue()).toBe("billbug");

    const named = `/yard/counts/${demo.property}?pest=two-striped-grasshopper`;
    await page.goto(named);
    const asking = page.getByRole("dialog", { name: "Is it two-striped grasshopper that was counted?" });
    await asking.getByText("2 stations of billbug are begun here.", { exact: false }).waitFor();
    await asking.getByRole("button", { name: "Go on counting billbug" }).click();
    expect(await pest.inputValue()).toBe("billbug");
    await page.goto(named);
    await asking.getByRole("button", { name: "These counts are of two-striped grasshopper" }).click();
    await expect.poll(() => pest.inputValue()).toBe("two-striped grasshopper");
    await page.getByRole("row", { name: /^2 4/ }).waitFor();
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("who goes elsewhere while counts are being kept stays there: %s", async (size) => {
  const { context, page, faults } = await counting(size);
  let held: Route | undefined;
  await page.route("**/api/surveys", (route) => {
    if (route.request().method() === "POST") held = route;
    else void route.continue();
  });
  await page.getByLabel("Pest").fill("grasshopper");
  await count(page, 12);
  await page.getByRole("button", { name: "Keep it, and plan a visit from this count" }).click();
  await page.getByText("The visit is opened once the server has them.").waitFor();
  await expect.poll(() => held !== undefined).toBe(true);
  await page.getByRole("link", { name: "Did earlier treatments work?" }).click();
  await page.waitForURL(/\/efficacy$/);
  await held!.continue();
  await expect
    .poll(async () => (await (await fetch(`${home.origin}/api/surveys`)).json()).entries.length)
    .toBe(1);
  await page.waitForTimeout(300);
  expect(page.url()).toMatch(/\/efficacy$/);
  expect(faults).toEqual([]);
  await context.close();
});
