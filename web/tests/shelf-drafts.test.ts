// What is typed into the forms of the shelf and not kept: still there after loading again or closing, told, dropped.
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { asked, demoFile } from "./demo";
import { barriers, closeBrowser, house, keptThing, reader, sizes, type House } from "./support";

let home: House;

beforeEach(async () => {
  home = await house();
});
afterEach(() => home.stop());
afterAll(closeBrowser);

const field = (page: Page, path: string) => page.locator(`[id="f-${path}"]`);
const found = (page: Page) => page.getByText("was found on this device", { exact: false });
const unkept = (page: Page) => page.getByText("Not kept yet. It stays on this device meanwhile.");

async function drop(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Drop what was typed" }).first().click();
  await page.getByRole("dialog").getByRole("button", { name: "Drop what was typed" }).click();
}

test.each(sizes)(
  "a label half typed outlives loading again and a closed window, until it is kept: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/shelf/labels/new");
    await page.locator(".standing[aria-busy=false]").waitFor();
    expect(await page.getByRole("button", { name: "Drop what was typed" }).count()).toBe(0);
    // A file with a remark of its writer, and a field changed beside it.
    const text = `# Typed in from the container by J. Example (invented).\n${demoFile("labels/brackwater-sc.toml")}`;
    await page
      .getByLabel("Take in a label file")
      .setInputFiles({ name: "label.toml", mimeType: "application/toml", buffer: Buffer.from(text) });
    await page.getByText("Plans can use it.").waitFor();
    await page.locator("summary", { hasText: "The container in hand" }).click();
    await page.locator("#compared-by").fill("J. Example (invented)");
    await unkept(page).waitFor();
    expect(await barriers(page)).toEqual([]);
    await page.reload();
    await found(page).waitFor();
    expect(await field(page, "id").inputValue()).toBe("brackwater-sc");
    expect(await page.locator("#compared-by").inputValue()).toBe("J. Example (invented)");
    expect(await barriers(page)).toEqual([]);

    // The window is closed by mistake; the shelf leads back to what was typed there.
    await page.close();
    const again = await context.newPage();
    await again.goto("/shelf");
    const drafts = again.getByRole("list", { name: "Not kept yet, on this device" });
    await drafts.getByRole("link", { name: "New label" }).waitFor();
    expect(await barriers(again)).toEqual([]);
    await drafts.getByRole("link", { name: "New label" }).click();
    await found(again).waitFor();
    await again.getByRole("button", { name: "Keep the label" }).click();
    await again.waitForURL(/\/shelf\/labels\/[0-9a-f-]{36}$/);
    await again.getByText("All is kept.").waitFor();
    // It was kept as its writer wrote it, and is no draft any more.
    const thing = new URL(again.url()).pathname.split("/").at(-1)!;
    const { label } = await asked<{ label: string }>(home, "GET", `/api/labels/${thing}`);
    expect(label).toBe(text);
    await again.goto("/shelf");
    await again.getByRole("link", { name: "brackwater-sc" }).waitFor();
    expect(await drafts.count()).toBe(0);
    await again.goto("/shelf/labels/new");
    await again.locator(".standing[aria-busy=false]").waitFor();
    expect(await field(again, "id").inputValue()).toBe("");
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "changes of a kept sprayer are held against the version that they were begun on, and can be dropped: %s",
  async (size) => {
    const document = {
      format: "tussock.kept-equipment/1",
      name: "Pump (invented)",
      equipment: demoFile("alder-bend/equipment.toml"),
    };
    const thing = await keptThing(home.origin, "/api/equipment", document);
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/shelf/equipment/${thing}`);
    await page.getByText("All is kept.").waitFor();
    await field(page, "equipment[1].tank").fill("3 gal");
    await unkept(page).waitFor();
    await page.goto("/shelf");
    await page
      .getByRole("list", { name: "Not kept yet, on this device" })
      .getByRole("link", { name: "Pump (invented)" })
      .click();
    await found(page).waitFor();
    expect(await field(page, "equipment[1].tank").inputValue()).toBe("3 gal");
    // Another window leaves the draft to this one, and says so.
    const second = await context.newPage();
    await second.goto(`/shelf/equipment/${thing}`);
    await second.getByText("Another window of this browser has this page open", { exact: false }).waitFor();
    expect(await field(second, "equipment[1].tank").inputValue()).toBe("2 gal");
    expect(await barriers(second)).toEqual([]);
    await second.close();

    // Somebody kept another version meanwhile: the draft does not overwrite it.
    const theirs = await fetch(`${home.origin}/api/equipment/${thing}`, {
      method: "PUT",
      headers: {
        "content-type": "application/json",
        "idempotency-key": crypto.randomUUID(),
        "if-match": '"1"',
      },
      body: JSON.stringify({ ...document, note: "theirs" }),
    });
    expect(theirs.status).toBe(200);
    await page.reload();
    await found(page).waitFor();
    await page.getByText("Plans can use it.").waitFor();
    await page.getByRole("button", { name: "Keep the equipment" }).click();
    const dialog = page.getByRole("dialog", { name: "Somebody kept another version meanwhile" });
    await dialog.getByRole("button", { name: "Decide later" }).click();
    expect(await field(page, "equipment[1].tank").inputValue()).toBe("3 gal");

    await drop(page);
    await page.getByText("All is kept.").waitFor();
    expect(await field(page, "equipment[1].tank").inputValue()).toBe("2 gal");
    expect(await page.locator("#note").inputValue()).toBe("theirs");
    // The button is gone, and the focus is not.
    await expect.poll(() => page.evaluate(() => window.document.activeElement?.tagName)).not.toBe("BODY");
    await page.reload();
    await page.getByText("All is kept.").waitFor();
    expect(await found(page).count()).toBe(0);
    expect(faults.filter((fault) => !fault.includes("412"))).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("a new sprayer that was dropped is an empty form, and stays one: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/shelf/equipment/new");
  await page.getByLabel("Called").fill("Not this one");
  await unkept(page).waitFor();
  await drop(page);
  await page.getByRole("button", { name: "Drop what was typed" }).waitFor({ state: "detached" });
  expect(await page.getByLabel("Called").inputValue()).toBe("");
  await page.reload();
  await page.locator(".standing[aria-busy=false]").waitFor();
  expect(await page.getByLabel("Called").inputValue()).toBe("");
  expect(faults).toEqual([]);
  await context.close();
});
