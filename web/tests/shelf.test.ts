// The shelf: labels entered by hand and compared, sprayers with their calibrations, stock.
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { asked, demoFile, keepDemo } from "./demo";
import { barriers, closeBrowser, house, reader, sizes, type House } from "./support";

let home: House;
const of: Record<string, string> = {};

beforeAll(async () => {
  home = await house();
  await keepDemo(home);
  for (const kind of ["labels", "equipment"]) {
    const { entries } = await asked<{ entries: { title: string; thing: string }[] }>(
      home,
      "GET",
      `/api/${kind}`,
    );
    for (const { title, thing } of entries) of[title] = thing;
  }
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

/** The control of a field by its path in the file. */
const field = (page: Page, path: string) => page.locator(`[id="f-${path}"]`);

async function fill(page: Page, values: Record<string, string>): Promise<void> {
  for (const [path, value] of Object.entries(values)) {
    const control = field(page, path);
    const isList = (await control.evaluate((element) => element.tagName)) === "SELECT";
    if (isList) await control.selectOption(value);
    else await control.fill(value);
  }
}

/** A sentence of a label with all that a check asks of one. */
const sentence = (path: string, text: string) => ({
  [`${path}.text`]: text,
  [`${path}.page`]: "2",
  [`${path}.strength`]: "mandatory",
});

async function add(page: Page, within: string, what: string): Promise<void> {
  await page.locator(`[id="f-${within}-add"]`).selectOption(what);
  await page
    .locator(`[id="f-${within}-add"]`)
    .locator("xpath=ancestor::div[contains(@class,'add')]")
    .getByRole("button", { name: "Add", exact: true })
    .click();
}

const current = (page: Page) => page.locator(".standing[aria-busy=false]").waitFor();

test("on a phone the stock shows what is left beside its lot, and the rest is moved into view by keys", async () => {
  const { context, page, faults } = await reader(home.origin, "phone");
  await page.goto("/shelf/stock");
  const frame = page.getByRole("region", { name: "Stock" });
  await page.getByText("Wider than the screen: move it sideways.").waitFor();
  const isSeen = (name: string) =>
    frame.getByRole("columnheader", { name }).evaluate((head) => {
      const { left, right } = head.getBoundingClientRect();
      return left >= 0 && right <= innerWidth;
    });
  expect(await Promise.all(["Lot", "Left"].map(isSeen))).toEqual([true, true]);
  expect(await isSeen("Adjusted")).toBe(false);
  await frame.focus();
  for (let turn = 0; turn < 10; turn += 1) await page.keyboard.press("ArrowRight");
  await expect.poll(() => isSeen("Adjusted")).toBe(true);
  expect(faults).toEqual([]);
  await context.close();
});

test("on a phone a label stands folded, open where something is to be mended, and an index leads to each part", async () => {
  const { context, page, faults } = await reader(home.origin, "phone");
  await page.goto(`/shelf/labels/${of["brackwater-sc"]}`);
  await page.getByText("Plans can use it.").waitFor();
  const [name, rate] = [field(page, "product.name"), field(page, "use[1].rate.highest")];
  expect([await name.isVisible(), await rate.isVisible()]).toEqual([false, false]);
  const screens = await page.evaluate(() => document.documentElement.scrollHeight / innerHeight);
  expect(screens).toBeLessThan(12);
  expect(await barriers(page)).toEqual([]);
  // By keys alone: the index opens a part and goes there.
  const index = page.getByRole("navigation", { name: "Sections" });
  await index.getByRole("button", { name: /^Use 1/ }).press("Enter");
  expect(await page.evaluate(() => document.activeElement?.closest("details")?.id)).toBe("f-use[1]");
  expect(await field(page, "use[1].id").isVisible()).toBe(true);
  await index.getByRole("button", { name: "The label as it was read" }).press("Enter");
  expect(await page.evaluate(() => document.activeElement?.id)).toBe("read-out");
  await index.getByRole("button", { name: "Product", exact: true }).press("Enter");
  await page.keyboard.press("Space");
  expect(await name.isVisible()).toBe(false);
  await page.keyboard.press("Space");
  await name.fill("");
  await index.getByRole("button", { name: /^Product, \d+ to mend$/ }).waitFor();
  expect(await barriers(page)).toEqual([]);
  // Found again, it stands open there and nowhere else.
  await page.reload();
  await page.getByText("was found on this device", { exact: false }).waitFor();
  await name.waitFor();
  expect(await field(page, "use[1].id").isVisible()).toBe(false);
  // Whoever closes it is not overruled, and is led there all the same.
  await page.locator('[id="f-product"] > summary').press("Enter");
  await field(page, "use[1].id").evaluate((one) => (one.closest("details")!.open = true));
  await field(page, "id").fill("brackwater-sc-2");
  await current(page);
  expect(await name.isVisible()).toBe(false);
  await page.getByRole("button", { name: "Go to product.name" }).click();
  expect(await page.evaluate(() => document.activeElement?.id)).toBe("f-product.name");
  await page.getByRole("button", { name: "Drop what was typed" }).first().click();
  await page.getByRole("dialog").getByRole("button", { name: "Drop what was typed" }).click();
  await page.getByText("All is kept.").waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test("at a desk a label stands open, with the index above it", async () => {
  const { context, page, faults } = await reader(home.origin, "desk");
  await page.goto(`/shelf/labels/${of["brackwater-sc"]}`);
  await page.getByText("Plans can use it.").waitFor();
  expect(await field(page, "use[1].rate.highest").isVisible()).toBe(true);
  const index = page.getByRole("navigation", { name: "Sections" });
  await index.getByRole("button", { name: "The container in hand" }).click();
  expect(await page.evaluate(() => document.activeElement?.id)).toBe("container");
  expect(await page.locator("#compared-by").isVisible()).toBe(true);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("what a file calls something is shown as such, without its backticks: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/shelf/labels/new");
  await current(page);
  await page.getByLabel("Take in a label file").setInputFiles({
    name: "label.toml",
    mimeType: "application/toml",
    buffer: Buffer.from(
      demoFile("labels/brackwater-sc.toml").replace('use_class = "unclassified"', 'use_class = "x"'),
    ),
  });
  const wrong = page.getByRole("list", { name: "What is wrong" });
  await wrong.locator("code").first().waitFor();
  expect(await page.locator("main").innerText()).not.toContain("`");
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("a label is entered from nothing until the check is content, and kept: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/shelf/labels/new");
  await current(page);
  expect(await page.getByRole("button", { name: "Keep the label" }).isDisabled()).toBe(true);
  const wrong = page.getByRole("list", { name: "What is wrong" });
  // What is missing is told with the way to it.
  await wrong.getByRole("button", { name: "Go to id", exact: true }).click();
  expect(await page.evaluate(() => document.activeElement?.id)).toBe("f-id");
  await page.keyboard.type(`fenmoor-sc-${size}`);
  await fill(page, {
    "product.name": "Fenmoor 1 SC (invented)",
    "product.label_version": "2026-03 (invented)",
    "product.use_class": "unclassified",
    "product.formulation": "SC",
    "product.signal_word": "caution",
    "product.active_ingredient[1].name": "inventrin",
    "product.active_ingredient[1].percent": "10",
  });
  for (const list of ["Precautions", "First aid", "Storage and disposal", "Use"]) {
    await page.getByRole("button", { name: `Add ${list}`, exact: true }).click();
  }
  await fill(page, {
    ...sentence("precaution[1]", "CAUTION. Harmful if swallowed."),
    ...sentence("first_aid[1]", "If swallowed: call a poison control center."),
    ...sentence("storage_and_disposal[1]", "Store in the original container."),
    "use[1].id": "lawn",
    ...sentence("use[1]", "Lawns: apply 0.2 to 0.4 fl oz per 1,000 sq ft."),
    "use[1].method": "broadcast",
  });
  await field(page, "use[1].sites").getByLabel("turf").check();
  await add(page, "use[1]", "pest");
  await field(page, "use[1].pest[1].name").fill("grasshopper");
  await add(page, "use[1]", "rate");
  await fill(page, {
    ...sentence("use[1].rate", "Apply 0.2 to 0.4 fl oz per 1,000 sq ft."),
    "use[1].rate.highest": "0.4 oz/1,000 sq ft",
  });
  // An ounce is no volume and no weight until somebody says which: told at the field, in words.
  await page.locator('[id="f-use[1].rate.highest-wrong"]').waitFor();
  await fill(page, {
    "use[1].rate.highest": "0.4 fl oz/1,000 sq ft",
    "use[1].rate.lowest": "0.2 fl oz/1,000 sq ft",
  });
  await page.getByText("Plans can use it.").waitFor();
  await current(page);
  expect(await page.getByRole("heading", { name: /^What is wrong/ }).count()).toBe(0);

  // An open question is answered with the label's own words, and is gone.
  const questions = page.getByRole("list", { name: "Open questions" }).getByRole("listitem");
  const before = await questions.count();
  expect(before).toBeGreaterThan(0);
  const asks = (await questions.allInnerTexts()).filter((text) => text.includes("carrier"));
  expect(asks.length).toBeGreaterThan(0);
  await add(page, "use[1]", "carrier");
  await fill(page, {
    ...sentence("use[1].carrier", "Apply in 1 to 4 gallons of water per 1,000 sq ft."),
    "use[1].carrier.at_least": "1 gal/1,000 sq ft",
    "use[1].carrier.at_most": "4 gal/1,000 sq ft",
  });
  await expect.poll(() => questions.count()).toBeLessThan(before);
  await page.getByRole("button", { name: "Keep the label" }).click();
  await page.waitForURL(/\/shelf\/labels\/[0-9a-f-]{36}$/);
  await page.getByText("All is kept.").waitFor();
  const { entries } = await asked<{ entries: { title: string }[] }>(home, "GET", "/api/labels");
  expect(entries.map(({ title }) => title)).toContain(`fenmoor-sc-${size}`);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("two versions of a label are compared sentence by sentence: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/shelf/labels/${of["brackwater-sc"]}`);
  await page.getByText("Plans can use it.").waitFor();
  await page.getByRole("button", { name: "Compare", exact: true }).click();
  await page.getByText("The two say the same.").waitFor();
  const older = demoFile("labels/brackwater-sc.toml")
    .replace("Do not irrigate treated areas for 24 hours", "Do not irrigate treated areas for 12 hours")
    .replace('prohibited_for = "24 h"', 'prohibited_for = "12 h"');
  await page
    .getByLabel("Or a file of the older version")
    .setInputFiles({ name: "older.toml", mimeType: "application/toml", buffer: Buffer.from(older) });
  const row = page.getByRole("row", { name: /irrigation/i });
  await row.getByText("none for 12.0 h").waitFor();
  await row.getByText("none for 24.0 h").waitFor();
  expect(await row.innerText()).toContain("changed");
  expect(
    await page.getByRole("region", { name: "Compare with another version" }).getByRole("row").count(),
  ).toBe(2);
  expect(await barriers(page)).toEqual([]);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("runs of a calibration are judged as they are written down: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/shelf/equipment/new");
  await current(page);
  await page.getByLabel("Called").fill("Backpack (invented)");
  await fill(page, {
    "equipment[1].id": "backpack",
    "equipment[1].kind": "backpack",
    "equipment[1].tank": "4 gal",
    "equipment[1].flow": "0.4 gal/min",
  });
  await add(page, "equipment[1]", "calibration");
  await fill(page, {
    "equipment[1].calibration[1].name": "lawn",
    "equipment[1].calibration[1].method": "test-area",
  });
  await fill(page, {
    "equipment[1].calibration[1].area": "250 sq ft",
    "equipment[1].calibration[1].refills": "53 fl oz\n75 fl oz\n54 fl oz",
  });
  const result = page.getByRole("region", { name: "What lawn gives" });
  await result.getByText("It may not be used.").waitFor();
  await fill(page, { "equipment[1].calibration[1].refills": "53 fl oz\n55 fl oz\n54 fl oz" });
  await result.getByText("It may be used.").waitFor();
  // 54 fl oz on 250 sq ft are 1.6875 gal on 1,000 sq ft; 4 gal cover 2,370 sq ft.
  expect(await result.innerText()).toContain("1.69 gal/1,000 sq ft");
  expect(await result.innerText()).toContain("2,370 sq ft");
  await page.getByText("Plans can use it.").waitFor();
  await page.getByRole("button", { name: "Keep the equipment" }).click();
  await page.waitForURL(/\/shelf\/equipment\/[0-9a-f-]{36}$/);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("stock falls after a record, and is corrected by hand: %s", async (size) => {
  const own = await house();
  const { visit } = await keepDemo(own);
  const { context, page, faults } = await reader(own.origin, size);
  await page.goto("/shelf/stock");
  const row = page.getByRole("row", { name: /B-0417/ });
  const left = () => row.getByRole("cell").first().innerText();
  // A US gallon is 3,785 mL.
  expect(await left()).toBe("3,785 mL (128 fl oz)");
  const document = await asked<{ request: string; files: Record<string, string> }>(
    own,
    "GET",
    `/api/visits/${visit}`,
  );
  const files = Object.fromEntries(
    Object.entries(document.files).filter(([name]) => !/^(thing|books):/.test(name)),
  );
  await asked(own, "POST", "/api/records/of-visit", { visit: document.request, files });
  await page.reload();
  await expect.poll(left).toBe("3,676 mL (124 fl oz)");
  await page.locator("#change-lot").selectOption({ label: "brackwater-sc, B-0417 (invented)" });
  await page.locator("#change-amount").fill("1 furlong");
  await page.locator("#change-reason").fill("spilled");
  await page.getByRole("button", { name: "Correct it" }).click();
  await page.getByRole("alert").waitFor();
  await page.locator("#change-amount").fill("4 fl oz");
  await page.getByRole("button", { name: "Correct it" }).click();
  await page.getByText("The correction is in the books.").waitFor();
  await expect.poll(left).toBe("3,558 mL (120 fl oz)");
  await page.locator("#lot-label").selectOption("gravelhome-gr");
  await page.locator("#lot-number").fill("G-1 (invented)");
  await page.locator("#lot-received").fill("25 lb");
  await page.getByRole("button", { name: "Take it in" }).click();
  await page.getByRole("row", { name: /G-1/ }).waitFor();
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
  await own.stop();
});
