// The first run: from empty books to a plan, by the demo in one click, and on one's own property in three steps.
import { afterAll, describe, expect, test } from "vitest";
import { asked, demoFile } from "./demo";
import { closeBrowser, house, reader, sizes } from "./support";

afterAll(closeBrowser);

describe.each(sizes)("at the size of a %s", (size) => {
  test("empty books offer three steps and the demo", async () => {
    const home = await house();
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/");
    await page.getByRole("heading", { level: 2, name: "Three steps to a first plan" }).waitFor();
    await page.getByRole("button", { name: "Take the invented demo property" }).waitFor();
    expect(await page.getByText("(to do)").count()).toBe(3);
    expect(faults).toEqual([]);
    await context.close();
    await home.stop();
  });

  test("the demo is one click from a plan and its paper, and says that it is invented", async () => {
    const home = await house();
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/");
    await page.getByRole("button", { name: "Take the invented demo property" }).click();
    await page.getByRole("heading", { level: 1, name: "Alder Bend (invented)" }).waitFor();
    await page.getByText("Start between 07:00 and 09:20.").waitFor();
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "Work sheet (PDF)" }).click(),
    ]);
    expect(download.suggestedFilename()).toMatch(/invented.*\.pdf$/);
    await page.goto("/properties");
    await page.getByRole("link", { name: "Alder Bend (invented)" }).waitFor();
    // Once there is a visit, the first page leads to what is kept.
    await page.goto("/");
    await page.getByRole("link", { name: "Alder Bend (invented)" }).first().waitFor();
    expect(await page.getByText("Three steps to a first plan").count()).toBe(0);
    expect(faults).toEqual([]);
    await context.close();
    await home.stop();
  });
});

test.each(sizes)("three steps lead to a first plan on one's own property: %s", async (size) => {
  const home = await house();
  const { context, page, faults } = await reader(home.origin, size);
  const step = async (name: string) => {
    await page.goto("/");
    await page.getByRole("link", { name }).click();
  };
  // A map that one has.
  await step("Draw a property");
  const map = {
    name: "mine.geojson",
    mimeType: "application/geo+json",
    buffer: Buffer.from(demoFile("alder-bend/property.geojson")),
  };
  await page.getByLabel("Take in a map").setInputFiles(map);
  await page.getByRole("button", { name: /^Take in \d+ shapes$/ }).click();
  await page.getByLabel("Name", { exact: true }).fill("My own acre");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.waitForURL(/\/properties\/[0-9a-f-]{36}$/);

  await step("Enter a label");
  const label = {
    name: "label.toml",
    mimeType: "application/toml",
    buffer: Buffer.from(demoFile("labels/brackwater-sc.toml")),
  };
  await page.getByLabel("Take in a label file").setInputFiles(label);
  await page.getByText("Plans can use it.").waitFor();
  await page.getByRole("button", { name: "Keep the label" }).click();
  await page.waitForURL(/\/shelf\/labels\/[0-9a-f-]{36}$/);

  await step("Enter a sprayer");
  await page.getByLabel("Called").fill("My pump");
  const sprayer = {
    name: "equipment.toml",
    mimeType: "application/toml",
    buffer: Buffer.from(demoFile("alder-bend/equipment.toml")),
  };
  await page.getByLabel("Take in an equipment file").setInputFiles(sprayer);
  await page.getByText("Plans can use it.").waitFor();
  await page.getByRole("button", { name: "Keep the equipment" }).click();
  await page.waitForURL(/\/shelf\/equipment\/[0-9a-f-]{36}$/);

  await step("Plan a visit at My own acre");
  await page.getByRole("heading", { level: 1, name: "My own acre" }).waitFor();
  await page.getByText("the visit has no task", { exact: false }).waitFor();
  await page.locator("#pest").fill("grasshopper");
  await page.locator("#stage").fill("nymph");
  await page.locator("#basis").fill("caught in a net");
  await page.getByRole("button", { name: "Add a task" }).click();
  await page.locator("#task-0-calibration").selectOption("lawn");
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  // Without a forecast no hour is lawful, and the page says what is wanting.
  await page.locator(".whole[data-verdict=refused]").waitFor();
  const day = await page.locator("#date").inputValue();
  const rows = ["start,temperature_f,wind_mph,gust_mph,wind_from_deg,rain_in"];
  for (let hour = 5; hour < 22; hour += 1) {
    rows.push(`${day}T${String(hour).padStart(2, "0")}:00-06:00,70,5,7,180,0`);
  }
  await page
    .getByLabel("Take in a forecast file")
    .setInputFiles({ name: "f.csv", mimeType: "text/csv", buffer: Buffer.from(rows.join("\n")) });
  // The perennials bloom, and the label keeps spray off them: a distance mends it.
  await page.getByText("perennials is in bloom", { exact: false }).first().waitFor();
  await page.locator("summary", { hasText: "Distances that you keep" }).click();
  await page.locator("#setback-blooming-plants").fill("5 ft");
  await page.locator("#setback-food-plants").fill("6 ft");
  await page
    .getByText(/^Start between \d\d:\d\d and \d\d:\d\d\.$/)
    .first()
    .waitFor();
  await page.getByRole("button", { name: "Keep the visit" }).click();
  await page.waitForURL(/\/visits\/[0-9a-f-]{36}$/);
  await page.getByText("All is kept.").waitFor();
  const { entries } = await asked<{ entries: { title: string; property: string }[] }>(
    home,
    "GET",
    "/api/visits",
  );
  expect(entries.map(({ title }) => title)).toEqual(["My own acre"]);
  expect(entries[0]!.property).toMatch(/^[0-9a-f-]{36}$/);
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
  await home.stop();
});
