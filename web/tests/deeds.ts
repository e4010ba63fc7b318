// Counts and records as a person writes them in the yard, step by step, so that anything may break between two steps or
// in one; and what the server has to have of them in the end.
import type { Page } from "playwright-core";
import { expect } from "vitest";
import { sayAsPlanned } from "./recording";

/** What is done while a deed is written. */
export interface Course {
  /** Called before every step, and before the last press. A deed that should not go on throws here. */
  step: () => void;
  pressing: () => void;
}

export interface Deed {
  what: "counts" | "record";
  /** As the list of the yard calls it. */
  title: string;
  /** Whether the page said that the device keeps it. */
  isKept: boolean;
  /** Opens its form, goes on with what stands there, and says that it is done. */
  write: (page: Page, origin: string, course: Course) => Promise<void>;
  /** Holds what the server has of it against what was written. */
  hold: (told: Record<string, unknown>) => void;
}

/** Presses the last button: the page says that it keeps the deed by going back to the yard. */
async function press(page: Page, name: string, deed: Deed, course: Course): Promise<void> {
  course.step();
  course.pressing();
  await page.getByRole("button", { name }).click();
  course.step();
  await page.waitForURL("**/yard", { waitUntil: "commit" });
  deed.isKept = true;
}

/** A survey of some stations. */
export function counts(property: string, place: string, pest: string, stations: readonly number[]): Deed {
  /** How many stations the page said it keeps. */
  let said = 0;
  const deed: Deed = {
    what: "counts",
    title: `${place}, ${pest}`,
    isKept: false,
    write: async (page, origin, course) => {
      course.step();
      await page.goto(`${origin}/yard/counts/${property}`);
      await page.getByRole("button", { name: "Counting is done" }).waitFor();
      const there = (
        await page.locator("tbody tr").evaluateAll((rows) => rows.map((row) => row.children[1]?.textContent))
      ).map(Number);
      // What was called kept is there after any break, and of the station under way all or nothing.
      expect(there, `stations of ${pest}, of which ${said} were called kept`).toEqual(
        stations.slice(0, there.length),
      );
      expect([said, said + 1], `stations of ${pest}`).toContain(there.length);
      said = there.length;
      for (const count of stations.slice(said)) {
        course.step();
        await page.getByRole("spinbutton", { name: "Count" }).fill(String(count));
        course.step();
        await page.getByRole("button", { name: "Keep this count" }).click();
        course.step();
        await page.getByText(`Station ${said + 1}: ${count} kept.`).waitFor({ state: "attached" });
        said += 1;
      }
      course.step();
      await page.getByLabel("Pest").fill(pest);
      await press(page, "Counting is done", deed, course);
    },
    hold: (told) => {
      expect(told.pest).toBe(pest);
      expect((told.stations as { count: number }[]).map(({ count }) => count)).toEqual(stations);
    },
  };
  return deed;
}

/** What was seen of one tank: gallons, millilitres and square feet, as they are typed. */
export interface Tank {
  spray: string;
  product: string;
  covered: string;
}

/** Miles an hour, as typed. */
export interface Wind {
  start: string;
  end: string;
}

/** US gallon, square foot and mile by their definition (NIST Handbook 44, appendix C). */
const LITRES_PER_GALLON = 3.785411784;
const SQUARE_METRES_PER_SQUARE_FOOT = 0.09290304;
const METRES_PER_SECOND_PER_MPH = 0.44704;

/** A record of a visit, tank by tank. */
export function record(visit: string, name: string, wind: Wind, tanks: readonly Tank[]): Deed {
  const deed: Deed = {
    what: "record",
    title: name,
    isKept: false,
    write: async (page, origin, course) => {
      const typed = async (label: string, text: string) => {
        course.step();
        await page.locator(label).fill(text);
      };
      course.step();
      await page.goto(`${origin}/yard/record/${visit}`);
      await page.getByRole("button", { name: "Work is done" }).waitFor();
      await typed("#started", "07:05");
      await typed("#start-wind", wind.start);
      const asked = page.getByRole("group", { name: /^Tank \d+$/ });
      expect(await asked.count()).toBe(tanks.length);
      for (const [index, tank] of tanks.entries()) {
        const own = asked.nth(index);
        course.step();
        await own.getByRole("radio", { name: "Otherwise" }).check();
        for (const [label, text] of [
          [/spray in it/, tank.spray],
          [/\(invented\) in it/, tank.product],
          [/area covered/, tank.covered],
        ] as const) {
          course.step();
          await own.getByLabel(label).fill(text);
        }
      }
      await typed("#end-wind", wind.end);
      await typed("#ended", "08:50");
      course.step();
      await sayAsPlanned(page);
      await press(page, "Work is done", deed, course);
    },
    hold: (told) => {
      type Recorded<Value> = { recorded: Value };
      interface Filled {
        spray_l: number;
        products: { volume_ml: number }[];
        covered_m2: Recorded<number>;
      }
      expect(told.name).toBe(name);
      for (const [at, text] of [
        ["weather_at_start", wind.start],
        ["weather_at_end", wind.end],
      ] as const) {
        const { wind_m_per_s } = told[at] as { wind_m_per_s: Recorded<number> };
        expect(wind_m_per_s.recorded).toBeCloseTo(Number(text) * METRES_PER_SECOND_PER_MPH, 9);
      }
      const filled = (told.tasks as { tanks: { filled: Filled }[] }[]).flatMap(({ tanks }) => tanks);
      expect(filled.length).toBe(tanks.length);
      for (const [index, { filled: tank }] of filled.entries()) {
        const wanted = tanks[index]!;
        expect(tank.spray_l).toBeCloseTo(Number(wanted.spray) * LITRES_PER_GALLON, 9);
        expect(tank.products.map(({ volume_ml }) => volume_ml)).toEqual([Number(wanted.product)]);
        expect(tank.covered_m2.recorded).toBeCloseTo(
          Number(wanted.covered) * SQUARE_METRES_PER_SQUARE_FOOT,
          9,
        );
      }
    },
  };
  return deed;
}
