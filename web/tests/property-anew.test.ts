// A property that was taken along and is drawn otherwise since: taken anew, told, and asked of as it is now.
import { randomUUID } from "node:crypto";
import { afterAll, beforeEach, afterEach, expect, test } from "vitest";
import {
  asked,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  reader,
  sizes,
  type Demo,
  type House,
  type Size,
} from "./support";

let home: House;
let demo: Demo;

beforeEach(async () => {
  home = await house();
  demo = await keepDemo(home.origin);
});
afterEach(() => home.stop());
afterAll(closeBrowser);

interface Drawn {
  id?: string;
  properties: Record<string, unknown>;
  geometry: unknown;
}

/** Somebody at a desk draws the property otherwise. @returns the map as it is then */
async function drawnAnew(change: (features: Drawn[]) => Drawn[]): Promise<string> {
  const path = `${home.origin}/api/properties/${demo.property}`;
  const answer = await fetch(path);
  const document = (await answer.json()) as { map: string };
  const map = JSON.parse(document.map) as { features: Drawn[] };
  const text = JSON.stringify({ ...map, features: change(map.features) });
  const kept = await fetch(path, {
    method: "PUT",
    headers: {
      "content-type": "application/json",
      "idempotency-key": randomUUID(),
      "if-match": answer.headers.get("etag") ?? "",
    },
    body: JSON.stringify({ ...document, map: text }),
  });
  if (!kept.ok) throw new Error(await kept.text());
  return text;
}

/** A pond of about two metres across on the demo's lawn. */
const withPond = (features: Drawn[]): Drawn[] => {
  const [east, north, size] = [-97.61985, 38.84008, 0.00002];
  const ring = [
    [east, north],
    [east + size, north],
    [east + size, north + size],
    [east, north + size],
    [east, north],
  ];
  const geometry = { type: "Polygon", coordinates: [ring] };
  const pond = { type: "Feature", id: "pond", properties: { kind: "water", name: "New pond" }, geometry };
  return [...features, pond];
};
const withoutHedge = (features: Drawn[]) =>
  features.filter(({ id, properties }) => (id ?? properties.id) !== "hedge");

/** Takes the property along alone: no visit of it tells that it is newer. */
async function takenAlong(size: Size) {
  const opened = await reader(home.origin, size);
  const { page } = opened;
  await page.goto("/yard");
  await page.getByRole("combobox", { name: "Property" }).waitFor();
  await page.getByRole("button", { name: "Take along" }).last().click();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).waitFor();
  await page.evaluate(async () => void (await navigator.serviceWorker.ready));
  return opened;
}

test.each(sizes)("the yard takes a property anew that is newer, and says what changed: %s", async (size) => {
  const { context, page, faults } = await takenAlong(size);
  await page.reload();
  await page.getByText("Looking whether there is anything newer.").waitFor({ state: "detached" });
  expect(await page.getByText("Taken along anew").count()).toBe(0);
  await drawnAnew(withPond);
  await page.reload();
  await page.getByText("New pond is on the map now.").waitFor();
  await drawnAnew(withoutHedge);
  // Where it is taken along once more by hand, what nobody has seen is told with what came since.
  await page.getByRole("button", { name: "Take along" }).last().click();
  const changes = page.getByRole("status").filter({ hasText: "Taken along anew" }).getByRole("listitem");
  await expect.poll(() => changes.count()).toBe(2);
  await page.getByText("New pond is on the map now.").waitFor();
  expect(await barriers(page)).toEqual([]);

  // Without reception it is there as it was taken anew, until somebody has seen it.
  await context.setOffline(true);
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
  await page.getByRole("list", { name: "What the patterns mean" }).getByText("Water").waitFor();
  await page.getByText("New pond is on the map now.").waitFor();
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("button", { name: "I have seen it" }).click();
  await page.getByText("New pond is on the map now.").waitFor({ state: "detached" });
  await page.getByRole("link", { name: "Back to the yard" }).click();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).waitFor();
  expect(await page.getByText("New pond is on the map now.").count()).toBe(0);
  expect(faults.filter((one) => !one.includes("ERR_INTERNET_DISCONNECTED"))).toEqual([]);
  await context.close();
});

/** Ten stations with places, as they stand in the form of the counts. */
const stations = Array.from({ length: 10 }, (_, at) => ({
  count: [12, 7, 3, 1, 0, 14, 8, 2, 1, 0][at]!,
  isCheck: false,
  spot: {
    longitude: -97.61995 + (at % 5) * 0.00004,
    latitude: 38.84006 + Math.floor(at / 5) * 0.00012,
    accuracyM: null,
  },
}));

test.each(sizes)("while it is counted the map is taken anew, and asked of as it is now: %s", async (size) => {
  const { context, page, faults } = await takenAlong(size);
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
  await page.getByLabel("Threshold").selectOption("own");
  await page.getByLabel("How many").fill("4");
  await page.getByLabel("On what").fill("1 sq ft");
  await page.getByLabel("Where it was published").fill("invented");
  await page.getByLabel("Pest", { exact: true }).fill("grasshopper");
  await page.getByRole("button", { name: "Keep this count" }).click();
  await page.getByText("Station 1: 0 kept.").waitFor({ state: "attached" });
  await page.goto("/yard");
  // The places are put into the draft: where they were tapped is tried elsewhere.
  await page.evaluate(async (stations) => {
    const db = await new Promise<IDBDatabase>((resolve) => {
      const opened = indexedDB.open("tussock.yard");
      opened.onsuccess = () => resolve(opened.result);
    });
    const store = db.transaction("drafts", "readwrite").objectStore("drafts");
    const rows = await new Promise<{ written: { counting: object } }[]>((resolve) => {
      const all = store.getAll();
      all.onsuccess = () => resolve(all.result as never);
    });
    for (const row of rows)
      store.put({ ...row, written: { ...row.written, counting: { ...row.written.counting, stations } } });
    await new Promise((resolve) => (store.transaction.oncomplete = resolve));
    db.close();
  }, stations);
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
  const look = page.getByRole("button", { name: "Look where they are" });
  await look.waitFor();
  expect(await page.getByText("New pond").count()).toBe(0);

  const map = await drawnAnew(withPond);
  const question = page.waitForRequest("**/api/scouting");
  await look.click();
  expect((JSON.parse((await question).postData() ?? "{}") as { map: string }).map).toBe(map);
  await page
    .getByText(/ of turf would be treated/)
    .first()
    .waitFor();
  await page.getByText("New pond is on the map now.").waitFor();
  await page
    .getByRole("list", { name: "What the patterns mean" })
    .getByText("Water", { exact: true })
    .waitFor();
  // Nothing that was written is lost by it, and nothing of it is old.
  await page.getByText("Counts were changed since: look again.").waitFor({ state: "detached" });
  await page.getByRole("row", { name: /^10 0 / }).waitFor();
  expect((await asked(home.origin, "/api/surveys")).entries).toEqual([]);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("a property that was given up says so, and stays as it was: %s", async (size) => {
  const { context, page } = await takenAlong(size);
  await context.route(`**/api/properties/${demo.property}`, (route) =>
    route.fulfill({ status: 410, json: { problems: [{ code: "x", severity: "error", found: "given up" }] } }),
  );
  await page.reload();
  await page.getByText(`Whether ${demo.name} is newer could not be found out:`).waitFor();
  await page.getByText("given up").waitFor();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
  await page.getByRole("button", { name: "Counting is done" }).waitFor();
  await context.close();
});
