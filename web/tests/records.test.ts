// Records as they are read: listed, searched, told whole, in every version and as a paper.
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import {
  LOOKS,
  SIZES,
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  keptThing,
  picture,
  reader,
  type House,
  type Size,
} from "./support";

const sizes = Object.keys(SIZES) as Size[];
let home: House;
let record: string;

beforeAll(async () => {
  home = await house();
  const { visit } = await keepDemo(home.origin);
  const { request, files } = await asked(home.origin, `/api/visits/${visit}`);
  const asApplied = readFileSync(new URL("../../demo/alder-bend/as-applied.toml", import.meta.url), "utf8");
  record = await keptThing(home.origin, "/api/records/of-visit", {
    visit: request,
    files,
    as_applied: asApplied,
  });
  const document = await asked(home.origin, `/api/records/${record}`);
  const amended = await fetch(`${home.origin}/api/records/${record}?reason=told+later`, {
    method: "PUT",
    headers: { "content-type": "application/json", "idempotency-key": "amended", "if-match": '"1"' },
    body: JSON.stringify(document),
  });
  if (!amended.ok) throw new Error(await amended.text());
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

describe.each(sizes)("at the size of a %s", (size) => {
  test.each(LOOKS)("records in the look %s have no barrier", async (look) => {
    const { context, page, faults } = await reader(home.origin, size, look);
    for (const [name, path, heading] of [
      ["records", "/records", "Records"],
      ["record", `/records/${record}`, "Alder Bend"],
    ] as const) {
      await page.goto(path);
      await page.getByRole("heading", { level: 1, name: heading }).waitFor();
      await page.waitForLoadState("networkidle");
      expect(await barriers(page), `${path} in ${look}`).toEqual([]);
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect(overflow, `${path} is wider than the screen`).toBeLessThanOrEqual(0);
      await picture(page, name, look, size);
    }
    expect(faults).toEqual([]);
    await context.close();
  });
});

test("a record is found, read whole, looked at as it was, and set as a paper", async () => {
  const { context, page, faults } = await reader(home.origin, "desk");
  await page.goto("/records");
  await page.getByRole("link", { name: "Alder Bend" }).waitFor();
  await page.getByText("Nothing says where the property lies").waitFor();
  await page.getByLabel("Words in the name").fill("no such words");
  await page.getByRole("button", { name: "Look" }).click();
  await page.getByText("Nothing recorded fits.").waitFor();
  await page.goBack();
  await page.getByRole("link", { name: "Alder Bend" }).click();
  await page.getByRole("heading", { name: "Done otherwise than planned" }).waitFor();
  await page.getByText("B-0417 (invented)").first().waitFor();
  await page
    .getByText(/version 2, entry \d+, hash [0-9a-f]{64}/)
    .first()
    .waitFor();
  const saved = page.waitForEvent("download");
  await page.getByRole("button", { name: "Paper for an inspector (PDF)" }).click();
  expect(
    readFileSync(await (await saved).path())
      .subarray(0, 5)
      .toString(),
  ).toBe("%PDF-");
  await page.getByRole("link", { name: "Version 1" }).click();
  await page.getByText("This is version 1, not the newest.").waitFor();
  await page.getByRole("link", { name: "Show the newest" }).click();
  await page.getByText("This is version 1").waitFor({ state: "detached" });
  expect(faults).toEqual([]);
  await context.close();
});
