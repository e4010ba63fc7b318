// What justifies a visit, on its page: kept counts, profiles, thresholds, hot spots, and both ways side by side.
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test, vi } from "vitest";
import { asked, demoFile, keepDemo } from "./demo";
import {
  askedAs,
  barriers,
  closeBrowser,
  company,
  hire,
  house,
  person,
  reader,
  type House,
  type Size,
} from "./support";

/** Many plans of a whole visit, on a machine that may have other work. */
vi.setConfig({ testTimeout: 150_000 });

const sizes: Size[] = ["phone", "desk"];
let home: House;
let demo: { property: string; visit: string };

beforeEach(async () => {
  home = await house();
  demo = await keepDemo(home);
});
afterEach(() => home.stop());
afterAll(closeBrowser);

/** The stations of the demo's counts at places. */
function stations(count: (told: number) => number = (told) => told) {
  return demoFile("alder-bend/places.toml")
    .split("[[station]]")
    .slice(1)
    .map((told) => {
      const number = (name: string) => Number(new RegExp(`${name} = (-?[\\d.]+)`).exec(told)![1]);
      const position = { longitude: number("longitude"), latitude: number("latitude") };
      return { count: count(number("count")), is_check: false, position };
    });
}

const survey = (property: string, date: string, more: object = {}) => ({
  format: "tussock.kept-survey/1",
  property,
  date,
  pest: "grasshopper",
  method: "frame",
  count_area: "1 sq ft",
  by: "J. Example",
  stations: stations(),
  threshold: { count: 8, per: "1 sq yd", place: "rangeland", source: "Parker 1930" },
  ...more,
});

async function checked(page: Page, what: string): Promise<void> {
  expect(await barriers(page), what).toEqual([]);
  const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  expect(overflow, `${what}: wider than the screen`).toBeLessThanOrEqual(0);
}

const current = (page: Page) => page.locator(".told[aria-busy=false]").waitFor();

async function planned(page: Page, path: string): Promise<void> {
  await page.goto(path);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  await current(page);
}

async function open(page: Page, title: string): Promise<void> {
  const summary = page.locator(".asked summary", { hasText: title }).first();
  if ((await summary.locator("..").getAttribute("open")) === null) await summary.click();
}

