// Who types and leaves at once finds it again: by a link, by another window in front, by loading anew.
import type { Locator, Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { closeBrowser, house, keepDemo, reader, sizes, type House } from "./support";
import { mapped } from "./map-support";

let home: House;

beforeEach(async () => {
  home = await house();
});
afterEach(() => home.stop());
afterAll(closeBrowser);

/** How the visit's draft rests between strokes, in milliseconds: here it never wakes up by itself. */
const REST_MS = 400;
const restForEver = (page: Page) =>
  page.addInitScript((rest) => {
    const { setTimeout: later } = window;
    window.setTimeout = ((deed: TimerHandler, after?: number, ...more: unknown[]) =>
      after === rest ? 0 : later(deed, after, ...more)) as unknown as typeof window.setTimeout;
  }, REST_MS);

interface Form {
  what: string;
  at: (demo: { property: string; visit: string }) => string;
  /** Waits until it may be typed in. @returns the field */
  field: (page: Page) => Promise<Locator>;
}

const there = async (field: Locator) => {
  await field.waitFor();
  return field;
};
/** The name of a visit, which stands folded where there is one. */
const nameOf = async (page: Page) => {
  const summary = page.locator(".asked summary", { hasText: "Property, day and people" });
  if ((await summary.locator("..").getAttribute("open")) === null) await summary.click();
  return there(page.locator("#name"));
};
const forms: Form[] = [
  {
    what: "kept visit",
    at: ({ visit }) => `/visits/${visit}`,
    field: async (page) => {
      await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
      return nameOf(page);
    },
  },
  {
    what: "new visit",
    at: ({ property }) => `/visits/new?property=${property}`,
    field: async (page) => {
      await page.locator(".asked summary", { hasText: "Property, day and people" }).waitFor();
      return nameOf(page);
    },
  },
  {
    what: "property",
    at: ({ property }) => `/properties/${property}`,
    field: async (page) => {
      await mapped(page);
      return there(page.locator("#address"));
    },
  },
  {
    what: "label",
    at: () => "/shelf/labels/new",
    field: (page) => there(page.locator('[id="f-product.name"]')),
  },
  { what: "client", at: () => "/clients/new", field: (page) => there(page.locator("#client-name")) },
];

test.each(sizes.flatMap((size) => forms.map((form) => ({ ...form, size }))))(
  "what is typed on a $what and left at once is there again: $size",
  async ({ at, field, size }) => {
    const demo = await keepDemo(home.origin);
    const { context, page, faults } = await reader(home.origin, size);
    await restForEver(page);
    await page.goto(at(demo));

    const leave = async (text: string, away: "link" | "hidden") =>
      (await field(page)).evaluate(
        async (input, [text, away]) => {
          (input as HTMLInputElement).value = text!;
          input.dispatchEvent(new InputEvent("input", { bubbles: true }));
          await Promise.resolve();
          if (away === "link") {
            document.querySelector<HTMLAnchorElement>("nav a[href='/settings']")!.click();
          } else {
            Object.defineProperty(document, "visibilityState", { value: "hidden", configurable: true });
            document.dispatchEvent(new Event("visibilitychange"));
          }
        },
        [text, away] as const,
      );
    // By a link of the house, as soon as the last letter stands.
    await leave("Left by a link", "link");
    await page.getByRole("heading", { level: 1, name: "Settings" }).waitFor();
    await page.goBack();
    expect(await (await field(page)).inputValue()).toBe("Left by a link");

    // Out of sight: what comes after, the page never hears of.
    await leave("Left out of sight", "hidden");
    await page.close();
    const next = await context.newPage();
    await restForEver(next);
    await next.goto(at(demo));
    expect(await (await field(next)).inputValue()).toBe("Left out of sight");

    // By loading it anew.
    await (await field(next)).fill("Left by loading");
    await next.reload();
    expect(await (await field(next)).inputValue()).toBe("Left by loading");
    expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
    await context.close();
  },
);
