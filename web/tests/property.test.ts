import { readFileSync } from "node:fs";
import type { Locator, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import {
  LOOKS,
  SIZES,
  barriers,
  closeBrowser,
  house,
  picture,
  reader as anyReader,
  type House,
  type Look,
  type Reader,
  type Size,
} from "./support";

const sizes = Object.keys(SIZES) as Size[];
const demo = readFileSync(new URL("../../demo/alder-bend/property.geojson", import.meta.url), "utf8");
const FOOT_M = 0.3048;
let home: House;

beforeAll(async () => {
  home = await house();
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

/** A reader who does not wait half a minute for what does not come. */
async function reader(origin: string, size: Size, look: Look = "day"): Promise<Reader> {
  const made = await anyReader(origin, size, look);
  made.page.setDefaultTimeout(8_000);
  return made;
}

/** Keeps a property as any page would, and tells its address. */
async function keep(name: string, map = demo): Promise<string> {
  const answer = await fetch(`${home.origin}/api/properties`, {
    method: "POST",
    headers: {
      "content-type": "application/json",
      "idempotency-key": crypto.randomUUID(),
      origin: home.origin,
    },
    body: JSON.stringify({ format: "tussock.kept-property/1", name, map }),
  });
  expect(answer.status, await answer.clone().text()).toBe(201);
  return ((await answer.json()) as { thing: string }).thing;
}

async function kept(thing: string): Promise<{ name: string; map: { features: Drawn[] } }> {
  const document = (await (await fetch(`${home.origin}/api/properties/${thing}`)).json()) as {
    name: string;
    map: string;
  };
  return { name: document.name, map: JSON.parse(document.map) as { features: Drawn[] } };
}
interface Drawn {
  id: string;
  properties: Record<string, unknown>;
  geometry: { type: string; coordinates: number[][][] };
}

/** The map on the page: where a spot in feet from its corner lies on the screen. */
class OnMap {
  readonly target: Locator;
  constructor(private readonly page: Page) {
    this.target = page.getByRole("group", { name: /^Map of/ });
  }

  async at(eastFt: number, northFt: number): Promise<{ x: number; y: number }> {
    const [east, north, scale] = ((await this.target.getAttribute("data-view")) ?? "")
      .split(" ")
      .map(Number) as [number, number, number];
    const box = (await this.target.boundingBox())!;
    return {
      x: box.x + box.width / 2 + (eastFt * FOOT_M - east) / scale,
      y: box.y + box.height / 2 - (northFt * FOOT_M - north) / scale,
    };
  }

  async press(eastFt: number, northFt: number): Promise<void> {
    const { x, y } = await this.at(eastFt, northFt);
    await this.page.mouse.move(x, y);
    await this.page.mouse.click(x, y);
    // Two presses within a quarter of a second are a double press, which ends a shape.
    await this.page.waitForTimeout(300);
  }

  async drag(from: [number, number], to: [number, number], during?: () => Promise<void>): Promise<void> {
    const [one, other] = [await this.at(...from), await this.at(...to)];
    await this.page.mouse.move(one.x, one.y);
    await this.page.mouse.down();
    await this.page.mouse.move((one.x + other.x) / 2, (one.y + other.y) / 2, { steps: 4 });
    await this.page.mouse.move(other.x, other.y, { steps: 4 });
    await during?.();
    await this.page.mouse.up();
  }
}

/** Waits until the map stands. */
async function mapped(page: Page): Promise<OnMap> {
  const map = new OnMap(page);
  await map.target.waitFor();
  await page.waitForFunction(
    () => (document.querySelector("[data-view]")?.getAttribute("data-view") ?? "") !== "",
  );
  await page.waitForTimeout(150);
  return map;
}

async function openAt(page: Page, latitude = "38.84", longitude = "-97.62"): Promise<OnMap> {
  await page.goto("/properties/new");
  await page.getByLabel("Latitude").fill(latitude);
  await page.getByLabel("Longitude").fill(longitude);
  await page.getByRole("button", { name: "Begin here" }).click();
  return mapped(page);
}

const shape = (page: Page, name: string) => page.locator("button.shape", { hasText: name });

async function draw(page: Page, map: OnMap, kind: string, corners: [number, number][]): Promise<void> {
  await page.locator(".tools").getByLabel("What it is").selectOption(kind);
  await page.getByRole("button", { name: "Draw", exact: true }).click();
  for (const corner of corners) await map.press(...corner);
  await page.getByRole("button", { name: "Finish" }).click();
}

async function save(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Save", exact: true }).click();
}

/** Square feet that the list tells of a shape. */
async function squareFeet(page: Page, name: string): Promise<number> {
  const text = await shape(page, name).innerText();
  const told = /([\d,.]+) sq ft/.exec(text)?.[1];
  return told === undefined ? Number.NaN : Number(told.replaceAll(",", ""));
}

async function until<Value>(read: () => Promise<Value>, is: (value: Value) => boolean): Promise<Value> {
  for (let turn = 0; ; turn += 1) {
    const value = await read();
    if (is(value)) return value;
    if (turn > 60) throw new Error(`still ${JSON.stringify(value)}`);
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}

describe.each(sizes)("at the size of a %s", (size) => {
  test.each(LOOKS)("the pages of properties in the look %s have no barrier", async (look) => {
    const thing = await keep(`Alder Bend ${size} ${look}`);
    const { context, page, faults } = await reader(home.origin, size, look);
    const tries: [string, string, () => Promise<unknown>][] = [
      ["properties", "/properties", () => page.getByRole("link", { name: `${size} ${look}` }).waitFor()],
      ["property-new", "/properties/new", () => page.getByLabel("Latitude").waitFor()],
      [
        "property",
        `/properties/${thing}`,
        async () => {
          await mapped(page);
          await shape(page, "house").click();
          await page.getByText("sq ft").first().waitFor();
        },
      ],
      [
        "property-versions",
        `/properties/${thing}/versions`,
        () => page.getByText("The map is the same as the newest.").waitFor(),
      ],
    ];
    for (const [name, path, ready] of tries) {
      await page.goto(path);
      await ready();
      await page.waitForLoadState("networkidle");
      expect(await barriers(page), `${path} in ${look}`).toEqual([]);
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect(overflow, `${path} is wider than the screen`).toBeLessThanOrEqual(0);
      await picture(page, name, look, size);
    }
    expect(faults).toEqual([]);
    await context.close();
  });

  test("tools are large enough and lie beside the map", async () => {
    const thing = await keep(`Targets ${size}`);
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/properties/${thing}`);
    const map = await mapped(page);
    await shape(page, "house").click();
    const box = (await map.target.boundingBox())!;
    for (const button of await page
      .locator("main button:visible, main select:visible, main input:visible")
      .all()) {
      const at = (await button.boundingBox())!;
      const isBox = await button.evaluate((element) => (element as HTMLInputElement).type === "checkbox");
      if (!isBox) expect(Math.round(at.height), await button.innerText()).toBeGreaterThanOrEqual(48);
      const apart =
        at.y >= box.y + box.height - 1 ||
        at.y + at.height <= box.y + 1 ||
        at.x >= box.x + box.width - 1 ||
        at.x + at.width <= box.x + 1;
      expect(apart, await button.innerText()).toBe(true);
    }
    expect(faults).toEqual([]);
    await context.close();
  });
});

test("a lot, a lawn and a house are drawn with the pointer from nothing, and saved", async () => {
  const { context, page, faults } = await reader(home.origin, "desk");
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
    [10, 5],
    [90, 5],
    [90, 25],
    [10, 25],
  ]);
  const lawn = await until(
    () => squareFeet(page, "turf"),
    (area) => area > 0,
  );
  expect(Math.abs(lawn - 1600)).toBeLessThan(40);
  await page.getByText("of the lot has no kind").waitFor();
  // Lawn that does not fill the lot leaves ground without a kind: without it the rest is lawn.
  await page.locator(".tools").getByRole("button", { name: "Delete", exact: true }).click();
  await page.getByText("Lawn, what is left of the lot").waitFor();
  await page.getByLabel("Name", { exact: true }).fill("Drawn Acre");
  await save(page);
  await page.getByRole("heading", { level: 1, name: "Drawn Acre" }).waitFor();
  await page.getByText("All is saved.").waitFor();
  const { map: stored } = await kept(new URL(page.url()).pathname.split("/").pop()!);
  expect(stored.features.map((one) => one.properties.kind)).toEqual(["boundary", "structure"]);
  await picture(page, "property-drawn", "day", "desk");
  expect(faults).toEqual([]);
  await context.close();
});

const tool = (page: Page, name: string) => page.locator(".tools").getByRole("button", { name, exact: true });

test("a lot and a house are made with the keyboard alone, from nothing to saved", async () => {
  const { context, page, faults } = await reader(home.origin, "desk");
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
  await page.getByText("Add a shape by figures").focus();
  await page.keyboard.press("Enter");
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
  await page.getByRole("button", { name: "Add a corner behind corner 2" }).focus();
  await page.keyboard.press("Enter");
  await page.getByLabel("Corner 5, east in ft").waitFor();
  await type(page.getByLabel("Name", { exact: true }), "Typed Acre");
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { level: 1, name: "Typed Acre" }).waitFor();
  const { map } = await kept(new URL(page.url()).pathname.split("/").pop()!);
  expect(map.features[1]?.geometry.coordinates[0]).toHaveLength(6);
  expect(faults).toEqual([]);
  await context.close();
});

const twins = (): string => {
  // 100 by 80 ft, a bed and a walk side by side that share an edge.
  const at = (east: number, north: number) => [
    -97.62 + (east * FOOT_M) / 86_810,
    38.84 + (north * FOOT_M) / 111_005,
  ];
  const area = (id: string, kind: string, corners: [number, number][]) => ({
    type: "Feature",
    id,
    properties: { kind },
    geometry: { type: "Polygon", coordinates: [[...corners, corners[0]!].map(([e, n]) => at(e, n))] },
  });
  const box = (e: number, n: number, w: number, d: number): [number, number][] => [
    [e, n],
    [e + w, n],
    [e + w, n + d],
    [e, n + d],
  ];
  return JSON.stringify({
    type: "FeatureCollection",
    features: [
      area("lot", "boundary", box(0, 0, 100, 80)),
      area("bed", "ornamental", box(20, 20, 20, 20)),
      area("walk", "paved", box(40, 20, 20, 20)),
    ],
  });
};

test("a corner that two shapes share is dragged, and the areas of both follow while it is held", async () => {
  const thing = await keep("Twins", twins());
  const { context, page, faults } = await reader(home.origin, "desk");
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
  const after = [await squareFeet(page, "bed"), await squareFeet(page, "walk")] as const;
  expect(Math.abs(after[0] + after[1] - before[0] - before[1])).toBeLessThan(1);
  await save(page);
  await page.getByText("Saved in the books.").waitFor();
  const { map: stored } = await kept(thing);
  const [bed, walk] = stored.features.slice(1).map((one) => one.geometry.coordinates[0]!);
  expect(walk!).toContainEqual(bed![2]);
  expect(faults).toEqual([]);
  await context.close();
});

test("a hole is cut, a shape split, moved, deleted; and many steps are taken back and again", async () => {
  const thing = await keep("Steps", twins());
  const { context, page, faults } = await reader(home.origin, "desk");
  await page.goto(`/properties/${thing}`);
  const map = await mapped(page);
  await shape(page, "bed").click();
  const bed = await until(
    () => squareFeet(page, "bed"),
    (area) => area > 390,
  );
  await tool(page, "Cut a hole").click();
  for (const corner of [
    [25, 25],
    [32, 25],
    [32, 35],
    [25, 35],
  ] as const) {
    await map.press(...corner);
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
    await map.press(...corner);
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
    ([one, other]) => one! > 0 && other! > 0,
  );
  expect(Math.abs(pieces[0]! + pieces[1]! - withHole)).toBeLessThan(1);
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
});

test("wrong files are told, one by one, and nothing is lost", async () => {
  const thing = await keep("Wrong files", twins());
  const { context, page, faults } = await reader(home.origin, "desk");
  await page.goto(`/properties/${thing}`);
  await mapped(page);
  const take = (name: string, body: string) =>
    page
      .getByLabel("Take in a map: GeoJSON, KML or GPX")
      .setInputFiles({ name, mimeType: "application/octet-stream", buffer: Buffer.from(body) });
  for (const [name, body, says] of [
    ["plan.pdf", "%PDF-1.7 and so on", "the file is a PDF, which holds a picture of a map and no shapes"],
    ["broken.geojson", '{"type": "FeatureCollection",\n "features": [}', "this is not JSON"],
    ["other.xml", "<note><to>nobody</to></note>", "the file is XML of another kind"],
    ["torn.kml", "<kml><Placemark>", "the file is XML that breaks off"],
    ["empty.gpx", "", "the file is empty"],
  ] as const) {
    await take(name, body);
    await page.getByRole("alert").getByText(says).waitFor();
    await page.getByText(`Nothing of ${name} was taken in, and the map is as it was.`).waitFor();
  }
  expect(await page.locator("button.shape").count()).toBe(3);
  // An outline that crosses itself is told, may be taken in, and is mended or taken back on the map.
  const crossing = {
    type: "Feature",
    id: "pond",
    properties: { kind: "water" },
    geometry: {
      type: "Polygon",
      coordinates: [
        [
          [-97.6199, 38.8401],
          [-97.6198, 38.84015],
          [-97.6198, 38.8401],
          [-97.6199, 38.84015],
          [-97.6199, 38.8401],
        ],
      ],
    },
  };
  await take("crossing.geojson", JSON.stringify(crossing));
  await page.getByRole("alert").getByText("the ring crosses itself").waitFor();
  await page.getByRole("button", { name: "Take in 1 shape" }).click();
  await shape(page, "pond").waitFor();
  await page.locator(".told ol").getByText("the ring crosses itself").waitFor();
  await page
    .getByRole("button", { name: /^Show on the map/ })
    .first()
    .click();
  await save(page);
  await page.getByRole("alert").getByText("the ring crosses itself").waitFor();
  await tool(page, "Undo").click();
  await page.getByText("All is saved.").waitFor();
  expect((await kept(thing)).map.features).toHaveLength(3);
  expect(faults.filter((fault) => !fault.includes("status of 422"))).toEqual([]);
  await context.close();
});

test("KML and GPX are taken in, each shape as what a person says it is", async () => {
  const { context, page, faults } = await reader(home.origin, "phone");
  await page.goto("/properties/new");
  const ring = "-97.62,38.84,0 -97.6196,38.84,0 -97.6196,38.8403,0 -97.62,38.8403,0 -97.62,38.84,0";
  const kml = `<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>
    <Placemark><name>The lot</name><ExtendedData><Data name="kind"><value>boundary</value></Data></ExtendedData>
      <Polygon><outerBoundaryIs><LinearRing><coordinates>${ring}</coordinates></LinearRing></outerBoundaryIs></Polygon>
    </Placemark>
    <Placemark><name>Bees</name><Point><coordinates>-97.6197,38.8401</coordinates></Point></Placemark>
  </Document></kml>`;
  const files = page.getByLabel("Take in a map: GeoJSON, KML or GPX");
  await files.setInputFiles({ name: "lot.kml", mimeType: "text/xml", buffer: Buffer.from(kml) });
  await page.getByLabel("What Bees is").selectOption("hive");
  await page.getByRole("button", { name: "Take in 2 shapes" }).click();
  await mapped(page);
  await shape(page, "The lot").waitFor();
  const points = [
    [38.84005, -97.6199],
    [38.84005, -97.6198],
    [38.84015, -97.6198],
    [38.84015, -97.6199],
    [38.84005, -97.6199],
  ].map(([latitude, longitude]) => `<trkpt lat="${latitude}" lon="${longitude}"/>`);
  const gpx = `<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">
    <trk><name>Round the bed</name><trkseg>${points.join("")}</trkseg></trk></gpx>`;
  await files.setInputFiles({ name: "walk.gpx", mimeType: "text/xml", buffer: Buffer.from(gpx) });
  expect(await page.getByLabel("Close Round the bed to an area").isChecked()).toBe(true);
  await page.getByLabel("What Round the bed is").selectOption("ornamental");
  await page.getByRole("button", { name: "Take in 1 shape" }).click();
  await until(
    () => squareFeet(page, "Round the bed"),
    (area) => area > 900,
  );
  await page.getByLabel("Name", { exact: true }).fill("Imported");
  await save(page);
  await page.getByRole("heading", { level: 1, name: "Imported" }).waitFor();
  const { map } = await kept(new URL(page.url()).pathname.split("/").pop()!);
  expect(map.features.map((one) => [one.id, one.properties.kind, one.geometry.type])).toEqual([
    ["the-lot", "boundary", "Polygon"],
    ["bees", "hive", "Point"],
    ["round-the-bed", "ornamental", "Polygon"],
  ]);
  expect(faults).toEqual([]);
  await context.close();
});

test("a photo is laid under the map, scaled by two places, and is there after loading again", async () => {
  const { context, page, faults } = await reader(home.origin, "desk");
  const map = await openAt(page);
  const png = await page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [400, 300];
    const pen = canvas.getContext("2d")!;
    pen.fillStyle = "#8a6";
    pen.fillRect(0, 0, 400, 300);
    pen.fillStyle = "#530";
    pen.fillRect(20, 20, 100, 60);
    const blob = await new Promise<Blob>((resolve) => canvas.toBlob((made) => resolve(made!), "image/png"));
    return [...new Uint8Array(await blob.arrayBuffer())];
  });
  await page
    .getByLabel("Photo", { exact: true })
    .setInputFiles({ name: "wrong.txt", mimeType: "text/plain", buffer: Buffer.from("no picture") });
  await page.getByRole("alert").getByText("wrong.txt is no picture").waitFor();
  await page
    .getByLabel("Photo", { exact: true })
    .setInputFiles({ name: "above.png", mimeType: "image/png", buffer: Buffer.from(png) });
  await page.getByRole("button", { name: "Press the two places" }).click();
  await map.press(10, 20);
  await map.press(30, 20);
  const shown = async (label: string) => Number(await page.getByLabel(label).inputValue());
  await until(
    () => shown("Place B, east"),
    (east) => Math.abs(east - 30) < 0.5,
  );
  await page.getByLabel("Distance from A to B").fill("50");
  await page.getByRole("button", { name: "Scale the photo" }).click();
  await page.getByText("The photo was scaled.").waitFor();
  const east = (await shown("Place B, east")) - (await shown("Place A, east"));
  expect(Math.abs(east - 50)).toBeLessThan(0.02);
  await page.getByLabel("Turn clockwise by").fill("15");
  await page.getByRole("button", { name: "Turn", exact: true }).click();
  await page.getByLabel("World file (.jgw, .pgw, .wld)").setInputFiles({
    name: "a.pgw",
    mimeType: "text/plain",
    buffer: Buffer.from("0.3\n0\n0\n-0.3\n600000\n4300000"),
  });
  await page.getByRole("alert").getByText("does not count in degrees").waitFor();
  await page.getByLabel("World file (.jgw, .pgw, .wld)").setInputFiles({
    name: "a.pgw",
    mimeType: "text/plain",
    buffer: Buffer.from("1e-6\n0\n0\n-1e-6\n-97.6202\n38.8403"),
  });
  await page.getByText("The photo lies where the world file says.").waitFor();
  await page.waitForTimeout(300);
  const colour = () =>
    page.evaluate(() => {
      const canvas = document.querySelector<HTMLCanvasElement>("canvas.backdrop")!;
      return [...canvas.getContext("2d")!.getImageData(canvas.width / 2, canvas.height / 2, 1, 1).data].slice(
        0,
        3,
      );
    });
  const [red, green, blue] = await colour();
  expect(green! > red! && red! > blue!, `the photo's green, not ${[red, green, blue].join()}`).toBe(true);
  await picture(page, "property-photo", "day", "desk");
  await page.reload();
  await mapped(page);
  await page.getByRole("button", { name: "Take the photo away" }).waitFor();
  await page.getByRole("button", { name: "Take the photo away" }).click();
  await page.getByRole("button", { name: "Press the two places" }).waitFor({ state: "detached" });
  expect(faults).toEqual([]);
  await context.close();
});

test("a boundary is walked: readings are averaged at each stop, and the accuracy is told", async () => {
  const { context, page, faults } = await reader(home.origin, "phone");
  await context.grantPermissions(["geolocation"], { origin: home.origin });
  const stand = (latitude: number, longitude: number, accuracy: number) =>
    context.setGeolocation({ latitude, longitude, accuracy });
  await stand(38.84, -97.62, 4);
  await openAt(page);
  await page.getByRole("button", { name: "Walk a boundary" }).click();
  await page.getByText("Off by up to 13.12 ft. 1 reading at this stop").waitFor();
  await stand(38.840002, -97.62, 3);
  await page.getByText("2 readings at this stop").waitFor();
  await picture(page, "property-walk", "day", "phone");
  expect(await barriers(page)).toEqual([]);
  // Whoever walks has the map and the button on one screen.
  const [map, button] = [page.locator("[data-view]"), page.getByRole("button", { name: "Take this corner" })];
  const [above, below] = [(await map.boundingBox())!, (await button.boundingBox())!];
  expect(below.y + below.height - above.y).toBeLessThan(SIZES.phone.height);
  await page.getByRole("button", { name: "Take this corner" }).click();
  for (const [corner, latitude, longitude] of [
    [2, 38.84, -97.6196],
    [3, 38.8403, -97.6196],
    [4, 38.8403, -97.62],
  ] as const) {
    await stand(latitude, longitude, 3);
    await page.getByText("1 reading at this stop").waitFor();
    await page.getByRole("button", { name: "Take this corner" }).click();
    await page.getByText(`Corner ${corner} was taken.`).waitFor();
  }
  await page.locator("section.tools").getByRole("button", { name: "Finish" }).click();
  const area = await until(
    () => squareFeet(page, "boundary"),
    (found) => found > 0,
  );
  // 0.0004 by 0.0003 degrees there: 34.7 m by 33.3 m.
  expect(area).toBeGreaterThan(12_200);
  expect(area).toBeLessThan(12_600);
  await page.getByRole("button", { name: "Walk a boundary" }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test("two people change one property: nothing is overwritten, and one of them puts both together", async () => {
  const thing = await keep("Shared Acre", twins());
  const [mine, theirs] = [await reader(home.origin, "desk"), await reader(home.origin, "desk")];
  for (const { page } of [mine, theirs]) {
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
  await dialog.getByText("kept version 2 while you drew").waitFor();
  expect(await barriers(mine.page)).toEqual([]);
  await picture(mine.page, "property-conflict", "day", "desk");
  await dialog.getByRole("button", { name: "Put it together" }).click();
  await shape(mine.page, "Front walk").waitFor();
  await shape(mine.page, "Rose bed").waitFor();
  await save(mine.page);
  await mine.page.getByText("Saved in the books.").waitFor();
  const { map } = await kept(thing);
  expect(map.features.map((one) => one.properties.name)).toEqual([undefined, "Rose bed", "Front walk"]);
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
  expect((await kept(thing)).map.features.map((one) => one.properties.name)).toEqual([
    undefined,
    "Rose bed",
    "Their walk",
  ]);
  for (const { context, faults } of [mine, theirs]) {
    expect(faults.filter((fault) => !fault.includes("status of 412"))).toEqual([]);
    await context.close();
  }
});

test("a draft with a shape under the pencil survives loading again, and may be dropped", async () => {
  const { context, page, faults } = await reader(home.origin, "desk");
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
  await page.getByRole("link", { name: "A new property" }).click();
  await shape(page, "edible").waitFor();
  await page.getByRole("button", { name: "Drop the draft" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "Drop the draft" }).click();
  await page.getByLabel("Latitude").waitFor();
  await page.goto("/properties");
  await page.getByRole("heading", { name: "Properties in the books" }).waitFor();
  expect(await page.getByRole("link", { name: "A new property" }).count()).toBe(0);
  expect(faults).toEqual([]);
  await context.close();
});

test("a second window of the browser leaves the draft to the first", async () => {
  const thing = await keep("Two windows", twins());
  const { context, page, faults } = await reader(home.origin, "desk");
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

test("fingers draw on a phone, and a corner near another one becomes the same", async () => {
  const thing = await keep("Fingers", twins());
  const { context, page, faults } = await reader(home.origin, "phone");
  await page.goto(`/properties/${thing}`);
  const map = await mapped(page);
  await page.locator(".tools").getByLabel("What it is").selectOption("mulch");
  await tool(page, "Draw").click();
  await map.target.scrollIntoViewIfNeeded();
  // The first two are a foot beside corners of the walk.
  for (const corner of [
    [60.8, 20.5],
    [60.8, 40.6],
    [80, 40],
    [80, 20],
  ] as const) {
    const { x, y } = await map.at(...corner);
    await page.touchscreen.tap(x, y);
    await page.waitForTimeout(300);
  }
  await tool(page, "Finish").click();
  await until(
    () => squareFeet(page, "mulch"),
    (area) => Math.abs(area - 400) < 30,
  );
  await save(page);
  await page.getByText("Saved in the books.").waitFor();
  const { map: stored } = await kept(thing);
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

test("an earlier version is looked at, compared, and taken up again", async () => {
  const thing = await keep("Old and new", twins());
  const { context, page, faults } = await reader(home.origin, "desk");
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
  expect((await kept(thing)).map.features).toHaveLength(3);
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

test("the list is searched, and the search has an address", async () => {
  await keep("Quince Corner");
  const { context, page, faults } = await reader(home.origin, "phone");
  await page.goto("/properties");
  await page.getByLabel("Search by name").fill("quince");
  await page.getByRole("button", { name: "Search" }).click();
  await page.getByRole("link", { name: "Quince Corner" }).waitFor();
  expect(new URL(page.url()).search).toBe("?text=quince");
  await page.waitForFunction(() => document.querySelectorAll(".list li").length === 1);
  await page.reload();
  await page.getByRole("link", { name: "Quince Corner" }).click();
  await page.getByRole("heading", { level: 1, name: "Quince Corner" }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});
