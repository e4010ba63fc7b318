// Drafts, versions, and two people at one property.
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, expect, test } from "vitest";
import { layoutFaults } from "./layout";
import {
  draw,
  keep,
  kept,
  mapped,
  openAt,
  reader,
  save,
  shape,
  squareFeet,
  tool,
  twins,
  until,
  type Drawn,
} from "./map-support";
import { askedAs, barriers, closeBrowser, company, hire, house, person, sizes, type House } from "./support";

let home: House;

beforeAll(async () => {
  home = await house();
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

test.each(sizes)("an address keeps its lines: %s", async (size) => {
  const mine = await reader(home.origin, size);
  const { page } = mine;
  const address = "12 Alder Bend\nExampleville, KS 00000";
  const thing = await keep(home, `Lines ${size}`);
  await page.goto(`/properties/${thing}`);
  await mapped(page);
  await page.getByLabel("Address").fill(address);
  await save(page);
  await page.getByText("Saved in the books.").waitFor();
  await page.reload();
  await mapped(page);
  expect(await page.getByLabel("Address").inputValue()).toBe(address);
  // A stroke in it, and none of its lines is lost.
  await page.getByLabel("Address").press("End");
  await page.getByLabel("Address").pressSequentially("1");
  await save(page);
  await page.getByText("Saved in the books.").waitFor();
  const told = (await (await fetch(`${home.origin}/api/properties/${thing}`)).json()) as { address: string };
  expect(told.address.replace(/1(?=\n|$)/, "")).toBe(address);
  expect(mine.faults).toEqual([]);
  await mine.context.close();
});

test.each(sizes)(
  "two people change one property: nothing is overwritten, and one of them puts both together: %s",
  async (size) => {
    const shared = await company();
    const theirs = await person(shared, "mara", size);
    await hire(theirs.page, "noor");
    const mine = await person(shared, "noor", size);
    const { thing } = await askedAs<{ thing: string }>(theirs.page, "POST", "/api/properties", {
      format: "tussock.kept-property/1",
      name: "Shared Acre",
      map: twins(),
    });
    const keptNow = async () => {
      const { map } = await askedAs<{ map: string }>(theirs.page, "GET", `/api/properties/${thing}`);
      return (JSON.parse(map) as { features: Drawn[] }).features.map((one) => one.properties.name);
    };
    for (const { page } of [mine, theirs]) {
      page.setDefaultTimeout(8_000);
      await page.goto(`/properties/${thing}`);
      await mapped(page);
    }
    await shape(theirs.page, "walk").click();
    await theirs.page.getByLabel("What people call it").fill("Front walk");
    await theirs.page.getByLabel("What people call it").press("Tab");
    await save(theirs.page);
    await theirs.page.getByText("Saved in the books.").waitFor();
    await shape(mine.page, "bed").click();
    await mine.page.getByLabel("What people call it").fill("Rose bed");
    await mine.page.getByLabel("What people call it").press("Tab");
    await mine.page.getByLabel("Address").fill("4 Invented Lane");
    await save(mine.page);
    const dialog = mine.page.getByRole("dialog", { name: "Somebody kept another version" });
    await dialog.getByText("mara kept version 2 while you drew").waitFor();
    expect(await barriers(mine.page)).toEqual([]);
    const broken = (await layoutFaults(mine.page)).filter((fault) => fault.includes("breaks its frame"));
    expect(broken).toEqual([]);
    await dialog.getByRole("button", { name: "Put it together" }).click();
    await shape(mine.page, "Front walk").waitFor();
    await shape(mine.page, "Rose bed").waitFor();
    await save(mine.page);
    await mine.page.getByText("Saved in the books.").waitFor();
    expect(await keptNow()).toEqual([undefined, "Rose bed", "Front walk"]);
    // Both changed the same shape: a person must choose.
    await theirs.page.getByLabel("What people call it").fill("Their walk");
    await theirs.page.getByLabel("What people call it").press("Tab");
    await save(theirs.page);
    await theirs.page.getByRole("dialog").waitFor();
    await theirs.page.getByRole("button", { name: "Decide later" }).click();
    await theirs.page.getByText("Not saved yet.").waitFor();
    await shape(mine.page, "Front walk").click();
    await mine.page.getByLabel("What people call it").fill("My walk");
    await mine.page.getByLabel("What people call it").press("Tab");
    await save(mine.page);
    await mine.page.getByText("Saved in the books.").waitFor();
    await save(theirs.page);
    await theirs.page.getByRole("button", { name: "Put it together" }).click();
    await theirs.page.getByRole("alert").getByText("Choose for each what holds.").waitFor();
    await theirs.page.getByRole("button", { name: "All mine" }).click();
    await theirs.page.getByRole("group", { name: /^bed/ }).getByLabel("Theirs").check();
    await theirs.page.getByRole("group", { name: "Address" }).getByLabel("Theirs").check();
    await theirs.page.getByRole("button", { name: "Put it together" }).click();
    await save(theirs.page);
    await theirs.page.getByText("Saved in the books.").waitFor();
    expect(await keptNow()).toEqual([undefined, "Rose bed", "Their walk"]);
    for (const { context, faults } of [mine, theirs]) {
      expect(faults.filter((fault) => !fault.includes("status of 412"))).toEqual([]);
      await context.close();
    }
    await shared.stop();
  },
);

test.each(sizes)("of two windows of one person neither overwrites the other: %s", async (size) => {
  const thing = await keep(home, "One person, two windows", twins());
  const { context, page, faults } = await reader(home.origin, size);
  const second = await context.newPage();
  for (const window of [page, second]) {
    await window.goto(`/properties/${thing}`);
    await mapped(window);
  }
  for (const [window, was, name] of [
    [page, "bed", "First bed"],
    [second, "walk", "Second walk"],
  ] as const) {
    await shape(window, was).click();
    await window.getByLabel("What people call it").fill(name);
    await window.getByLabel("What people call it").press("Tab");
    await save(window);
  }
  await page.getByText("Saved in the books.").waitFor();
  await second.getByRole("dialog").getByRole("button", { name: "Put it together" }).click();
  await shape(second, "First bed").waitFor();
  await save(second);
  await second.getByText("Saved in the books.").waitFor();
  const { map } = await kept(home, thing);
  expect(map.features.map((one) => one.properties.name)).toEqual([undefined, "First bed", "Second walk"]);
  expect(faults.filter((fault) => !fault.includes("status of 412"))).toEqual([]);
  await context.close();
});

test.each(sizes)("a new property that is saved keeps the shape under the pencil: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  const map = await openAt(page);
  await page.getByLabel("Name", { exact: true }).fill("In the midst of a walk");
  await draw(page, map, "boundary", [
    [0, 0],
    [100, 0],
    [100, 80],
    [0, 80],
  ]);
  await shape(page, "boundary").waitFor();
  await page.locator(".tools").getByLabel("What it is").selectOption("edible");
  await tool(page, "Draw").click();
  await map.press(10, 10);
  await map.press(40, 10);
  await map.press(40, 40);
  await page.getByText("3 corners").waitFor();
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.waitForURL(/\/properties\/[0-9a-f-]{36}$/);
  const again = await mapped(page);
  await page.getByText("3 corners").waitFor();
  await again.press(10, 40);
  await tool(page, "Finish").click();
  const area = await until(
    () => squareFeet(page, "edible"),
    (found) => found > 0,
  );
  expect(Math.abs(area - 900)).toBeLessThan(30);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "a draft with a shape under the pencil survives loading again, and may be dropped: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    const map = await openAt(page);
    await page.getByLabel("Name", { exact: true }).fill("Half an Acre");
    await draw(page, map, "boundary", [
      [0, 0],
      [100, 0],
      [100, 80],
      [0, 80],
    ]);
    await shape(page, "boundary").waitFor();
    await page.locator(".tools").getByLabel("What it is").selectOption("edible");
    await tool(page, "Draw").click();
    await map.press(10, 10);
    await map.press(40, 10);
    await map.press(40, 40);
    await page.getByText("Not saved yet. Kept on this device meanwhile.").waitFor();
    await page.waitForTimeout(400);
    await page.reload();
    const again = await mapped(page);
    await page.getByText(/^Your draft of .* is back\.$/).waitFor();
    expect(await page.getByLabel("Name", { exact: true }).inputValue()).toBe("Half an Acre");
    await page.getByText("3 corners").waitFor();
    await again.press(10, 40);
    await tool(page, "Finish").click();
    const area = await until(
      () => squareFeet(page, "edible"),
      (found) => found > 0,
    );
    expect(Math.abs(area - 900)).toBeLessThan(30);
    await page.goto("/properties");
    await page.getByRole("link", { name: /^Half an Acre, begun [A-Z][a-z]+ \d+, \d{4}, \d\d:\d\d$/ }).click();
    await shape(page, "edible").waitFor();
    await page.getByRole("button", { name: "Drop the draft" }).click();
    await page.getByRole("dialog").getByRole("button", { name: "Drop the draft" }).click();
    await page.getByLabel("Latitude").waitFor();
    await page.goto("/properties");
    await page.getByRole("heading", { name: "Properties in the books" }).waitFor();
    expect(await page.getByRole("link", { name: ", begun " }).count()).toBe(0);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("drafts are listed by what they are called: %s", async (size) => {
  const thing = await keep(home, "Two windows", twins());
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/properties/${thing}`);
  await mapped(page);
  await page.locator("#address").fill("12 First Lane");
  await page.getByText("Not saved yet. Kept on this device meanwhile.").waitFor();
  await openAt(page);
  await page.locator("#address").fill("13 First Lane");
  await page.getByText("Not saved yet. Kept on this device meanwhile.").waitFor();
  // Whether the list has it or not.
  for (const at of ["/properties", "/properties?text=nowhere"]) {
    await page.goto(at);
    const drafts = page.getByRole("list", { name: "Not yet kept, on this device alone" });
    await drafts.getByRole("link", { name: "Changes to Two windows", exact: true }).waitFor();
    await drafts.getByRole("link", { name: /^A new property, begun [A-Z][a-z]+ \d+, \d{4}, / }).waitFor();
    expect(await drafts.getByRole("link").count()).toBe(2);
  }
  expect(await barriers(page)).toEqual([]);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("a second window of the browser leaves the draft to the first: %s", async (size) => {
  const thing = await keep(home, "Two windows", twins());
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/properties/${thing}`);
  await mapped(page);
  await shape(page, "bed").click();
  await page.getByLabel("What people call it").fill("First bed");
  await page.getByLabel("What people call it").press("Tab");
  await page.getByText("Not saved yet. Kept on this device meanwhile.").waitFor();
  const second = await context.newPage();
  await second.goto(`/properties/${thing}`);
  await second.getByText("This property is open in another window").waitFor();
  await shape(second, "bed").waitFor();
  expect(await shape(second, "First bed").count()).toBe(0);
  await second.close();
  await page.reload();
  await shape(page, "First bed").waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("an earlier version is looked at, compared, and taken up again: %s", async (size) => {
  const thing = await keep(home, "Old and new", twins());
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/properties/${thing}`);
  await mapped(page);
  await shape(page, "bed").click();
  await tool(page, "Delete").click();
  await save(page);
  await page.getByText("Saved in the books.").waitFor();
  await page.getByRole("link", { name: "Earlier versions" }).click();
  await page.getByRole("button", { name: "Version 1" }).click();
  await page.getByText("bed: was there, and is no more").waitFor();
  await page.getByRole("button", { name: "Take this version up again" }).click();
  await shape(page, "bed").waitFor();
  await save(page);
  await page.getByText("Saved in the books.").waitFor();
  expect((await kept(home, thing)).map.features).toHaveLength(3);
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name: "Hand out the map as GeoJSON" }).click(),
  ]);
  expect(download.suggestedFilename()).toBe("old-and-new.geojson");
  expect(
    (JSON.parse(readFileSync(await download.path(), "utf8")) as { features: unknown[] }).features,
  ).toHaveLength(3);
  expect(faults).toEqual([]);
  await context.close();
});
