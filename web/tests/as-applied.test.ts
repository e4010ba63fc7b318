// The record of a visit as it is written in the yard: what is not told is asked for, what cannot be read is named, and
// times are those of the property.
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { done, isDelivered, recording, sayAsPlanned } from "./recording";
import {
  SIZES,
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  keepVisit,
  openBrowser,
  reader,
  type Demo,
  type House,
  type Size,
} from "./support";

const sizes = Object.keys(SIZES) as Size[];
let home: House;
let demo: Demo;

beforeAll(async () => {
  home = await house();
  demo = await keepDemo(home.origin);
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

/** What the server has of a visit under a name. */
async function recorded(name: string): Promise<Record<string, unknown>> {
  const { entries } = await asked(home.origin, "/api/records");
  const own = (entries as { title: string; thing: string }[]).find(({ title }) => title === name);
  if (own === undefined) throw new Error(`no record of ${name}`);
  return asked(home.origin, `/api/records/${own.thing}`);
}

const focused = (page: Page) => page.evaluate(() => document.activeElement?.id);

describe.each(sizes)("at the size of a %s", (size) => {
  test("nothing is recorded as planned before somebody says that it was", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const name = `Untouched ${size}`;
    await recording(page, await keepVisit(home.origin, demo.property, name));
    await done(page).click();
    const told = page.getByRole("alert");
    await told
      .getByText("say whether all that is not told above went as planned", { exact: false })
      .waitFor();
    expect(await focused(page)).toBe("rest-planned");
    expect((await asked(home.origin, "/api/records")).entries).not.toContainEqual(
      expect.objectContaining({ title: name }),
    );
    // What it means is listed: who, where, with what, tank by tank; and what stays open.
    const means = page.locator("#rest-means");
    await means.getByText("J. Example applied it", { exact: false }).waitFor();
    await means.getByText(/^lawn: Brackwater 1 SC \(invented\) on all of its place/).waitFor();
    expect(await means.getByText(/tanks? [\d, ]+: filled as planned/).count()).toBeGreaterThan(0);
    await means.getByText("Nothing was left over.").waitFor();
    await means.getByText("Work began", { exact: true }).waitFor();

    // Where it was not so, each tank and the words are asked for, and the first has the focus.
    await page.getByRole("radio", { name: "Not all of it went as planned" }).check();
    await done(page).click();
    expect(await focused(page)).toBe("task-1-tank-1-fill-planned");
    expect(await barriers(page)).toEqual([]);
    await sayAsPlanned(page);
    await done(page).click();
    await isDelivered(page);
    const record = await recorded(name);
    expect(record).toMatchObject({
      leftover: "does-not-arise",
      started: "absent",
      applicator: { recorded: "J. Example" },
    });
    expect(faults).toEqual([]);
    await context.close();
  });

  test("each field that cannot be read is named, and the first has the focus", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    await recording(page, await keepVisit(home.origin, demo.property, `Unread ${size}`));
    await page.locator("#start-wind").fill("4 mph");
    const covered = page.getByLabel("Tank 1: area covered").first();
    await covered.fill("1,210");
    await sayAsPlanned(page);
    await done(page).click();
    const told = page.getByRole("alert");
    await told.getByText("2 fields are missing or cannot be read.", { exact: false }).waitFor();
    await told.getByText("“4 mph” cannot be read: a number in mph", { exact: false }).waitFor();
    expect(await focused(page)).toBe("start-wind");
    await told.getByRole("button", { name: /Tank 1: area covered$/ }).click();
    expect(await focused(page)).toBe(await covered.getAttribute("id"));
    expect(await covered.getAttribute("aria-invalid")).toBe("true");
    expect(await barriers(page)).toEqual([]);
    // Mended, it says so no longer.
    await covered.fill("1210");
    expect(await covered.getAttribute("aria-invalid")).toBeNull();
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    expect(faults).toEqual([]);
    await context.close();
  });

  test("times are those of the property, wherever the device's clock stands", async () => {
    const browser = await openBrowser();
    const context = await browser.newContext({
      viewport: SIZES[size],
      hasTouch: size === "phone",
      baseURL: home.origin,
      timezoneId: "Pacific/Auckland",
    });
    const page = await context.newPage();
    const name = `Elsewhere ${size}`;
    const visit = await keepVisit(home.origin, demo.property, name);
    // Seven in the morning of the visit's day at the property, midnight of the next one in Auckland.
    await page.clock.setFixedTime(new Date("2026-07-07T12:05:00Z"));
    await recording(page, visit);
    await page.getByText("All times are by the clock at the property, UTC−05:00", { exact: false }).waitFor();
    await page.getByText("This device's clock stands at UTC+12:00", { exact: false }).waitFor();
    expect(await page.locator("#day").inputValue()).toBe("2026-07-07");
    await page.getByRole("button", { name: "Work began: Now" }).click();
    expect(await page.locator("#started").inputValue()).toBe("07:05");
    await page.locator("#ended").fill("08:50");
    await sayAsPlanned(page);
    await context.setOffline(true);
    await done(page).click();
    await page
      .getByText("made on July 7, 2026, 07:05 at the property (UTC−05:00)", { exact: false })
      .waitFor();
    await page.getByText("as it was on July 7, 2026, 07:05 at the property (UTC−05:00)").first().waitFor();
    await context.setOffline(false);
    await isDelivered(page);
    await page
      .getByText(`Record: ${name}, delivered on July 7, 2026, 07:05 at the property (UTC−05:00)`)
      .waitFor();
    expect(await recorded(name)).toMatchObject({
      date: "2026-07-07",
      started: { recorded: "2026-07-07T07:05:00-05:00" },
      ended: { recorded: "2026-07-07T08:50:00-05:00" },
    });
    await context.close();
  });

  test("each tank tells its times, its weather and its rest, and the wind comes from one of sixteen points", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const name = `Tanks ${size}`;
    await recording(page, await keepVisit(home.origin, demo.property, name));
    await page.locator("#day").fill(demo.day);
    await page.locator("#started").fill("07:05");
    await page.locator("#ended").fill("09:30");
    await page.locator("#start-wind").fill("4");
    await page.locator("#start-gust").fill("6.5");
    await page.locator("#start-from").selectOption({ label: "SSW (202.5°)" });
    await page.locator("#end-from").selectOption("degrees");
    await page.locator("#end-degrees").fill("231");
    const lawn = (await page.getByRole("heading", { level: 2 }).allInnerTexts())
      .filter((text) => text.includes("(invented)"))
      .findIndex((text) => text.startsWith("lawn:"));
    const [first, second] = [1, 2].map((tank) => `#task-${lawn + 1}-tank-${tank}`) as [string, string];
    await page.locator(`${first}-filled`).fill("07:05");
    await page.locator(`${first}-emptied`).fill("07:30");
    // The plan's tank less what stayed in it: it covered less, and is not told to stop.
    await page.locator(`${first}-covered`).fill("1067");
    await page.locator(`${first}-left`).fill("0.2");
    await page.locator(`${first}-way`).selectOption("stayed");
    await page.getByText("It counts to what goes out of tank 2.", { exact: false }).waitFor();
    await page.locator(`${second}-left`).fill("0.2");
    await page.locator(`${second}-way`).selectOption("kept");
    // The tenth off stands for what went out: 2 gal and what stayed less what is kept.
    await page.locator(`${second}-covered`).fill("1040");
    await page.getByText("Stop, and look at pace").waitFor();
    await page.locator(`${second}-covered`).fill("1185");
    await page.getByText("Stop, and look at pace").waitFor({ state: "detached" });
    await page.locator(`${second}-has-weather`).check();
    await page.locator(`${second}-weather-wind`).fill("7");
    await page.locator(`${second}-weather-from`).selectOption("W");
    expect(await barriers(page)).toEqual([]);
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    await sayAsPlanned(page);
    await done(page).click();
    // What became of what is kept is asked for.
    await page.getByText("Missing: where it is, or who took it, in a few words.").first().waitFor();
    expect(await focused(page)).toBe(`${second.slice(1)}-became`);
    await page.locator(`${second}-became`).fill("in the closed can, labelled");
    await done(page).click();
    await isDelivered(page);
    const record = await recorded(name);
    const mph = (value: number) => ({ recorded: expect.closeTo(value * 0.44704, 9) as number });
    expect(record).toMatchObject({
      weather_at_start: { wind_from_deg: { recorded: 202.5 }, wind_m_per_s: mph(4), gust_m_per_s: mph(6.5) },
      weather_at_end: { wind_from_deg: { recorded: 231 } },
      leftover: {
        recorded: [{ task: "lawn", tank: 2, became: { recorded: { kept: "in the closed can, labelled" } } }],
      },
    });
    const { tanks } = (record.tasks as { id: string; tanks: unknown[] }[]).find(({ id }) => id === "lawn")!;
    expect(tanks[0]).toMatchObject({
      filled_at: { recorded: "2026-07-07T07:05:00-05:00" },
      emptied_at: { recorded: "2026-07-07T07:30:00-05:00" },
      carried_over_l: { recorded: expect.closeTo(0.2 * 3.785411784, 9) as number },
    });
    expect(tanks[1]).toMatchObject({ weather: { wind_from_deg: { recorded: 270 }, wind_m_per_s: mph(7) } });
    expect(faults).toEqual([]);
    await context.close();
  });
});
