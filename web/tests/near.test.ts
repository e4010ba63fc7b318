// Who applied what near a place, and what lies where: on the map, and the same in words.
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { demoFile } from "./demo";
import {
  SIZES,
  asked,
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
let record: string;

beforeAll(async () => {
  home = await house();
  demo = await keepDemo(home.origin);
  const visit = await keepVisit(home.origin, demo.property, "Windy morning", {
    request: (text) => text.replace('"property.geojson"', '"books:property/Alder Bend"'),
    files: { "books:property/Alder Bend": demoFile("alder-bend/property.geojson") },
  });
  const { request, files } = await asked(home.origin, `/api/visits/${visit}`);
  const told = readFileSync(new URL("../../demo/alder-bend/as-applied.toml", import.meta.url), "utf8");
  record = await keptThing(home.origin, "/api/records/of-visit", {
    visit: request,
    files,
    as_applied: told.replace(/wind_from = \d+/, "wind_from = 270"),
    kept: visit,
  });
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

describe.each(sizes)("at the size of a %s", (size) => {
  test("who complains finds who applied what, with the wind and whether the place lay downwind", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/records");
    await page.getByRole("link", { name: "Who applied what near a place" }).click();
    await page.getByRole("heading", { level: 1, name: "Who applied what near a place" }).waitFor();
    // East of the lot, of which the west wind came over the lawn.
    await page.getByLabel("Latitude, degrees north").fill("38.84018");
    await page.getByLabel("Longitude, degrees east; west is negative").fill("-97.61951");
    await page.getByLabel("Within").fill("300");
    await page.getByLabel("From", { exact: true }).fill("2026-07-07T06:00");
    await page.getByLabel("Until", { exact: true }).fill("2026-07-07T20:00");
    await page.getByLabel("By the clock that stands at").fill("-05:00");
    await page.getByRole("button", { name: "Look" }).click();
    await page.getByText("3 tasks were carried out there.").waitFor();
    const answer = await asked(
      home.origin,
      "/api/complaints?longitude=-97.61951&latitude=38.84018&within_m=91.44&from=2026-07-07T06:00:00-05:00&until=2026-07-07T20:00:00-05:00",
    );
    const near = answer.near as { task: string; thing: string; downwind_at_start: { is: string } }[];
    expect(near.every(({ thing }) => thing === record)).toBe(true);
    for (const { task, downwind_at_start } of near) {
      const told = page.getByRole("article").filter({ hasText: `${task} of Alder Bend` });
      await told.getByText("From W (270°)", { exact: false }).first().waitFor();
      await told.getByText("J. Example").waitFor();
      const words = downwind_at_start.is === "inside" ? "The place lay downwind" : "did not lie downwind";
      await told.getByText(words, { exact: false }).first().waitFor();
    }
    expect(near.some(({ downwind_at_start }) => downwind_at_start.is === "inside")).toBe(true);
    // The picture: what was treated, the place, and the ground upwind of it.
    const key = page.getByRole("list", { name: "What the patterns mean" });
    for (const kind of [
      "Treated",
      "The place that is asked of",
      "Upwind of the place: the wind came from here",
    ])
      await key.getByText(kind, { exact: true }).waitFor();
    await page.getByRole("button", { name: "Show hedge on the map" }).click();
    expect(
      await page.getByRole("button", { name: "Show hedge on the map" }).getAttribute("aria-pressed"),
    ).toBe("true");
    // The address says it all: loaded again it is the same, and the record is one press away.
    await page.reload();
    await page.getByText("3 tasks were carried out there.").waitFor();
    await page.getByRole("link", { name: "Read the record" }).first().click();
    await page.getByRole("heading", { level: 1, name: "Windy morning" }).waitFor();
    // Another day has nothing.
    await page.goto(
      "/records/near?longitude=-97.61951&latitude=38.84018&within_m=91.44&from=2026-07-09T06:00:00-05:00&until=2026-07-09T20:00:00-05:00",
    );
    await page.getByText("The books hold no application there at that time.").waitFor();
    expect(faults).toEqual([]);
    await context.close();
  });

  test("a tap on the map is the place", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/records/near");
    const map = page.getByRole("group", { name: "Map round the place" });
    await map.waitFor();
    await expect.poll(() => map.getAttribute("data-view")).not.toBe("");
    await map.click();
    await expect.poll(() => page.getByLabel("Latitude, degrees north").inputValue()).toMatch(/^38\.84\d+$/);
    expect(await page.getByLabel("Longitude, degrees east; west is negative").inputValue()).toMatch(
      /^-97\.6\d+$/,
    );
    expect(faults).toEqual([]);
    await context.close();
  });

  test("a property's page leads to what each place has had of each active ingredient", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/properties/${demo.property}`);
    await page.getByRole("link", { name: "What lies on it" }).click();
    await page.getByRole("heading", { level: 1, name: "What lies where" }).waitFor();
    await page.goto(`/records/totals?property=${demo.property}&from=2026-01-01&until=2026-12-31`);
    await page.getByText("Counted from January 1, 2026 until December 31, 2026.").waitFor();
    const path = `/api/totals?property=${demo.property}&from=2026-01-01&until=2026-12-31`;
    const { places } = await asked(home.origin, path);
    const all = places as { active_ingredients: { name: string; g_per_m2: number }[] }[];
    expect(all.length).toBeGreaterThan(0);
    expect(await page.getByRole("heading", { level: 2, name: /^Place \d+:/ }).count()).toBe(all.length);
    for (const [at, { active_ingredients }] of all.entries())
      for (const { name, g_per_m2 } of active_ingredients) {
        const row = page
          .getByRole("region", { name: `Place ${at + 1}`, exact: true })
          .getByRole("row", { name });
        const told = (await row.innerText()).match(/([\d.,]+) lb\/acre \(([\d.,]+) kg\/ha\)/)!;
        expect(Number(told[2]) / (g_per_m2 * 10)).toBeCloseTo(1, 2);
        // A pound on an acre is 1.1209 kg on a hectare.
        expect(Number(told[2]) / Number(told[1])).toBeCloseTo(1.1209, 1);
      }
    await page.getByText("nobody has said since when", { exact: false }).waitFor();
    await page.getByText("What was put down, oldest first").first().click();
    await page
      .locator("details[open]")
      .getByRole("link", { name: /July 7, 2026/ })
      .first()
      .click();
    await page.getByRole("heading", { level: 1, name: "Windy morning" }).waitFor();
    expect(faults).toEqual([]);
    await context.close();
  });
});