test.each(sizes)("a visit rests on a kept count, by spots or over the whole lawn: %s", async (size) => {
  // At a threshold that the whole lawn reaches; at 8 it is not decided, so clumped are these counts.
  const threshold = { count: 6, per: "1 sq yd", source: "rangeland; Parker 1930" };
  await asked(home, "POST", "/api/surveys", survey(demo.property, "2026-07-06", { threshold }));
  const { context, page, faults } = await reader(home.origin, size);
  await planned(page, `/visits/${demo.visit}`);
  await open(page, "What was found");
  const value = await page
    .locator("#survey option", { hasText: "grasshopper, 30 stations" })
    .getAttribute("value");
  await page.locator("#survey").selectOption(value);
  // The threshold of the counts holds where nobody states another.
  await page.locator("#threshold").selectOption("left");
  await current(page);
  await page
    .getByText(/^Threshold: 6(\.0+)? per sq yd\. rangeland; Parker 1930/)
    .first()
    .waitFor();
  await page.getByText("Treat: the counts call for it").first().waitFor();
  // Broadcast and spots side by side, with money by the kept prices; a press chooses.
  const ways = page.getByRole("region", { name: "The whole lawn or the spots: lawn" });
  await ways.getByText("The whole lawnas planned").or(ways.getByText("The whole lawn")).first().waitFor();
  expect(await ways.getByText(/ USD$/).count()).toBe(2);
  await page.getByRole("button", { name: "Treat the spots alone instead: lawn" }).click();
  await page.getByRole("button", { name: "Treat the whole lawn instead: lawn" }).waitFor();
  await current(page);
  await open(page, "Task 3: lawn");
  expect(await page.locator("#task-2-aim").inputValue()).toBe("hot-spots");
  await page.locator("#task-2-may-stay").fill("0.2");
  await current(page);
  await checked(page, `a visit by hot spots at the size of a ${size}`);
  // Kept, it says so on the sheet that is printed, and in the books.
  await page.getByRole("button", { name: "Keep the visit" }).click();
  await page.getByText("The visit is in the books.").waitFor();
  const { request } = await asked<{ request: string }>(home, "GET", `/api/visits/${demo.visit}`);
  expect(request).toContain("books:survey/Alder Bend (invented)/grasshopper 2026-07-06");
  expect(request).toContain("may_stay = 0.2");
  await page.goto(`/visits/${demo.visit}/print`);
  await page.getByRole("heading", { level: 2, name: "What was found" }).waitFor();
  await page.getByText("Tasks that rest on it: perimeter, hedge, lawn.").waitFor();
  await page.getByRole("heading", { level: 2, name: "The whole lawn or the spots" }).waitFor();
  await checked(page, `the sheet at the size of a ${size}`);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "below the threshold the plan refuses with its mend, and several findings are written: %s",
  async (size) => {
    await asked(
      home,
      "POST",
      "/api/surveys",
      survey(demo.property, "2026-07-06", { stations: stations((told) => (told > 8 ? 1 : 0)) }),
    );
    const { context, page, faults } = await reader(home.origin, size);
    await planned(page, `/visits/${demo.visit}`);
    await open(page, "What was found");
    const value = await page.locator("#survey option", { hasText: "grasshopper" }).getAttribute("value");
    await page.locator("#survey").selectOption(value);
    await page.getByText("Do not treat: the counts stay under the threshold").first().waitFor();
    await page.getByText("do not treat: mow, water and count again", { exact: false }).first().waitFor();
    expect(await page.locator(".whole").getAttribute("data-verdict")).toBe("refused");
    // Preventive use is a sentence of the label's, and this one has none.
    await page.getByLabel("Treated before the pest is there").first().check();
    await page.getByText("no sentence of use", { exact: false }).first().waitFor();
    await page.getByLabel("Treated before the pest is there").first().uncheck();
    // Another finding, with the profile's own thresholds; a task rests on it.
    await page.getByRole("button", { name: "Add something else that was found" }).click();
    await page.locator("#finding-1-id").fill("bugs");
    await page.locator("#finding-1-pest").fill("southern chinch bug");
    await page.locator("#finding-1-profile").selectOption("southern-chinch-bug");
    await page.locator("#finding-1-basis").fill("seen in a float can");
    await page.locator("#finding-1-counts").fill("30, 28, 41, 22, 35, 30, 27, 33");
    await page.locator("#finding-1-count-area").fill("1 sq ft");
    await page.locator("#finding-1-threshold").selectOption("0");
    expect(await page.locator("#finding-1-threshold-place").inputValue()).not.toBe("");
    await current(page);
    await open(page, "Task 3: lawn");
    await page.locator("#task-2-finding").selectOption("bugs");
    await page.locator("#task-2-pest").fill("southern chinch bug");
    await current(page);
    await page.getByText("Tasks that rest on it: lawn.").waitFor();
    await checked(page, `two findings at the size of a ${size}`);
    // A name that changes takes its tasks along; a finding that goes lets them go.
    await page.locator("#finding-1-id").fill("chinch bugs");
    await expect.poll(() => page.locator("#task-2-finding").inputValue()).toBe("chinch bugs");
    await page.getByRole("button", { name: "Take the finding chinch bugs away" }).click();
    await expect.poll(() => page.locator("#finding-1-id").count()).toBe(0);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("counting leads to a visit that rests on the count: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/yard/counts/${demo.property}`);
  await page.getByLabel("Pest", { exact: true }).fill("grasshopper");
  await page.getByLabel("Threshold", { exact: true }).selectOption("own");
  await page.getByLabel("How many").fill("1");
  await page.getByLabel("On what").fill("1 sq ft");
  await page.getByLabel("Where it was published").fill("invented");
  // Other errors, and fewer counts than usual; what is out of bounds is said beside it.
  await page.getByText("How sure, and how many counts").click();
  await page.locator("#aim-least").fill("0");
  await page.getByText("A whole number from 1 to 500, such as 5.").waitFor();
  await page.getByText("See to how sure it is to be", { exact: false }).waitFor();
  await page.locator("#aim-least").fill("2");
  await page.locator("#aim-treatInVain").fill("5");
  for (const found of [6, 7, 5]) {
    await page.getByRole("spinbutton", { name: "Count" }).fill(String(found));
    await page.getByRole("button", { name: "Keep this count" }).click();
  }
  await page.getByText("Treat", { exact: true }).first().waitFor();
  await page.getByText("it may be treated there in 5 % of cases", { exact: false }).waitFor();
  await checked(page, `stated errors at the size of a ${size}`);
  await page.getByRole("button", { name: "Keep it, and plan a visit from this count" }).click();
  await page.waitForURL(/\/visits\/new\?property=.*survey=/);
  await expect.poll(() => page.locator("#survey").inputValue()).toMatch(/^books:survey\//);
  expect(await page.locator("#pest").inputValue()).toBe("grasshopper");
  await page.getByText("That of the counts: 1 per 1 sq ft").waitFor({ state: "attached" });
  const { entries } = await asked<{ entries: { thing: string }[] }>(home, "GET", "/api/surveys");
  expect(entries).toHaveLength(1);
  const kept = await asked<{ threshold: object }>(home, "GET", `/api/surveys/${entries[0]!.thing}`);
  expect(kept.threshold).toEqual({ count: 1, of: "animals", per: "1 sq ft", source: "invented" });
  // The browser itself tells of a request that cannot be planned yet: the new visit wants a task.
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
});

test.each(sizes)("two people change what was found: each finding is a part of its own: %s", async (size) => {
  const firm = await company();
  const mara = await person(firm, "mara", size);
  await hire(mara.page, "noor");
  const noor = await person(firm, "noor", size);
  const { property, visit } = await askedAs<{ property: string; visit: string }>(
    mara.page,
    "POST",
    "/api/demo",
  );
  await askedAs(mara.page, "POST", "/api/surveys", survey(property, "2026-07-06"));
  for (const { page } of [mara, noor]) await planned(page, `/visits/${visit}`);
  await open(mara.page, "What was found");
  await mara.page.locator("#basis").fill("dug up by Mara");
  await current(mara.page);
  await mara.page.getByRole("button", { name: "Keep the visit" }).click();
  await mara.page.getByText("The visit is in the books.").waitFor();
  await open(noor.page, "What was found");
  await noor.page.getByRole("button", { name: "Add something else that was found" }).click();
  await noor.page.locator("#finding-1-id").fill("bugs");
  await noor.page.locator("#finding-1-pest").fill("chinch bug");
  await noor.page.locator("#finding-1-basis").fill("seen by Noor");
  await current(noor.page);
  await noor.page.getByRole("button", { name: "Keep the visit" }).click();
  const dialog = noor.page.getByRole("dialog", { name: "Somebody kept another version meanwhile" });
  const part = (name: string) => dialog.getByRole("group", { name, exact: true });
  expect(await part("what was found: bugs").getByLabel("Mine:").isChecked()).toBe(true);
  expect(await part("what was found: grasshopper").getByLabel("Theirs:").isChecked()).toBe(true);
  await dialog.getByRole("button", { name: "Put it together" }).click();
  await noor.page.getByText("Both are put together here.", { exact: false }).waitFor();
  await current(noor.page);
  await noor.page.getByRole("button", { name: "Keep the visit" }).click();
  await noor.page.getByText("The visit is in the books.").waitFor();
  const { request } = await askedAs<{ request: string }>(noor.page, "GET", `/api/visits/${visit}`);
  for (const told of ["dug up by Mara", "seen by Noor"]) expect(request).toContain(told);
  await mara.context.close();
  await noor.context.close();
  await firm.stop();
});
