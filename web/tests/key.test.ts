// The key and what counts call for, in the yard: with and without reception.
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import {
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  reader,
  sizes,
  type Demo,
  type House,
  type Size,
} from "./support";

let home: House;
let demo: Demo;

beforeAll(async () => {
  home = await house();
  demo = await keepDemo(home.origin);
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

/** Takes the demo property along, with the key, and waits until the pages are kept on the device. */
async function takenAlong(size: Size) {
  const opened = await reader(home.origin, size);
  const { page } = opened;
  await page.goto("/yard");
  await page.getByRole("combobox", { name: "Property" }).waitFor();
  await page.getByRole("button", { name: "Take along" }).last().click();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).waitFor();
  await page.evaluate(async () => void (await navigator.serviceWorker.ready));
  await page.waitForLoadState("networkidle");
  await page.reload();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).waitFor();
  return opened;
}

/** Answers a question that need not be the next one. */
async function answer(page: Page, question: string, words: string): Promise<void> {
  await page.getByLabel("Another question").selectOption(question);
  await page.getByRole("button", { name: words }).click();
}

async function count(page: Page, found: number): Promise<void> {
  await page.getByRole("spinbutton", { name: "Count" }).fill(String(found));
  await page.getByRole("button", { name: "Keep this count" }).click();
}

async function checked(page: Page, what: string): Promise<void> {
  expect(await barriers(page), what).toEqual([]);
  const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  expect(overflow, `${what} is wider than the screen`).toBeLessThanOrEqual(0);
}

test.each(sizes)(
  "without reception the key asks, names, takes back, and leads to counting: %s",
  async (size) => {
    const { context, page } = await takenAlong(size);
    await context.setOffline(true);
    await page.reload();
    await page.getByText("No reception").waitFor();
    await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
    await page.getByRole("link", { name: "I do not know: what is it?" }).click();
    await page.getByText("Not named", { exact: true }).waitFor();
    const given = [
      ["hind-legs", "jumping", "much thicker and longer than the others"],
      ["feelers", "short-thread", "a thread, clearly shorter than the body"],
      ["wings", "straight-leathery", "long narrow leathery wings"],
      ["back-marks", "two-pale-stripes", "two pale stripes from head"],
      ["hind-thigh", "stripe-along", "one dark stripe along the thigh"],
      ["length", "over-25-mm", "over 25 mm"],
    ] as const;
    for (const [character, , words] of given) await answer(page, character, words);
    await page.getByText("Named", { exact: true }).waitFor();
    await page.getByText(/^Two-striped grasshopper: /i).waitFor();
    // What was answered outlives a page that is closed; an answer is taken back and given again.
    await page.reload();
    await page.getByText(/^Two-striped grasshopper: /i).waitFor();
    await page.getByRole("button", { name: "Take the last answer back" }).click();
    await page.getByRole("heading", { level: 2, name: "How long is its body?" }).waitFor();
    await page.getByRole("button", { name: "I do not know" }).click();
    await page.getByText("not known").waitFor();
    const told = await fetch(`${home.origin}/api/identification`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({
        answers: given.map(([character, state], at) => ({ character, states: at === 5 ? [] : [state] })),
      }),
    }).then((response) => response.json() as Promise<{ verdict: string; profile: string | null }>);
    expect([told.verdict, told.profile]).toEqual(["named", "two-striped-grasshopper"]);
    // What is known of it is here, too.
    await page.getByRole("link", { name: "What is known of it" }).click();
    await page.getByRole("heading", { level: 2, name: "Enemies worth keeping" }).waitFor();
    await page.goBack();
    await page.getByRole("link", { name: "Count this one" }).click();
    await page.getByRole("heading", { level: 1, name: `Counts on ${demo.name}` }).waitFor();
    await expect
      .poll(() => page.getByLabel("Pest", { exact: true }).inputValue())
      .toMatch(/two-striped grasshopper/i);
    await context.close();
  },
);

