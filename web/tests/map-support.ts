// What the tests of maps share: where a spot of the plane lies on the screen, and properties to work on.
import { readFileSync } from "node:fs";
import type { Locator, Page } from "playwright-core";
import { expect } from "vitest";
import { drag, isTouched, press, type Place } from "./hand";
import { reader as anyReader, type House, type Look, type Reader, type Size } from "./support";

/** The invented property of the demo. */
export const demo = readFileSync(new URL("../../demo/alder-bend/property.geojson", import.meta.url), "utf8");
const FOOT_M = 0.3048;

/** A reader who does not wait half a minute for what does not come. */
export async function reader(origin: string, size: Size, look: Look = "day"): Promise<Reader> {
  const made = await anyReader(origin, size, look);
  made.page.setDefaultTimeout(8_000);
  return made;
}

/** Keeps a property as any page would, and tells its address. */
export async function keep(home: House, name: string, map = demo): Promise<string> {
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

export async function kept(
  home: House,
  thing: string,
): Promise<{ name: string; map: { features: Drawn[] } }> {
  const document = (await (await fetch(`${home.origin}/api/properties/${thing}`)).json()) as {
    name: string;
    map: string;
  };
  return { name: document.name, map: JSON.parse(document.map) as { features: Drawn[] } };
}
export interface Drawn {
  id: string;
  properties: Record<string, unknown>;
  geometry: { type: string; coordinates: number[][][] };
}

/** The map on the page: where a spot in feet from its corner lies on the screen. */
export class OnMap {
  readonly target: Locator;
  constructor(private readonly page: Page) {
    this.target = page.getByRole("group", { name: /^Map of/ });
  }

  /**
   * How the map stands: metres east and north of its middle, metres for a pixel either way, and its middle on the
   * screen. What is drawn has whole pixels, and is fitted into a box that need not.
   */
  private async stands() {
    const [east, north, scale] = ((await this.target.getAttribute("data-view")) ?? "")
      .split(" ")
      .map(Number) as [number, number, number];
    const box = await this.target.evaluate((target) => {
      const { x, y, width, height } = target.getBoundingClientRect();
      return { x, y, width, height, across: target.clientWidth, down: target.clientHeight };
    });
    return {
      east,
      north,
      across: (scale * box.across) / box.width,
      down: (scale * box.down) / box.height,
      x: box.x + box.width / 2,
      y: box.y + box.height / 2,
    };
  }

  /** The spot on the map's plane, in metres, that lies at a place on the screen. */
  async spotAt({ x, y }: Place): Promise<[number, number]> {
    const middle = await this.stands();
    return [middle.east + (x - middle.x) * middle.across, middle.north - (y - middle.y) * middle.down];
  }

  async at(eastFt: number, northFt: number): Promise<Place> {
    const { east, north, across, down, x, y } = await this.stands();
    return { x: x + (eastFt * FOOT_M - east) / across, y: y - (northFt * FOOT_M - north) / down };
  }

  async press(eastFt: number, northFt: number): Promise<void> {
    await this.target.scrollIntoViewIfNeeded();
    await press(this.page, await this.at(eastFt, northFt));
    // Two presses within a quarter of a second are a double press, which ends a shape.
    await this.page.waitForTimeout(300);
  }

  /** Drags what lies at a spot to another one. A finger takes hold of what it tapped before. */
  async drag(from: [number, number], to: [number, number], during?: () => Promise<void>): Promise<void> {
    await this.target.scrollIntoViewIfNeeded();
    await drag(this.page, await this.at(...from), await this.at(...to), during);
  }
}

/** A mouse takes any corner of a visit's map; a finger takes those of the shape that it tapped first. */
export async function tapFirst(page: Page, map: OnMap, eastFt: number, northFt: number): Promise<void> {
  if (await isTouched(page)) await map.press(eastFt, northFt);
}

/** Waits until the map stands. */
export async function mapped(page: Page): Promise<OnMap> {
  const map = new OnMap(page);
  await map.target.waitFor();
  await page.waitForFunction(
    () => (document.querySelector("[data-view]")?.getAttribute("data-view") ?? "") !== "",
  );
  await page.waitForTimeout(150);
  return map;
}

export async function openAt(page: Page, latitude = "38.84", longitude = "-97.62"): Promise<OnMap> {
  await page.goto("/properties/new");
  await page.getByLabel("Latitude").fill(latitude);
  await page.getByLabel("Longitude").fill(longitude);
  await page.getByRole("button", { name: "Begin here" }).click();
  return mapped(page);
}

export const shape = (page: Page, name: string) => page.locator("button.shape", { hasText: name });

export async function draw(page: Page, map: OnMap, kind: string, corners: [number, number][]): Promise<void> {
  await page.locator(".tools").getByLabel("What it is").selectOption(kind);
  await page.getByRole("button", { name: "Draw", exact: true }).click();
  for (const corner of corners) await map.press(...corner);
  await page.getByRole("button", { name: "Finish" }).click();
}

export async function save(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Save", exact: true }).click();
}

/** Square feet that the list tells of a shape. */
export async function squareFeet(page: Page, name: string): Promise<number> {
  const text = await shape(page, name).innerText();
  const told = /([\d,.]+) sq ft/.exec(text)?.[1];
  return told === undefined ? Number.NaN : Number(told.replaceAll(",", ""));
}

export async function until<Value>(
  read: () => Promise<Value>,
  is: (value: Value) => boolean,
): Promise<Value> {
  for (let turn = 0; ; turn += 1) {
    const value = await read();
    if (is(value)) return value;
    if (turn > 60) throw new Error(`still ${JSON.stringify(value)}`);
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}

export const tool = (page: Page, name: string) =>
  page.locator(".tools").getByRole("button", { name, exact: true });

export const twins = (...more: [string, string, [number, number, number, number]][]): string => {
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
      ...more.map(([id, kind, at]) => area(id, kind, box(...at))),
    ],
  });
};
