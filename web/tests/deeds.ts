// What is done in the yard as a person does it, step by step, so that anything may break between two steps or in one; and
// what the server has to have of it in the end. Records of visits; counts stand in `counted.ts`.
import type { Page } from "playwright-core";
import { expect } from "vitest";
import { sayAsPlanned } from "./recording";
import { DEMO_DAY } from "./support";

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
  /** Holds what the server has of it, and of the files that belong to it (their digests), against what was written. */
  hold: (told: Record<string, unknown>, files: readonly string[]) => void;
}

/** Presses the last button: the page says that it keeps the deed by going back to the yard. */
export async function pressed(page: Page, name: string, deed: Deed, course: Course): Promise<void> {
  course.step();
  course.pressing();
  await page.getByRole("button", { name }).click();
  course.step();
  await page.waitForURL("**/yard", { waitUntil: "commit" });
  deed.isKept = true;
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
      // Work of this morning would be yet to come where it is still night.
      await typed("#day", DEMO_DAY);
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
      await pressed(page, "Work is done", deed, course);
    },
    hold: (told, files) => {
      expect(files).toEqual([]);
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
