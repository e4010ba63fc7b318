// A record is put right in its form: a new version with its reason, what differs beside it, the original as it was.
import { randomUUID } from "node:crypto";
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { demoFile } from "./demo";
import {
  SIZES,
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  keepVisit,
  keptThing,
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
  // Georgia demands much of a record.
  const property = await asked(home.origin, `/api/properties/${demo.property}`);
  await sent("PUT", `/api/properties/${demo.property}`, { ...property, jurisdiction: "US-GA" });
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

async function sent(method: string, path: string, body: unknown, seen = '"1"'): Promise<void> {
  const answer = await fetch(home.origin + path, {
    method,
    headers: { "content-type": "application/json", "idempotency-key": randomUUID(), "if-match": seen },
    body: JSON.stringify(body),
  });
  if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
}

/** A visit of a name, recorded as the demo tells it, or as said. */
async function record(name: string, asApplied?: unknown): Promise<string> {
  const visit = await keepVisit(home.origin, demo.property, name, {
    request: (text) => text.replace('"property.geojson"', '"books:property/Alder Bend"'),
    files: { "books:property/Alder Bend": demoFile("alder-bend/property.geojson") },
  });
  const { request, files } = await asked(home.origin, `/api/visits/${visit}`);
  const told = readFileSync(new URL("../../demo/alder-bend/as-applied.toml", import.meta.url), "utf8");
  return keptThing(home.origin, "/api/records/of-visit", {
    visit: request,
    files,
    as_applied: asApplied ?? told,
    kept: visit,
  });
}

const keep = (page: Page) => page.getByRole("button", { name: "Keep it as a new version" });

async function putRight(page: Page, thing: string): Promise<void> {
  await page.goto(`/records/${thing}`);
  await page.getByRole("link", { name: "Put right" }).click();
  await keep(page).waitFor();
}

describe.each(sizes)("at the size of a %s", (size) => {
  test("what was otherwise becomes a version of its own, with what differs beside the original", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const thing = await record(`Put right ${size}`);
    const before = await asked(home.origin, `/api/records/${thing}`);
    await putRight(page, thing);
    expect(await barriers(page)).toEqual([]);
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    // Nothing is kept of nothing, nor without a reason.
    await page.locator("#reason").fill("read again from the note");
    await keep(page).click();
    await page.getByText("Nothing is changed.").waitFor();
    await page.locator("#reason").fill("");
    await page.locator("#start-wind").fill("6");
    await page.locator("#start-gust").fill("8");
    await page.locator("#start-from").selectOption("NNW");
    await keep(page).click();
    await page.getByRole("alert").getByText("Missing: why, in a few words.").waitFor();
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("reason");
    // What is typed outlives a page that is closed.
    await page.reload();
    await keep(page).waitFor();
    expect(await page.locator("#start-wind").inputValue()).toBe("6");
    await page.locator("#reason").fill("read again from the note");
    await keep(page).click();
    await page.getByRole("heading", { name: "What was put right" }).waitFor();
    await page.getByText("Reason: read again from the note", { exact: false }).first().waitFor();
    const row = page.getByRole("row", { name: /At the start, From/ });
    await row.getByText("338° from north").waitFor();
    expect(await barriers(page)).toEqual([]);
    const after = await asked(home.origin, `/api/records/${thing}`);
    expect(after).toMatchObject({
      weather_at_start: {
        wind_from_deg: { recorded: 337.5 },
        wind_m_per_s: { recorded: expect.closeTo(6 * 0.44704, 9) as number },
      },
    });
    // Nothing else is another.
    const told = (one: Record<string, unknown>) => {
      const {
        wind_from_deg: _,
        wind_m_per_s: __,
        gust_m_per_s: ___,
        ...seen
      } = one.weather_at_start as Record<string, unknown>;
      return { ...one, weather_at_start: seen, breaches: [], not_judged: [] };
    };
    expect(told(after)).toEqual(told(before));
    expect(await asked(home.origin, `/api/records/${thing}?version=1`)).toEqual(before);
    await page.getByRole("link", { name: "Version 1" }).click();
    await page.getByText("This is version 1, not the newest.").waitFor();
    expect(faults).toEqual([]);
    await context.close();
  });

  test("a draft says what it lacks and by when, and it is filled in from there", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const thing = await record(`Draft ${size}`, { format: "tussock.as-applied/1", nothing_left_over: true });
    const lacks = async () => {
      const { lacking } = await asked(home.origin, `/api/records/${thing}/standing`);
      return (lacking as { any_of: string[] }[]).flatMap(({ any_of }) => any_of);
    };
    expect(await lacks()).toEqual(expect.arrayContaining(["start-time", "location"]));
    await page.goto(`/records/${thing}`);
    await page.getByRole("heading", { name: "What it lacks" }).waitFor();
    await page
      .getByRole("listitem")
      .filter({
        hasText: /^\s*when the work began or when it ended: (overdue since|to be recorded by|no rule known)/,
      })
      .waitFor();
    await page.getByRole("link", { name: "Fill in: when the work began" }).first().click();
    await keep(page).waitFor();
    await expect.poll(() => page.evaluate(() => document.activeElement?.id)).toBe("started");
    await page.locator("#started").fill("07:05");
    await page.locator("#ended").fill("08:50");
    await page.locator("#location").fill("front and back lawn");
    await page.locator("#reason").fill("from the note in the van");
    await keep(page).click();
    await page.getByRole("heading", { name: "What was put right" }).waitFor();
    await page
      .getByRole("row", { name: /Application: Began/ })
      .getByText("not recorded")
      .waitFor();
    const left = await lacks();
    for (const filled of ["start-time", "end-time", "location"]) expect(left).not.toContain(filled);
    expect(faults).toEqual([]);
    await context.close();
  });

  test("where somebody put it right meanwhile, each answer is chosen and nobody's is overwritten", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const thing = await record(`Both ${size}`);
    await putRight(page, thing);
    await page.locator("#start-wind").fill("6");
    await page.locator("#location").fill("behind the house");
    await page.locator("#reason").fill("read again");
    const other = {
      format: "tussock.as-applied/1",
      weather: { start: { wind: "5 mph" }, end: { wind: "3 mph" } },
    };
    await sent("PUT", `/api/records/${thing}/as-applied?reason=heard+later`, { as_applied: other });
    await keep(page).click();
    const dialog = page.getByRole("dialog");
    await dialog.getByText("kept version 2 since you opened this", { exact: false }).waitFor();
    expect(await barriers(page)).toEqual([]);
    await dialog.getByRole("button", { name: "Put it together" }).click();
    await dialog.getByText("Choose for each what holds.").waitFor();
    await dialog
      .getByRole("group", { name: /start, wind/ })
      .getByRole("radio", { name: "Mine: 6" })
      .check();
    await dialog.getByRole("button", { name: "Put it together" }).click();
    expect(await page.locator("#start-wind").inputValue()).toBe("6");
    expect(await page.locator("#end-wind").inputValue()).toBe("3");
    await keep(page).click();
    await page.getByRole("heading", { name: "What was put right" }).waitFor();
    const told = await asked(home.origin, `/api/records/${thing}`);
    const mph = (value: number) => ({ recorded: expect.closeTo(value * 0.44704, 9) as number });
    expect(told).toMatchObject({
      weather_at_start: { wind_m_per_s: mph(6) },
      weather_at_end: { wind_m_per_s: mph(3) },
      location: { recorded: "behind the house" },
    });
    expect(faults.filter((one) => !one.includes("412"))).toEqual([]);
    await context.close();
  });

  test("where two people tell the ground of a task otherwise, neither overwrites the other unseen", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const thing = await record(`Grounds ${size}`);
    const strip = (north: number) => {
      const [west, east, south] = [-97.62, -97.61995, 38.84];
      const ring = [
        [west, south],
        [east, south],
        [east, north],
        [west, north],
        [west, south],
      ];
      return { type: "Polygon", coordinates: [ring] };
    };
    const ground = async () => {
      const { tasks } = await asked(home.origin, `/api/records/${thing}`);
      return (tasks as { id: string; ground_m2: number }[]).find(({ id }) => id === "lawn")!.ground_m2;
    };
    await putRight(page, thing);
    const titles = await page.getByRole("heading", { level: 2, name: /\(invented\)$/ }).allInnerTexts();
    const own = `#task-${titles.findIndex((text) => text.startsWith("lawn:")) + 1}-ground`;
    await page.locator("summary", { hasText: "Ground, wall, places and sprayer: lawn" }).click();
    await page.locator(own).fill(JSON.stringify(strip(38.84005)));
    await page.locator("#reason").fill("paced again");
    const task = [{ id: "lawn", ground: strip(38.8401) }];
    const other = { format: "tussock.as-applied/1", task };
    await sent("PUT", `/api/records/${thing}/as-applied?reason=paced`, { as_applied: other });
    const theirs = await ground();
    await keep(page).click();
    const dialog = page.getByRole("dialog");
    const choice = dialog.getByRole("group", { name: "lawn: ground" });
    const said = `ground of ${Math.round(theirs / 0.09290304)} sq ft`;
    await choice.getByText(`Theirs: ${said}`, { exact: true }).waitFor();
    expect(await dialog.getByRole("group").count()).toBe(1);
    expect(await choice.getByRole("radio", { checked: true }).count()).toBe(0);
    expect(await barriers(page)).toEqual([]);
    await choice.getByRole("radio", { name: "Mine: ground of" }).check();
    await dialog.getByRole("button", { name: "Put it together" }).click();
    await keep(page).click();
    await page.getByRole("heading", { name: "What was put right" }).waitFor();
    expect((await ground()) / theirs).toBeCloseTo(0.5, 3);
    expect(faults.filter((one) => !one.includes("412"))).toEqual([]);
    await context.close();
  });

  test("a tank is put right, and amounts are reckoned again; a lost answer makes no second version", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const thing = await record(`Tank ${size}`);
    const amount = async () => {
      const { tasks } = await asked(home.origin, `/api/records/${thing}`);
      const lawn = (tasks as { id: string; products: { amount: { volume_ml: number } }[] }[]).find(
        ({ id }) => id === "lawn",
      )!;
      return lawn.products[0]!.amount.volume_ml;
    };
    const before = await amount();
    await putRight(page, thing);
    const tasks = await page.getByRole("heading", { level: 2, name: /\(invented\)$/ }).allInnerTexts();
    const tank = `#task-${tasks.findIndex((text) => text.startsWith("lawn:")) + 1}-tank-1`;
    const was = Number(await page.locator(`${tank}-product-1`).inputValue());
    await page.locator(`${tank}-product-1`).fill(String(was + 2));
    await page.locator("#reason").fill("the cup was read from above");
    let isLost = true;
    await page.route("**/as-applied?*", async (route) => {
      if (!isLost) return route.continue();
      await route.fetch();
      await route.abort();
    });
    await keep(page).click();
    await page.getByText("No answer came.", { exact: false }).waitFor();
    isLost = false;
    await keep(page).click();
    await page.getByRole("heading", { name: "What was put right" }).waitFor();
    expect(await amount()).toBeCloseTo(before + 2, 6);
    const versions = (await asked(home.origin, `/api/records/${thing}/versions`)) as unknown as unknown[];
    expect(versions.length).toBe(2);
    expect(faults.filter((one) => !one.includes("ERR_FAILED"))).toEqual([]);
    await context.close();
  });

  test("a time of which a part is typed is told, not left out", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const thing = await record(`Half ${size}`);
    await putRight(page, thing);
    await page.locator("#reason").fill("read again");
    await page.locator("#start-wind").fill("5");
    for (const id of ["notice-1-given", "ended"]) {
      await page.locator(`#${id}`).focus();
      await page.keyboard.press("Backspace");
    }
    await keep(page).click();
    const alert = page.getByRole("alert").filter({ hasText: "Nothing was kept yet." });
    await alert.getByText("2 fields are missing or cannot be read").waitFor();
    await alert.getByText("“a time of which a part is missing” cannot be read").waitFor();
    await alert.getByText("“a day and time of which a part is missing” cannot be read").waitFor();
    expect((await asked(home.origin, `/api/records/${thing}/versions`)) as unknown as unknown[]).toHaveLength(
      1,
    );
    expect(faults).toEqual([]);
    await context.close();
  });

  test("what stayed in a tank is put right as kept, and goes out with no other tank", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const stayed = { id: "lawn", tank: [{ number: 1, carried_over: "0.2 gal" }] };
    const told = { format: "tussock.as-applied/1", nothing_left_over: true, task: [stayed] };
    const thing = await record(`Stayed ${size}`, told);
    const lawn = async () => {
      const { tasks, leftover } = await asked(home.origin, `/api/records/${thing}`);
      const all = tasks as {
        id: string;
        products: { amount: { volume_ml: number } }[];
        tanks: { filled: { spray_l: number; products: { volume_ml: number }[] }; carried_over_l: unknown }[];
      }[];
      return { leftover, ...all.find(({ id }) => id === "lawn")! };
    };
    const before = await lawn();
    const [first] = before.tanks;
    expect(first!.carried_over_l).toEqual({ recorded: expect.closeTo(0.757082, 6) as number });
    await putRight(page, thing);
    const tasks = await page.getByRole("heading", { level: 2, name: /\(invented\)$/ }).allInnerTexts();
    const tank = `#task-${tasks.findIndex((text) => text.startsWith("lawn:")) + 1}-tank-1`;
    await page.locator(`${tank}-way`).selectOption("kept");
    await page.locator(`${tank}-became`).fill("in the closed can");
    await page.locator("#reason").fill("it was poured into the can");
    // The record says that nothing was left: one of the two holds.
    await keep(page).click();
    await page.locator("#nothing-left-wrong").getByText("which one of the two holds").waitFor();
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("nothing-left");
    expect(await barriers(page)).toEqual([]);
    await page.locator("#nothing-left").uncheck();
    await keep(page).click();
    await page.getByRole("heading", { name: "What was put right" }).waitFor();
    const after = await lawn();
    expect(after.tanks[0]!.carried_over_l).toEqual({ recorded: 0 });
    // What is in the can was put down nowhere; before, all that was filled was.
    const inCan = first!.filled.products[0]!.volume_ml * (0.757082 / first!.filled.spray_l);
    expect(before.products[0]!.amount.volume_ml - after.products[0]!.amount.volume_ml).toBeCloseTo(inCan, 3);
    expect(after.leftover).toMatchObject({
      recorded: [{ task: "lawn", tank: 1, became: { recorded: { kept: "in the closed can" } } }],
    });
    await putRight(page, thing);
    expect(await page.locator(`${tank}-way`).inputValue()).toBe("kept");
    expect(await page.locator(`${tank}-became`).inputValue()).toBe("in the closed can");
    expect(faults).toEqual([]);
    await context.close();
  });

  test("a rest that was put down is put right with its tank, and a task with its wall and its sprayer", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const strip = [
      [-97.62, 38.84],
      [-97.61995, 38.84],
      [-97.61995, 38.84005],
      [-97.62, 38.84005],
      [-97.62, 38.84],
    ];
    const applied = { ground: { type: "Polygon", coordinates: [strip] }, site: "turf" };
    const told = {
      format: "tussock.as-applied/1",
      task: [{ id: "lawn", leftover: { spray: "0.2 gal", applied } }],
    };
    const thing = await record(`Rest ${size}`, told);
    const now = async () => {
      const { tasks, leftover } = await asked(home.origin, `/api/records/${thing}`);
      const all = tasks as { id: string; wall_m2: number; carrier_l: unknown; equipment: unknown }[];
      return { leftover, all };
    };
    const before = await now();
    expect(before.all.map(({ id }) => id)).toContain("lawn-leftover");
    await putRight(page, thing);
    const titles = await page.getByRole("heading", { level: 2, name: /\(invented\)$/ }).allInnerTexts();
    const numberOf = (name: string) => titles.findIndex((text) => text.startsWith(`${name}:`)) + 1;
    const lawn = before.all.find(({ id }) => id === "lawn") as unknown as { tanks: unknown[] };
    const tank = `#task-${numberOf("lawn")}-tank-${lawn.tanks.length}`;
    expect(await page.locator(`${tank}-way`).inputValue()).toBe("applied");
    await page.getByText("It is the task lawn-leftover of the record.").waitFor();
    await page.locator(`${tank}-left`).fill("0.3");
    await page.locator("summary", { hasText: "Ground, wall, places and sprayer: perimeter" }).click();
    await page.locator(`#task-${numberOf("perimeter")}-wall`).fill("400");
    await page.locator(`#task-${numberOf("perimeter")}-equipment`).fill("the other pump");
    await page.locator("#reason").fill("read again");
    expect(await barriers(page)).toEqual([]);
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    await keep(page).click();
    await page.getByRole("heading", { name: "What was put right" }).waitFor();
    const after = await now();
    const rests = after.all.filter(({ id }) => id.includes("leftover"));
    expect(rests).toHaveLength(1);
    expect(rests[0]!.carrier_l).toEqual({ recorded: expect.closeTo(0.3 * 3.785411784, 5) as number });
    const perimeter = after.all.find(({ id }) => id === "perimeter")!;
    expect(perimeter.wall_m2).toBeCloseTo(400 * 0.09290304, 6);
    expect(perimeter.equipment).toEqual({ recorded: "the other pump" });
    // It was not put down after all: its task goes.
    await putRight(page, thing);
    await page.locator(`${tank}-way`).selectOption("kept");
    await page.locator(`${tank}-became`).fill("in the closed can");
    await page.locator("#reason").fill("it was poured into the can");
    await keep(page).click();
    await page.getByRole("heading", { name: "What was put right" }).waitFor();
    const last = await now();
    expect(last.all.filter(({ id }) => id.includes("leftover"))).toEqual([]);
    expect(last.leftover).toMatchObject({
      recorded: [{ task: "lawn", became: { recorded: { kept: "in the closed can" } } }],
    });
    expect(faults).toEqual([]);
    await context.close();
  });

  test("another's name is kept with a number that was looked at", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const thing = await record(`Another ${size}`);
    await putRight(page, thing);
    expect(await page.locator("#certificate-holds").count()).toBe(0);
    await page.locator("#applicator").fill("R. Example");
    await page.locator("#reason").fill("R. drove out");
    await keep(page).click();
    const alert = page.getByRole("alert").filter({ hasText: "Nothing was kept yet." });
    await alert.getByText("KS-00000 stood with another name", { exact: false }).waitFor();
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("certification");
    expect(await barriers(page)).toEqual([]);
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    await page.getByLabel("KS-00000 is the certificate of R. Example", { exact: false }).check();
    await keep(page).click();
    await page.getByRole("heading", { name: "What was put right" }).waitFor();
    expect(await asked(home.origin, `/api/records/${thing}`)).toMatchObject({
      applicator: { recorded: "R. Example" },
      certification_number: { recorded: "KS-00000" },
      started: { recorded: "2026-07-07T07:05:00-05:00" },
    });
    expect(faults).toEqual([]);
    await context.close();
  });
});
