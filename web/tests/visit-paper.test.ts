// What a visit's paper is of: the visit as it is kept, in the units of the reader.
import { afterAll, beforeAll, expect, test } from "vitest";
import { closeBrowser, house, keepDemo, reader, sizes, type Demo, type House } from "./support";

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

test.each(sizes)("changes that are not kept are not printed unsaid: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/visits/${demo.visit}`);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  const paper = page.getByRole("link", { name: "Print sheet" });
  await paper.waitFor();
  await page.locator(".asked summary", { hasText: "Property, day and people" }).click();
  await page.locator("#name").fill("Another name (invented)");
  await page.getByText("The sheet to print is of the visit as it is kept", { exact: false }).waitFor();
  expect(await paper.count()).toBe(0);
  // Whoever comes to the sheet by its address is told, on paper too.
  await page.waitForTimeout(500);
  await page.goto(`/visits/${demo.visit}/print`);
  const said = page.getByText("Changes on this device are not in it.", { exact: false });
  await said.waitFor();
  await page.emulateMedia({ media: "print" });
  expect(await said.isVisible()).toBe(true);
  await page.getByRole("heading", { level: 1, name: demo.name, exact: true }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test("the map on the printed sheet has the units of its figures", async () => {
  const { context, page, faults } = await reader(home.origin, "desk");
  await page.addInitScript(() =>
    localStorage.setItem("tussock.settings/1", JSON.stringify({ units: "metric" })),
  );
  const asked = page.waitForRequest((request) => request.url().includes("/api/plan/map"));
  await page.goto(`/visits/${demo.visit}/print`);
  expect(new URL((await asked).url()).searchParams.get("units")).toBe("metric");
  await page.getByRole("region", { name: /^Map of Alder Bend/ }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});