test.each(sizes)("without reception the counts walk between the stop lines: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  await context.setOffline(true);
  await page.reload();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
  await page.getByText("Choose a threshold: then the counts say when to stop.").waitFor();
  await page.getByLabel("Profile").selectOption("southern-chinch-bug");
  // Of several thresholds a person chooses the one of the place.
  await page.getByLabel("Threshold").selectOption("0");
  await page.getByText("The threshold is 15 on 1 sq ft.").waitFor();
  for (const found of [3, 4, 2, 1]) await count(page, found);
  await page
    .getByText(/^Count on: about \d+ more on average$/)
    .first()
    .waitFor();
  await page.getByRole("img", { name: /^After 4 counts 10 were found.*Count on/ }).waitFor();
  for (const found of [2, 0, 1, 1]) await count(page, found);
  await page.getByText("Do not treat", { exact: true }).first().waitFor();
  // Another unit is turned into that of the counts; what is not on ground is refused.
  await page.getByLabel("Threshold").selectOption("own");
  await page.getByLabel("How many").fill("9");
  await page.getByLabel("On what").fill("1 sq yd");
  await page.getByLabel("Where it was published").fill("invented");
  await page.getByText("The threshold is 1 on 1 sq ft.").waitFor();
  await page.getByText("Treat", { exact: true }).first().waitFor();
  await page.getByLabel("On what").fill("flush");
  await page.getByText("are not held against each other", { exact: false }).waitFor();
  // A can, a flush and a cut are of any size: what nobody wrote is asked for.
  const area = page.getByLabel("Area of one count");
  await page.getByLabel("Float can").check();
  expect(await area.inputValue()).toBe("");
  await page.getByText("Write the area of one count with its unit", { exact: false }).waitFor();
  await page.getByLabel("How wide the can is, inches").fill("6");
  expect(await area.inputValue()).toBe("28.27 sq in");
  await area.fill("");
  await page.getByLabel("Soap flush").check();
  expect(await area.inputValue()).toBe("");
  await area.fill("flush");
  await page.getByText("The threshold is 9 per flush.").waitFor();
  await page.getByLabel("Where it was published").fill(" ");
  await page.getByText("Write where the threshold was published").waitFor();
  await page.reload();
  expect(await page.getByLabel("On what").inputValue()).toBe("flush");
  await context.close();
});

test.each(sizes)("with reception and eight places the map shows where to treat: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/yard/counts/${demo.property}`);
  await page.getByLabel("Threshold").selectOption("own");
  await page.getByLabel("How many").fill("4");
  await page.getByLabel("On what").fill("1 sq ft");
  await page.getByLabel("Where it was published").fill("invented");
  await page.getByLabel("Pest", { exact: true }).fill("grasshopper");
  const map = page.getByRole("group", { name: /Map of the property/ });
  const found = [12, 7, 3, 1, 0, 14, 8, 2, 1, 0];
  for (const [at, one] of found.entries()) {
    await page.getByRole("spinbutton", { name: "Count" }).fill(String(one));
    await map.scrollIntoViewIfNeeded();
    const box = (await map.boundingBox())!;
    await map.click({
      position: {
        x: box.width / 2 + ((at % 5) - 2) * 28,
        y: box.height / 2 + (Math.floor(at / 5) - 0.5) * 90,
      },
    });
    await page.getByRole("button", { name: "Without a place" }).waitFor();
    await page.getByRole("button", { name: "Keep this count" }).click();
    await page.getByRole("row", { name: new RegExp(`^${at + 1} ${one} `) }).waitFor();
    if (at === 6) await page.getByText("7 are noted.").waitFor();
  }
  await page.getByRole("button", { name: "Look where they are" }).click();
  await page
    .getByText(/ of turf would be treated \(\d+ %\), inside the heavy dashed line\./)
    .first()
    .waitFor();
  const key = page.getByRole("list", { name: "What the patterns mean" });
  await key.getByText("To treat, by the counts").waitFor();
  await key.getByText("The threshold is reached with a chance of over 50 %").waitFor();
  await key.getByText("The threshold is reached with a chance of 10 to 50 %").waitFor();
  await checked(page, `hot spots at the size of a ${size}`);
  await page.getByRole("button", { name: "Count there: place 1" }).click();
  await count(page, 6);
  await page.getByText("Counts were changed since: look again.").waitFor();
  expect(faults).toEqual([]);
  // Nothing of it is kept by looking.
  expect((await asked(home.origin, "/api/surveys")).entries).toEqual([]);
  await context.close();
});
