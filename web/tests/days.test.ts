// Days of the server's moments are told by the device's clock, in the form that the settings say.
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { askedAs, closeBrowser, company, person, sizes } from "./support";

afterAll(closeBrowser);

/** The evening of March 9 in Kansas, and the next day by universal time. */
const EVENING = "2026-03-10T01:30:00Z";
const KANSAS = { timezoneId: "America/Chicago" };

/** Lets everything be kept in that evening, whatever the hour is now. */
async function keptInTheEvening(page: Page): Promise<void> {
  await page.addInitScript((moment) => {
    const { fetch } = window;
    window.fetch = async (...asked) => {
      const answer = await fetch(...asked);
      const { status, headers } = answer;
      if (!(headers.get("content-type") ?? "").includes("json")) return answer;
      const text = (await answer.text()).replace(/"(recorded_at|made_at)":"[^"]+"/g, `"$1":"${moment}"`);
      return new Response(text === "" ? null : text, { status, headers });
    };
  }, EVENING);
}

test.each(sizes)("what was kept in the evening is told as of that day: %s", async (size) => {
  const home = await company();
  const { context, page, faults } = await person(home, "mara", size, KANSAS);
  const { property } = await askedAs<{ property: string }>(page, "POST", "/api/demo");
  const { entries } = await askedAs<{ entries: { thing: string }[] }>(page, "GET", "/api/labels");
  await keptInTheEvening(page);
  for (const path of [
    "/properties",
    `/properties/${property}/versions`,
    "/shelf",
    `/shelf/labels/${entries[0]!.thing}`,
    "/clients",
    "/people",
  ]) {
    await page.goto(path);
    const told = page.locator("main").getByText(/March 9, 2026/);
    await told.first().waitFor({ state: "attached" });
    expect(
      await page
        .locator("main")
        .getByText(/March 10, 2026/)
        .count(),
      path,
    ).toBe(0);
  }
  expect(faults).toEqual([]);
  await context.close();
  await home.stop();
});

test.each(sizes)("when a draft was typed is told in the form of days that was chosen: %s", async (size) => {
  const home = await company();
  const { context, page, faults } = await person(home, "mara", size, KANSAS);
  await page.goto("/settings");
  await page.getByRole("radio", { name: "2026-07-07" }).check();
  await page.goto("/clients/new");
  await page.getByLabel("Name").fill("A. Sample (invented)");
  await page.getByText("Not kept yet. It stays on this device meanwhile.").waitFor();
  await page.reload();
  await page
    .getByText(/^What was typed until \d{4}-\d\d-\d\d, \d\d:\d\d was found on this device\.$/)
    .waitFor();
  expect(faults).toEqual([]);
  await context.close();
  await home.stop();
});
