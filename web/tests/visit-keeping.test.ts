// Two people at one visit, two windows of one person, and the ways between a visit, its property and the shelf.
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { asked, demoFile } from "./demo";
import {
  askedAs,
  barriers,
  closeBrowser,
  company,
  hire,
  house,
  keepDemo,
  keptThing,
  person,
  reader,
  sizes,
} from "./support";

afterAll(closeBrowser);

/** Waits until the plan is that of what is asked. */
const current = (page: Page) => page.locator(".told[aria-busy=false]").waitFor();

async function planned(page: Page, path: string): Promise<void> {
  await page.goto(path);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  await current(page);
}

async function open(page: Page, title: string): Promise<void> {
  const summary = page.locator(".asked summary", { hasText: title });
  if ((await summary.locator("..").getAttribute("open")) === null) await summary.click();
}

const keep = (page: Page) => page.getByRole("button", { name: "Keep the visit" }).click();
const conflict = (page: Page) =>
  page.getByRole("dialog", { name: "Somebody kept another version meanwhile" });

interface Kept {
  request: string;
}

test.each(sizes)(
  "two people change one visit, and nothing is overwritten: the second at a %s",
  async (size) => {
    const home = await company();
    const mara = await person(home, "mara", size === "phone" ? "desk" : "phone");
    await hire(mara.page, "noor");
    const noor = await person(home, "noor", size);
    const { visit } = await askedAs<{ visit: string }>(mara.page, "POST", "/api/demo");
    const path = `/visits/${visit}`;
    await planned(mara.page, path);
    await planned(noor.page, path);

    await open(mara.page, "Task 3: lawn");
    await mara.page.locator("#task-2-rates").selectOption("lowest");
    await open(mara.page, "Property, day and people");
    await mara.page.locator("#certification").fill("KS-11111");
    await current(mara.page);
    await keep(mara.page);
    await mara.page.getByText("The visit is in the books.").waitFor();

    await open(noor.page, "Property, day and people");
    await noor.page.locator("#certification").fill("KS-22222");
    await noor.page.locator("#name").fill("Alder Bend, by Noor");
    await current(noor.page);
    await keep(noor.page);
    const dialog = conflict(noor.page);
    await dialog.getByText("mara kept version 2 while you worked.", { exact: false }).waitFor();
    expect(await barriers(noor.page)).toEqual([]);
    // What each says is told in the words of the form, and never in the names of fields.
    const told = await dialog.innerText();
    for (const says of [
      "Certificate number: KS-22222",
      "Way to apply: Broadcast spray",
      "Rate: The label's lowest",
      "Where: The lawn that no other task claims",
    ])
      expect(told).toContain(says);
    expect(told).not.toMatch(/[a-z]_[a-z]|thing:|books:/);
    // What one of them alone changed is proposed; what both changed must be chosen.
    const part = (name: string) => dialog.getByRole("group", { name, exact: true });
    expect(await part("the task lawn").getByLabel("Theirs:").isChecked()).toBe(true);
    expect(await part("what it is called").getByLabel("Mine: Alder Bend, by Noor").isChecked()).toBe(true);
    await dialog.getByRole("button", { name: "Put it together" }).click();
    await dialog.getByRole("alert").getByText("Choose for each what holds.").waitFor();
    // Later is a choice, too: the books have hers, the device has his.
    await dialog.getByRole("button", { name: "Decide later" }).click();
    await noor.page.getByText("Changes are on this device alone.").waitFor();
    await expect
      .poll(() => noor.page.evaluate(() => document.activeElement?.textContent.trim()))
      .toBe("Keep the visit");
    const between = await askedAs<Kept>(mara.page, "GET", `/api/visits/${visit}`);
    expect(between.request).toContain("KS-11111");
    await keep(noor.page);
    await part("who applies").getByLabel("Mine:").check();
    await dialog.getByRole("button", { name: "Put it together" }).click();
    await noor.page.getByText("Both are put together here.", { exact: false }).waitFor();
    await current(noor.page);
    await keep(noor.page);
    await noor.page.getByText("The visit is in the books.").waitFor();

    const { request } = await askedAs<Kept>(noor.page, "GET", `/api/visits/${visit}`);
    for (const told of ["Alder Bend, by Noor", "KS-22222", 'rate = "lowest"'])
      expect(request).toContain(told);
    const versions = await askedAs<{ actor: string }[]>(noor.page, "GET", `/api/visits/${visit}/versions`);
    expect(versions.map(({ actor }) => actor)).toEqual(["mara", "mara", "noor"]);
    expect(mara.faults).toEqual([]);
    // The browser itself tells of the refusals.
    expect(noor.faults.filter((fault) => !fault.includes("412"))).toEqual([]);
    await mara.context.close();
    await noor.context.close();
    await home.stop();
  },
);

