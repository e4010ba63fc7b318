// Units are how figures are shown; what somebody typed means what it meant when they typed it.
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { sayAsPlanned } from "./recording";
import {
  DEMO_DAY,
  SIZES,
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  onDevice,
  reader,
  type Size,
} from "./support";

const sizes = Object.keys(SIZES) as Size[];
afterAll(closeBrowser);

async function choose(page: Page, units: RegExp): Promise<void> {
  await page.goto("/settings");
  await page.getByRole("radio", { name: units }).check();
}

test.each(sizes)("a change of units leaves the figures of a draft as they were typed: %s", async (size) => {
  const home = await house();
  const demo = await keepDemo(home.origin);
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/yard");
  await page.getByLabel("Day").fill(demo.day);
  await page.getByRole("button", { name: "Take along" }).first().click();
  await page.getByText("One visit is taken along.").first().waitFor();
  const form = `/yard/record/${demo.visit}`;
  const ready = () => page.getByRole("button", { name: "Work is done" }).waitFor();
  const tank = page.getByRole("group", { name: /^Tank \d+$/ }).first();

  // Begun in US units, without a figure: the form follows the settings.
  await page.goto(form);
  await ready();
  await page.locator("#day").fill(DEMO_DAY);
  await page.locator("#started").fill("07:05");
  // A page that is left in the same breath may take its last stroke along.
  await expect.poll(async () => (await onDevice(page))["tussock.yard/drafts"]).toContain("07:05");
  await choose(page, /^Metres/);
  await page.goto(form);
  await page.getByLabel("Wind (km/h)").first().waitFor();
  expect(await page.locator("#started").inputValue()).toBe("07:05");
  await choose(page, /^Feet/);
  await page.goto(form);
  await ready();

  await page.locator("#start-wind").fill("6");
  await page.locator("#start-temperature").fill("72");
  await tank.getByRole("radio", { name: "Otherwise" }).check();
  await tank.getByLabel(/spray in it/).fill("1.9");
  await tank.getByLabel(/area covered/).fill("1180");
  await expect.poll(async () => (await onDevice(page))["tussock.yard/drafts"]).toContain("1180");
  const judged = await tank.getByText(/%/).innerText();
  await choose(page, /^Metres/);
  await page.goto(form);
  await ready();
  await page
    .getByText("Figures of this form were begun in US units, and stay in them", { exact: false })
    .waitFor();
  expect(await page.locator("#start-wind").inputValue()).toBe("6");
  await page.getByLabel("Temperature (°F)").first().waitFor();
  await tank.getByLabel(/spray in it.*\(gal\)/).waitFor();
  expect(await tank.getByText(/%/).innerText()).toBe(judged);
  expect(await barriers(page)).toEqual([]);
  const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  expect(overflow).toBeLessThanOrEqual(0);
  await sayAsPlanned(page);
  await page.getByRole("button", { name: "Work is done" }).click();
  await page.getByText("Nothing waits: the server has everything.").waitFor();

  const { entries } = await asked(home.origin, "/api/records");
  const [{ thing }] = entries as [{ thing: string }];
  const told = JSON.stringify(await asked(home.origin, `/api/records/${thing}`));
  // 6 mph are 2.68 m/s; 72 °F are 22.2 °C. Read as km/h and °C they would be 1.67 m/s and 72 °C.
  expect(told).toMatch(/2\.68224/);
  expect(told).toMatch(/22\.2222/);
  expect(faults).toEqual([]);
  await context.close();
  await home.stop();
});

test.each(sizes)("whoever counts by metres begins with a frame in metres: %s", async (size) => {
  const home = await house();
  const demo = await keepDemo(home.origin);
  const { context, page, faults } = await reader(home.origin, size);
  await choose(page, /^Metres/);
  await page.goto(`/yard/counts/${demo.property}`);
  await page.getByRole("button", { name: "Counting is done" }).waitFor();
  expect(await page.locator("#area").inputValue()).toBe("0.1 m²");
  await page.getByLabel("Pest", { exact: true }).fill("grasshopper");
  await page.getByRole("spinbutton", { name: "Count" }).fill("2");
  await page.getByRole("button", { name: "Keep this count" }).click();
  await page.getByRole("button", { name: "Counting is done" }).click();
  await page.getByText("Nothing waits: the server has everything.").waitFor();
  const { entries } = await asked(home.origin, "/api/surveys");
  const [{ thing }] = entries as [{ thing: string }];
  expect((await asked(home.origin, `/api/surveys/${thing}`)).count_area).toBe("0.1 m²");
  expect(faults).toEqual([]);
  await context.close();
  await home.stop();
});
