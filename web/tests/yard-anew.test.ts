// Visits that were taken along and are newer on the server, and a day of which not every visit can be planned.
import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { demoFile } from "./demo";
import { done, isDelivered, recording, sayAsPlanned } from "./recording";
import {
  SIZES,
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  keepVisit,
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

/** Somebody at a desk keeps another version of a visit. */
async function planAnew(
  visit: string,
  change: (request: string) => string,
  origin = home.origin,
): Promise<void> {
  const document = await asked(origin, `/api/visits/${visit}`);
  const answer = await fetch(`${origin}/api/visits/${visit}`, {
    method: "PUT",
    headers: { "content-type": "application/json", "idempotency-key": randomUUID(), "if-match": '"1"' },
    body: JSON.stringify({ ...document, request: change(document.request as string) }),
  });
  if (!answer.ok) throw new Error(await answer.text());
}

/** The lawn is treated no more, as when it was found to be sown anew. */
const withoutLawn = (request: string) =>
  request.replace(/\n\[\[tasks?\]\]\nid = "lawn"[\s\S]*?(?=\n\[\[?\w|$)/, "\n");

const LAWN = /^lawn:/;

describe.each(sizes)("at the size of a %s", (size) => {
  test("a sheet of which nothing is written gives way to a newer one, and says what changed", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const name = `Newer ${size}`;
    const visit = await keepVisit(home.origin, demo.property, name);
    await recording(page, visit);
    expect(await page.getByRole("heading", { level: 2, name: LAWN }).count()).toBe(1);
    await planAnew(visit, withoutLawn);
    await page.reload();
    await page.getByText("Taken along anew, as it is now.", { exact: false }).waitFor();
    await page.getByText("lawn is no longer planned.").waitFor();
    expect(await page.getByRole("heading", { level: 2, name: LAWN }).count()).toBe(0);
    expect(await barriers(page)).toEqual([]);
    // It stays until somebody has seen it, in the list as well.
    await page.goto("/yard");
    await page.getByText("lawn is no longer planned.").waitFor();
    await page.getByRole("button", { name: "I have seen it" }).click();
    await page.getByText("lawn is no longer planned.").waitFor({ state: "detached" });
    await page.goto(`/yard/record/${visit}`);
    await done(page).waitFor();
    expect(await page.getByText("lawn is no longer planned.").count()).toBe(0);
    expect(faults).toEqual([]);
    await context.close();
  });

  test("where something is written a person takes the newer sheet, and nothing written is lost", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const name = `Begun ${size}`;
    const visit = await keepVisit(home.origin, demo.property, name);
    await recording(page, visit);
    await page.locator("#day").fill(demo.day);
    await page.locator("#started").fill("07:05");
    const tasks = await page.getByRole("heading", { level: 2, name: /\(invented\)$/ }).allInnerTexts();
    const lawn = tasks.findIndex((text) => LAWN.test(text)) + 1;
    await page.locator(`#task-${lawn}-tank-1-covered`).fill("1180");
    await sayAsPlanned(page);
    await planAnew(visit, withoutLawn);
    await page.reload();
    await page.getByText("Planned anew since it was taken along", { exact: false }).waitFor();
    // Until then the sheet that was begun stands.
    expect(await page.locator(`#task-${lawn}-tank-1-covered`).inputValue()).toBe("1180");
    await page.getByRole("button", { name: "Take the new plan" }).click();
    await page.getByText("Tank 1: area covered 1180 sq ft").waitFor();
    expect(await page.locator("#started").inputValue()).toBe("07:05");
    // Who said that all went as planned said so of the other plan.
    expect(await page.getByRole("radio", { name: "All went as planned" }).isChecked()).toBe(false);
    await page.reload();
    await page.getByText("Tank 1: area covered 1180 sq ft").waitFor();
    await page.getByRole("button", { name: "It is written again" }).click();
    await page.getByText("Tank 1: area covered 1180 sq ft").waitFor({ state: "detached" });
    await sayAsPlanned(page);
    await done(page).click();
    await isDelivered(page);
    const { entries } = await asked(home.origin, "/api/records");
    const own = (entries as { title: string; thing: string }[]).find(({ title }) => title === name)!;
    const record = await asked(home.origin, `/api/records/${own.thing}`);
    expect((record.tasks as { id: string }[]).map(({ id }) => id)).not.toContain("lawn");
    expect(faults).toEqual([]);
    await context.close();
  });

  test("the yard takes anew what is newer; what changed since is told where it is listed", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const name = `Listed ${size}`;
    const visit = await keepVisit(home.origin, demo.property, name);
    await recording(page, visit);
    await page.goto("/yard");
    await page.getByRole("link", { name: `Mix and record: ${name}` }).waitFor();
    expect(await page.getByText("Taken along anew", { exact: false }).count()).toBe(0);
    await planAnew(visit, (request) => request.replace("J. Example", "K. Example"));
    await page.reload();
    await page.getByText("Who applies: K. Example (before: J. Example).").waitFor();
    // Without reception it is there as it was taken anew.
    await page.evaluate(async () => void (await navigator.serviceWorker.ready));
    await page.reload();
    await page.getByText("Who applies: K. Example (before: J. Example).").waitFor();
    await context.setOffline(true);
    await page.goto(`/yard/record/${visit}`);
    await page.getByText("the record says K. Example, as planned", { exact: false }).waitFor();
    await page.getByText("Who applies: K. Example (before: J. Example).").waitFor();
    expect(faults.filter((one) => !one.includes("ERR_INTERNET_DISCONNECTED"))).toEqual([]);
    await context.close();
  });

  test("a tank filled before its visit was planned anew is recorded as it was filled", async () => {
    const { context, page, faults } = await reader(home.origin, size);
    const name = `Filled ${size}`;
    const visit = await keepVisit(home.origin, demo.property, name);
    await recording(page, visit);
    const tasks = await page.getByRole("heading", { level: 2, name: /\(invented\)$/ }).allInnerTexts();
    const at = tasks.findIndex((text) => LAWN.test(text)) + 1;
    const tank = page.getByRole("group", { name: "Tank 1", exact: true }).nth(at - 1);
    const amount = parseFloat(await tank.locator("dd.big").first().innerText());
    await page.locator(`#task-${at}-tank-1-fill-planned`).check();
    await sayAsPlanned(page);
    await planAnew(visit, (request) => request.replace("0.4 fl oz/1,000 sq ft", "0.35 fl oz/1,000 sq ft"));
    // The list of the yard says that there is a newer plan, and leaves the one by which it was filled.
    await page.goto("/yard");
    const listed = page.getByRole("listitem").filter({ hasText: name }).first();
    await listed
      .getByText("Its record is begun, and keeps the plan it was begun with.", { exact: false })
      .waitFor();
    expect(await barriers(page)).toEqual([]);
    await listed.getByRole("link", { name: `Mix and record: ${name}` }).click();
    await page.getByRole("button", { name: "Take the new plan" }).click();
    await page.getByText("The plan has other figures of lawn", { exact: false }).waitFor();
    expect(parseFloat(await tank.locator("dd.big").first().innerText())).not.toBe(amount);
    const typed = page.locator(`#task-${at}-tank-1-product-1`);
    expect(Number(await typed.inputValue())).toBe(amount);
    expect(await page.getByRole("radio", { name: "All went as planned" }).isChecked()).toBe(false);
    expect(await barriers(page)).toEqual([]);
    expect(faults).toEqual([]);
    await context.close();
  });

  test("a day that is taken along once more says what changed since", async () => {
    const own = await house();
    const { visit, day } = await keepDemo(own.origin);
    const { context, page } = await reader(own.origin, size);
    await recording(page, visit);
    await page.goto("/yard");
    await page.getByText("Looking whether there is anything newer.").waitFor({ state: "detached" });
    await planAnew(visit, (request) => request.replace("J. Example", "K. Example"), own.origin);
    await page.getByLabel("Day").fill(day);
    await page.getByRole("button", { name: "Take along" }).first().click();
    const changed = page.getByText("Who applies: K. Example (before: J. Example).");
    await changed.waitFor();
    // What nobody has seen stays when it is taken once more.
    await page.getByRole("button", { name: "Take along" }).first().click();
    await page.getByText("One visit is taken along.").first().waitFor();
    await page.waitForTimeout(500);
    expect(await changed.count()).toBe(1);
    await context.close();
    await own.stop();
  });

  test("a visit that cannot be planned keeps no other of its day back, and is told with its reason", async () => {
    const own = await house();
    const { property, day } = await keepDemo(own.origin);
    await keepVisit(own.origin, property, "A broken one", {
      request: (text) => text.replace('"property.geojson"', '"books:property/Alder Bend"'),
      files: { "books:property/Alder Bend": demoFile("alder-bend/property.geojson") },
    });
    // The hedge is taken out of the ground, and the visit still treats it.
    const kept = await asked(own.origin, `/api/properties/${property}`);
    const map = JSON.parse(kept.map as string) as {
      features: { id?: string; properties: { id?: string } }[];
    };
    map.features = map.features.filter(({ id, properties }) => (id ?? properties.id) !== "hedge");
    const changed = await fetch(`${own.origin}/api/properties/${property}`, {
      method: "PUT",
      headers: { "content-type": "application/json", "idempotency-key": randomUUID(), "if-match": '"1"' },
      body: JSON.stringify({ ...kept, map: JSON.stringify(map) }),
    });
    expect(changed.status).toBe(200);
    await keepVisit(own.origin, property, "Yet another");
    const { context, page } = await reader(own.origin, size);
    await page.goto("/yard");
    await page.getByLabel("Day").fill(day);
    await page.getByRole("button", { name: "Take along" }).first().click();
    await page.getByText("2 visits are taken along.").first().waitFor();
    const told = page.getByRole("alert").filter({ hasText: "One visit could not be taken along." });
    await told.getByText("hedge", { exact: false }).first().waitFor();
    await told.getByRole("link", { name: "Look at the visit: A broken one" }).waitFor();
    for (const name of ["Alder Bend", "Yet another"])
      await page.getByRole("link", { name: `Mix and record: ${name}` }).waitFor();
    expect(await page.getByRole("link", { name: "Mix and record: A broken one" }).count()).toBe(0);
    expect(await barriers(page)).toEqual([]);
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    await context.close();
    await own.stop();
  });
});
