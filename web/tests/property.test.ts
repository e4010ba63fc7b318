// Properties: drawn, typed, measured.
import type { Locator } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
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
} from "./map-support";
import { closeBrowser, house, sizes, type House } from "./support";

let home: House;

beforeAll(async () => {
  home = await house();
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

test.each(sizes)(
  "a lot, a lawn and a house are drawn with the pointer from nothing, and saved: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    const map = await openAt(page);
    await draw(page, map, "boundary", [
      [0, 0],
      [100, 0],
      [100, 80],
      [0, 80],
    ]);
    await shape(page, "boundary").waitFor();
    await draw(page, map, "structure", [
      [30, 30],
      [70, 30],
      [70, 60],
      [30, 60],
    ]);
    await draw(page, map, "turf", [
      [12, 10],
      [88, 10],
      [88, 20],
      [12, 20],
    ]);
    const lawn = await until(
      () => squareFeet(page, "turf"),
      (area) => area > 0,
    );
    expect(Math.abs(lawn - 760)).toBeLessThan(40);
    await page.getByText("of the lot has no kind").waitFor();
    // Lawn that does not fill the lot leaves ground without a kind: without it the rest is lawn.
    await page.locator(".tools").getByRole("button", { name: "Delete", exact: true }).click();
    await page.getByText("Lawn, what is left of the lot").waitFor();
    await page.getByLabel("Name", { exact: true }).fill("Drawn Acre");
    await save(page);
    await page.getByRole("heading", { level: 1, name: "Drawn Acre" }).waitFor();
    await page.getByText("All is saved.").waitFor();
    const { map: stored } = await kept(home, new URL(page.url()).pathname.split("/").pop()!);
    expect(stored.features.map((one) => one.properties.kind)).toEqual(["boundary", "structure"]);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "a lot and a house are made with the keyboard alone, from nothing to saved: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/properties/new");
    const type = async (label: Locator, text: string) => {
      await label.focus();
      await page.keyboard.press("ControlOrMeta+a");
      await page.keyboard.type(text);
    };
    await type(page.getByLabel("Latitude"), "38.84");
    await page.keyboard.press("Tab");
    await page.keyboard.type("-97.62");
    await page.keyboard.press("Enter");
    await mapped(page);
    const add = page.getByRole("form", { name: "Add a shape by figures" });
    const rectangle = async (kind: string, figures: string[]) => {
      await add.getByLabel("What it is").focus();
      await add.getByLabel("What it is").selectOption(kind);
      for (const [at, name] of [
        "East (ft)",
        "North (ft)",
        "Width, to the east (ft)",
        "Depth, to the north (ft)",
      ].entries()) {
        await type(add.getByLabel(name, { exact: true }), figures[at]!);
      }
      await page.keyboard.press("Enter");
      await shape(page, kind).waitFor();
    };
    await rectangle("boundary", ["0", "0", "100", "80"]);
    // The form of the next shape is still open, and the hand is at the one that was made.
    expect(await shape(page, "boundary").evaluate((one) => one === document.activeElement)).toBe(true);
    await rectangle("structure", ["20 ft", "20", "40", "9.144 m"]);
    // A corner by its offset, the next edge by its length, a corner more.
    await type(page.getByLabel("Corner 2, east in ft"), "65");
    await page.keyboard.press("Tab");
    await until(
      () => squareFeet(page, "structure"),
      (area) => area === 1275,
    );
    await type(page.getByLabel("Length from corner 1 to the next, in ft"), "50");
    await page.keyboard.press("Enter");
    await until(
      () => squareFeet(page, "structure"),
      (area) => area === 1350,
    );
    // On a phone this is offered for the corner where the hand is.
    await page.getByLabel("Corner 2, east in ft").focus();
    await page.getByRole("button", { name: "Add a corner behind corner 2" }).focus();
    await page.keyboard.press("Enter");
    await page.getByLabel("Corner 5, east in ft").waitFor();
    await type(page.getByLabel("Name", { exact: true }), "Typed Acre");
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { level: 1, name: "Typed Acre" }).waitFor();
    const { map } = await kept(home, new URL(page.url()).pathname.split("/").pop()!);
    expect(map.features[1]?.geometry.coordinates[0]).toHaveLength(6);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "a corner that two shapes share is dragged, and the areas of both follow while it is held: %s",
  async (size) => {
    const thing = await keep(home, "Twins", twins());
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/properties/${thing}`);
    const map = await mapped(page);
    await shape(page, "bed").click();
    await until(
      () => squareFeet(page, "bed"),
      (area) => area > 0,
    );
    const before = [await squareFeet(page, "bed"), await squareFeet(page, "walk")] as const;
    await map.drag([40, 40], [46, 40], async () => {
      await until(
        () => squareFeet(page, "bed"),
        (area) => area > before[0] + 40,
      );
      await until(
        () => squareFeet(page, "walk"),
        (area) => area < before[1] - 40,
      );
    });
    await page.getByText("The corner was moved, with 1 shape that share it.").waitFor({ state: "attached" });
    await until(
      async () => [await squareFeet(page, "bed"), await squareFeet(page, "walk")] as const,
      ([bed, walk]) => Math.abs(bed + walk - before[0] - before[1]) < 1,
    );
    await save(page);
    await page.getByText("Saved in the books.").waitFor();
    const { map: stored } = await kept(home, thing);
    const [bed, walk] = stored.features.slice(1).map((one) => one.geometry.coordinates[0]!);
    expect(walk!).toContainEqual(bed![2]);
    // An edge gives a new corner; the shared edge gives it to both.
    await map.drag([43, 30], [50, 30]);
    await page.getByLabel("Corner 5, east in ft").waitFor();
    await shape(page, "walk").click();
    await page.getByLabel("Corner 5, east in ft").waitFor();
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "a hole is cut, a shape split, moved, deleted; and many steps are taken back and again: %s",
  async (size) => {
    const thing = await keep(home, "Steps", twins());
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/properties/${thing}`);
    const map = await mapped(page);
    await shape(page, "bed").click();
    const bed = await until(
      () => squareFeet(page, "bed"),
      (area) => area > 390,
    );
    // A finger is broad: whoever draws by one looks nearer first.
    if (size === "phone") await page.getByRole("button", { name: "Nearer" }).click();
    await tool(page, "Cut a hole").click();
    for (const corner of [
      [25, 25],
      [32, 25],
      [32, 35],
      [25, 35],
    ] as const) {
      await map.press(corner[0], corner[1]);
    }
    await tool(page, "Finish").click();
    const withHole = await until(
      () => squareFeet(page, "bed"),
      (area) => area < bed - 60,
    );
    await page.getByRole("table", { name: "Hole 1" }).waitFor();
    // A hole that leaves the shape is refused, and nothing is lost.
    await tool(page, "Cut a hole").click();
    for (const corner of [
      [35, 30],
      [70, 30],
      [70, 35],
    ] as const) {
      await map.press(corner[0], corner[1]);
    }
    await tool(page, "Finish").click();
    await page.getByRole("alert").getByText("The hole leaves the shape").waitFor();
    await tool(page, "Give up").click();
    // The split runs beside the hole.
    await tool(page, "Split").click();
    await map.press(36, 15);
    await map.press(36, 45);
    await tool(page, "Finish").click();
    await shape(page, "bed-2").waitFor();
    const pieces = await until(
      async () => [await squareFeet(page, "bed:"), await squareFeet(page, "bed-2")],
      // The two figures are read one after the other, and may be of two answers.
      ([one, other]) => one! > 0 && other! > 0 && Math.abs(one! + other! - withHole) < 1,
    );
    expect(pieces.every((piece) => piece < withHole)).toBe(true);
    await shape(page, "walk").click();
    await tool(page, "Move").click();
    await map.drag([50, 30], [70, 50]);
    await tool(page, "Done moving").click();
    await page.getByText("Moved.").waitFor({ state: "attached" });
    await tool(page, "Delete").click();
    await shape(page, "walk").waitFor({ state: "detached" });
    for (let turn = 0; turn < 4; turn += 1) await tool(page, "Undo").click();
    await shape(page, "walk").waitFor();
    expect(await shape(page, "bed-2").count()).toBe(0);
    await until(
      () => squareFeet(page, "bed"),
      (area) => Math.abs(area - bed) < 0.5,
    );
    expect(await tool(page, "Undo").isDisabled()).toBe(true);
    await page.getByText("All is saved.").waitFor();
    await page.locator("h1").click();
    for (let turn = 0; turn < 4; turn += 1) await page.keyboard.press("ControlOrMeta+y");
    await shape(page, "walk").waitFor({ state: "detached" });
    await shape(page, "bed-2").waitFor();
    // As many steps as anybody takes: a corner is set forty times, and all of it is taken back.
    await shape(page, "lot").click();
    const east = page.getByLabel("Corner 1, east in ft");
    for (let turn = 1; turn <= 40; turn += 1) {
      await east.fill(`-${turn}`);
      await east.press("Tab");
    }
    await page.locator("h1").click();
    for (let turn = 0; turn < 44; turn += 1) await page.keyboard.press("ControlOrMeta+z");
    await page.getByText("All is saved.").waitFor();
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("a corner drawn near another one becomes the same: %s", async (size) => {
  const thing = await keep(home, `Near ${size}`, twins());
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/properties/${thing}`);
  const map = await mapped(page);
  // The first two are a foot beside corners of the walk.
  await draw(page, map, "mulch", [
    [60.8, 20.5],
    [60.8, 40.6],
    [80, 40],
    [80, 20],
  ]);
  await until(
    () => squareFeet(page, "mulch"),
    (area) => Math.abs(area - 400) < 30,
  );
  await save(page);
  await page.getByText("Saved in the books.").waitFor();
  const { map: stored } = await kept(home, thing);
  const [walk, mulch] = stored.features.slice(2).map((one) => one.geometry.coordinates[0]!);
  const same = mulch!.filter((corner) =>
    walk!.some((other) => Math.hypot(corner[0]! - other[0]!, corner[1]! - other[1]!) < 2e-9),
  );
  expect(new Set(same.map(String)).size).toBe(2);
  expect(faults).toEqual([]);
  await context.close();
});

test("the first page is small, and fetches nothing of the map", async () => {
  const { context, page, faults } = await reader(home.origin, "phone");
  let bytes = 0;
  const scripts: string[] = [];
  page.on("response", (response) => {
    void response
      .request()
      .sizes()
      .then(({ responseBodySize }) => (bytes += responseBodySize));
    if (response.url().endsWith(".js")) scripts.push(response.url());
  });
  await page.goto("/");
  await page.getByRole("heading", { level: 1, name: "Start" }).waitFor();
  await page.waitForLoadState("networkidle");
  expect(bytes).toBeGreaterThan(20_000);
  expect(bytes).toBeLessThan(250_000);
  for (const script of scripts) expect(await (await fetch(script)).text()).not.toContain("ol-viewport");
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("the list is searched, and the search has an address: %s", async (size) => {
  await keep(home, `Quince ${size}`);
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/properties");
  await page.getByLabel("Search by name").fill(`quince ${size}`);
  await page.getByRole("button", { name: "Search" }).click();
  await page.getByRole("link", { name: `Quince ${size}` }).waitFor();
  expect(new URL(page.url()).search).toBe(`?text=quince%20${size}`);
  await page.waitForFunction(() => document.querySelectorAll(".list li").length === 1);
  await page.reload();
  await page.getByRole("link", { name: `Quince ${size}` }).click();
  await page.getByRole("heading", { level: 1, name: `Quince ${size}` }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});
