// What was left of a task that had no tanks is put right like that of a tank.
import { randomUUID } from "node:crypto";
import { readFileSync } from "node:fs";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
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

beforeEach(async () => {
  home = await house();
});
afterEach(() => home.stop());
afterAll(closeBrowser);

interface Task {
  id: string;
  tanks: unknown[];
  products: { amount: { volume_ml: number } }[];
}

/** The demo's record, as of work whose hedge was done without a tank. @returns what the books call it */
async function record(): Promise<string> {
  const { visit } = await keepDemo(home.origin);
  const { request, files } = await asked(home.origin, `/api/visits/${visit}`);
  const as_applied = readFileSync(new URL("../../demo/alder-bend/as-applied.toml", import.meta.url), "utf8");
  const body = { visit: request, files, as_applied };
  const planned = await keptThing(home.origin, "/api/records/of-visit", body);
  const of = await asked(home.origin, `/api/records/${planned}`);
  const tasks = (of.tasks as Task[]).map((task) => (task.id === "hedge" ? { ...task, tanks: [] } : task));
  const left = {
    task: "hedge",
    products: [{ volume_ml: 0.5 }],
    became: { recorded: { kept: "in the closed can" } },
  };
  const answer = await fetch(`${home.origin}/api/records/${planned}?reason=by+hand`, {
    method: "PUT",
    headers: { "content-type": "application/json", "idempotency-key": randomUUID(), "if-match": '"1"' },
    body: JSON.stringify({ ...of, tasks, leftover: { recorded: [left] } }),
  });
  expect(answer.status, await answer.text()).toBe(200);
  return planned;
}

test.each(sizes)("what was left of a task without tanks is shown, and put right: %s", async (size) => {
  const thing = await record();
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/records/${thing}/amend`);
  const rest = page.getByRole("group", { name: "Left over", exact: true });
  const amount = rest.getByLabel("left over", { exact: false });
  await amount.waitFor();
  expect(await rest.count()).toBe(1);
  expect(await amount.inputValue()).toBe("0.5");
  expect(await rest.getByLabel("What became of what was left").inputValue()).toBe("kept");
  expect(await rest.getByLabel("Where it is kept").inputValue()).toBe("in the closed can");
  expect(await barriers(page)).toEqual([]);
  expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);

  const keep = page.getByRole("button", { name: "Keep it as a new version" });
  await amount.fill("some");
  await page.locator("#reason").fill("measured again");
  await keep.click();
  await page.getByRole("alert").getByText("“some”", { exact: false }).waitFor();
  await amount.fill("0.6");
  await rest.getByLabel("What became of what was left").selectOption("handed-in");
  await rest.getByLabel("Who took it").fill("the county programme");
  await keep.click();
  await page.getByRole("heading", { name: "What was put right" }).waitFor();
  expect((await asked(home.origin, `/api/records/${thing}`)).leftover).toEqual({
    recorded: [
      expect.objectContaining({
        task: "hedge",
        products: [{ volume_ml: 0.6 }],
        became: { recorded: { handed_in: "the county programme" } },
      }),
    ],
  });
  expect(faults).toEqual([]);
  await context.close();
});