test.each(sizes)(
  "of two windows of one browser one keeps the draft, and neither overwrites the other: %s",
  async (size) => {
    const home = await house();
    const { visit } = await keepInvented(home.origin);
    const { context, page: first, faults } = await reader(home.origin, size);
    await planned(first, `/visits/${visit}`);
    const second = await context.newPage();
    await planned(second, `/visits/${visit}`);
    await second.getByText("Another window of this browser has this visit open.", { exact: false }).waitFor();
    await open(first, "Task 3: lawn");
    await first.locator("#task-2-rates").selectOption("lowest");
    await current(first);
    await keep(first);
    await first.getByText("The visit is in the books.").waitFor();
    await open(second, "Task 3: lawn");
    await second.locator("#task-2-rate").fill("0.3 fl oz/1,000 sq ft");
    await current(second);
    await keep(second);
    await conflict(second).getByRole("button", { name: "All mine" }).click();
    await conflict(second).getByRole("button", { name: "Put it together" }).click();
    await current(second);
    await keep(second);
    await second.getByText("The visit is in the books.").waitFor();
    const kept = await asked<Kept>(home, "GET", `/api/visits/${visit}`);
    expect(kept.request).toContain("0.3 fl oz/1,000 sq ft");
    // Taking all of theirs leaves nothing to keep.
    await first.locator("#task-2-rates").selectOption("highest lawful");
    await current(first);
    await keep(first);
    await conflict(first).getByRole("button", { name: "All theirs" }).click();
    await conflict(first).getByRole("button", { name: "Put it together" }).click();
    await first.getByText("All is kept.").waitFor();
    expect(await first.locator("#task-2-rate").inputValue()).toBe("0.3 fl oz/1,000 sq ft");
    expect(faults.filter((fault) => !fault.includes("412"))).toEqual([]);
    await context.close();
    await home.stop();
  },
);

async function keepInvented(origin: string): Promise<{ property: string; visit: string }> {
  const answer = await fetch(`${origin}/api/demo`, {
    method: "POST",
    headers: { "idempotency-key": crypto.randomUUID() },
  });
  return (await answer.json()) as { property: string; visit: string };
}

test.each(sizes)("a property leads to a visit on it, and a visit back to its property: %s", async (size) => {
  const home = await house();
  const { name, property, visit } = await keepDemo(home.origin);
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/properties/${property}`);
  await page.getByRole("link", { name: "Plan a visit here" }).click();
  await page.waitForURL(`**/visits/new?property=${property}`);
  await page.getByRole("heading", { level: 1, name }).waitFor();
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("link", { name: `To its property: ${name}` }).click();
  await page.waitForURL(`**/properties/${property}`);
  await page.getByRole("link", { name: "Plan a visit here" }).waitFor();
  await page.goto(`/visits/${visit}`);
  // This one came with a map of its own, and still leads to the property that it belongs to.
  await page.getByRole("link", { name: "To its property" }).click();
  await page.waitForURL(`**/properties/${property}`);
  // A property that is not kept yet cannot be planned on.
  await page.goto("/properties/new");
  await page.getByRole("heading", { level: 1, name: "New property" }).waitFor();
  expect(await page.getByRole("link", { name: "Plan a visit here" }).count()).toBe(0);
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
  await home.stop();
});

test.each(sizes)("a visit has the sprayer of one file and the spreader of another: %s", async (size) => {
  const home = await house();
  const { visit } = await keepInvented(home.origin);
  const spreader = [
    'format = "tussock.equipment/1"',
    "[[equipment]]",
    'id = "drop"',
    'kind = "drop-spreader"',
    'hopper = "20 lb"',
    "[[equipment.calibration]]",
    'name = "lawn"',
    'method = "stated"',
    'output = "2 lb/1,000 sq ft"',
    'found_by = "run out over a measured strip"',
    "date = 2026-06-15",
    'person = "J. Example"',
  ].join("\n");
  await keptThing(home.origin, "/api/equipment", {
    format: "tussock.kept-equipment/1",
    name: "Spreader (invented)",
    equipment: `${spreader}\n`,
  });
  await keptThing(home.origin, "/api/equipment", {
    format: "tussock.kept-equipment/1",
    name: "Twin of the pump (invented)",
    equipment: demoFile("alder-bend/equipment.toml"),
  });
  const { context, page, faults } = await reader(home.origin, size);
  await planned(page, `/visits/${visit}`);
  await open(page, "Labels and sprayer");
  await page.getByRole("checkbox", { name: "Spreader (invented)" }).check();
  await current(page);
  await open(page, "Task 3: lawn");
  const offered = page.locator("#task-2-equipment option");
  await expect.poll(() => offered.allInnerTexts()).toEqual(["hand-pump", "drop"]);
  expect(await barriers(page)).toEqual([]);
  await keep(page);
  await page.getByText("The visit is in the books.").waitFor();
  await planned(page, `/visits/${visit}`);
  await open(page, "Labels and sprayer");
  expect(await page.getByRole("checkbox", { name: "Spreader (invented)" }).isChecked()).toBe(true);
  expect(faults).toEqual([]);
  // Two pieces of one name cannot be told apart, and the page says what to do.
  await page.getByRole("checkbox", { name: "Twin of the pump (invented)" }).check();
  await page.getByText("two files of the visit have a piece of equipment called hand-pump").waitFor();
  await page.getByRole("checkbox", { name: "Twin of the pump (invented)" }).uncheck();
  await page.getByText("All is kept.").waitFor();
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
  await home.stop();
});
