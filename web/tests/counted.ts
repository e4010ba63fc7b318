// Counts as a person writes them in the yard: station by station, at places, with photos.
import type { Page } from "playwright-core";
import { expect } from "vitest";
import { cornerOf, readMap } from "../src/map/document";
import { Plane, type Position } from "../src/map/plane";
import { pressed, type Course, type Deed } from "./deeds";
import { photosWritten } from "./device";
import { press } from "./hand";
import { mapped } from "./map-support";
import { standAt } from "./standing";

/** Where a station is: so many pixels right of the map's middle and below it, where the device stands, or not told. */
export type At = { tapped: [right: number, down: number] } | { stood: Position } | null;

export interface Station {
  count: number;
  at: At;
}

/** Where counting is done. */
export interface Ground {
  property: string;
  /** What it is called. */
  place: string;
  /** Its map, as the books have it. */
  map: string;
}

/** A survey of some stations. Each of its photos is a file that the browser can read. */
export function counts(
  { property, place, map: drawn }: Ground,
  pest: string,
  stations: readonly Station[],
  photos: readonly Buffer[],
): Deed {
  const plane = new Plane(cornerOf(readMap(drawn))!);
  /** How many stations the page said it keeps. */
  let said = 0;
  /** Where each station was tapped or stood at. */
  const positions: (Position | null)[] = [];
  /** What the device has of each photo. */
  const bytes: string[] = [];
  const deed: Deed = {
    what: "counts",
    title: `${place}, ${pest}`,
    isKept: false,
    write: async (page, origin, course) => {
      course.step();
      await page.goto(`${origin}/yard/counts/${property}`);
      await page.getByRole("button", { name: "Counting is done" }).waitFor();
      const there = await page
        .locator("tbody tr")
        .evaluateAll((rows) => rows.map((row) => [1, 3].map((at) => row.children[at]?.textContent?.trim())));
      // What was called kept is there after any break, and of the station under way all or nothing.
      expect(there, `stations of ${pest}, of which ${said} were called kept`).toEqual(
        stations.slice(0, there.length).map(({ count }, at) => [String(count), shown(positions[at] ?? null)]),
      );
      expect([said, said + 1], `stations of ${pest}`).toContain(there.length);
      said = there.length;
      for (const { count, at } of stations.slice(said)) {
        course.step();
        await page.getByRole("spinbutton", { name: "Count" }).fill(String(count));
        course.step();
        positions[said] = await placed(page, at, course);
        course.step();
        await page.getByRole("button", { name: "Keep this count" }).click();
        course.step();
        await page.getByText(`Station ${said + 1}: ${count} kept.`).waitFor({ state: "attached" });
        said += 1;
      }
      await photographed(page, course);
      course.step();
      await page.getByLabel("Pest", { exact: true }).fill(pest);
      await pressed(page, "Counting is done", deed, course);
    },
    hold: (told, files) => {
      expect(told.pest).toBe(pest);
      const kept = told.stations as { count: number; position?: Told | null }[];
      expect(kept.map(({ count }) => count)).toEqual(stations.map(({ count }) => count));
      for (const [at, { position }] of kept.entries()) {
        const wanted = positions[at] ?? null;
        expect(position === undefined || position === null, `place ${at + 1} of ${pest}`).toBe(
          wanted === null,
        );
        // To half a millimetre: the screen tells where it was tapped by pixels.
        expect(position?.longitude ?? 0, `place ${at + 1} of ${pest}`).toBeCloseTo(wanted?.[0] ?? 0, 8);
        expect(position?.latitude ?? 0, `place ${at + 1} of ${pest}`).toBeCloseTo(wanted?.[1] ?? 0, 8);
      }
      expect(bytes.length).toBe(photos.length);
      expect([...files].sort(), `photos of ${pest}`).toEqual([...bytes].sort());
    },
  };

  /** Tells where the station is, and takes back what was told before a break. @returns where it is */
  async function placed(page: Page, at: At, course: Course): Promise<Position | null> {
    const unplace = page.getByRole("button", { name: "Without a place" });
    if ((await unplace.count()) > 0) await unplace.click();
    if (at === null) return null;
    course.step();
    if ("stood" in at) {
      const [longitude, latitude] = at.stood;
      await standAt(page, { longitude: longitude!, latitude: latitude!, accuracy: 3 });
      return at.stood;
    }
    const map = await mapped(page);
    await map.target.scrollIntoViewIfNeeded();
    const box = (await map.target.boundingBox())!;
    const [right, down] = at.tapped;
    const pixel = {
      x: Math.round(box.x + box.width / 2 + right),
      y: Math.round(box.y + box.height / 2 + down),
    };
    const position = plane.position(await map.spotAt(pixel));
    await press(page, pixel);
    await unplace.waitFor();
    return position;
  }

  /** Adds the photos that are not there yet. */
  async function photographed(page: Page, course: Course): Promise<void> {
    const shown = page.getByRole("img", { name: /^Photo \d+$/ });
    let there = await shown.count();
    expect(there, `photos of ${pest}`).toBeLessThanOrEqual(photos.length);
    for (const buffer of photos.slice(there)) {
      course.step();
      const file = { name: `${pest} ${there + 1}.png`, mimeType: "image/png", buffer };
      await page.getByLabel("Add a photo").setInputFiles(file);
      there += 1;
      course.step();
      await shown.nth(there - 1).waitFor();
    }
    // The device has every photo as the page made it, and keeps it so through every break.
    await expect.poll(() => photosWritten(page).then((all) => all.length)).toBe(photos.length);
    for (const [at, one] of (await photosWritten(page)).entries())
      expect(one, pest).toBe((bytes[at] ??= one));
  }

  return deed;
}

interface Told {
  longitude: number;
  latitude: number;
}

/** A place as the list of stations tells it. */
const shown = (position: Position | null): string =>
  position === null ? "" : `${position[1]!.toFixed(6)}, ${position[0]!.toFixed(6)}`;
