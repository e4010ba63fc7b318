// Records as they are read: listed, searched, told whole, in every version and as a paper.
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, expect, test } from "vitest";
import {
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  keptThing,
  reader,
  sizes,
  type House,
} from "./support";

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

test.each(sizes)(
  "a record is found, read whole, looked at as it was, and set as a paper: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/records");
    await page.getByRole("link", { name: "Alder Bend", exact: true }).waitFor();
    await page.getByText("Nothing says where the property lies").waitFor();
    await page.getByLabel("Words in the name").fill("no such words");
    await page.getByRole("button", { name: "Look" }).click();
    await page.getByText("Nothing recorded fits.").waitFor();
    await page.goBack();
    await page.getByRole("link", { name: "Alder Bend", exact: true }).click();
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
  },
);

test.each(sizes)(
  "the list tells what labels and rules say of a record, as the command line does: %s",
  async (size) => {
    const own = await house();
    const { property, visit } = await keepDemo(own.origin);
    // Georgia demands a sign before the work is over.
    const placed = await fetch(`${own.origin}/api/properties/${property}`, {
      method: "PUT",
      headers: { "content-type": "application/json", "idempotency-key": "placed", "if-match": '"1"' },
      body: JSON.stringify({
        ...(await asked(own.origin, `/api/properties/${property}`)),
        jurisdiction: "US-GA",
      }),
    });
    expect(placed.status).toBe(200);
    const { request, files } = await asked(own.origin, `/api/visits/${visit}`);
    const label = readFileSync(new URL("../../demo/labels/brackwater-sc.toml", import.meta.url), "utf8");
    await keptThing(own.origin, "/api/labels", {
      format: "tussock.kept-label/1",
      id: "brackwater-sc",
      label,
    });
    const late = await keptThing(own.origin, "/api/records/of-visit", {
      visit: request,
      files,
      as_applied: {
        format: "tussock.as-applied/1",
        started: "2026-07-07T07:05:00-05:00",
        ended: "2026-07-07T08:50:00-05:00",
        notice: [{ to: "front lawn", how: "sign", given: "2026-07-07T08:51:00-05:00" }],
      },
    });
    type Amounts = Record<string, number>;
    const document = await asked(own.origin, `/api/records/${late}`);
    for (const task of document.tasks as { products: { amount: Amounts }[] }[])
      for (const { amount } of task.products) for (const unit of Object.keys(amount)) amount[unit]! *= 5;
    const passing = await keptThing(own.origin, "/api/records", {
      ...document,
      visit: null,
      name: "Five times as much",
    });
    const { context, page, faults } = await reader(own.origin, size);
    await page.goto("/records");
    const more: number[] = [];
    for (const [name, thing] of [
      [/Alder Bend/, late],
      [/Five times as much/, passing],
    ] as const) {
      const standing = await asked(own.origin, `/api/records/${thing}/standing`);
      const {
        breaches,
        not_judged,
        late: notices,
      } = standing as Record<string, number> & { late: unknown[] };
      const row = page.getByRole("row", { name });
      await row.getByText("Draft, lacks", { exact: false }).waitFor();
      expect(notices).toHaveLength(1);
      await row.getByText("1 notice too late", { exact: true }).waitFor();
      const words =
        breaches === 1 ? "1 sentence of a label passed" : `${breaches} sentences of a label passed`;
      await row.getByText(words, { exact: true }).waitFor();
      expect(await row.getByText("Not all of it could be judged").count()).toBe(not_judged! > 0 ? 1 : 0);
      more.push(breaches!);
    }
    expect(more[1]).toBeGreaterThan(more[0]!);
    expect(await barriers(page)).toEqual([]);
    expect(faults).toEqual([]);
    await context.close();
    await own.stop();
  },
);
