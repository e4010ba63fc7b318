// Books of a business with hundreds of properties, clients and labels: each can be found and chosen, on every page.
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test, vi } from "vitest";
import { demoFile } from "./demo";
import {
  DEMO_DAY,
  barriers,
  closeBrowser,
  house,
  keepDemo,
  keepVisit,
  keptThing,
  onDevice,
  reader,
  sizes,
  type Demo,
  type House,
} from "./support";

/** Hundreds of things are kept first. */
vi.setConfig({ hookTimeout: 180_000 });

const PROPERTIES = 250;
const CLIENTS = 220;
const LABELS = 60;
const numbered = (what: string, number: number) => `${what} ${String(number).padStart(3, "0")} (invented)`;

let home: House;
let demo: Demo;
/** The last of each by name. */
let property: string;
let client: string;

/** Keeps so many, several at a time. @returns the last one */
async function keepMany(count: number, keep: (number: number) => Promise<string>): Promise<string> {
  let [next, last] = [1, ""];
  const work = async () => {
    while (next <= count) {
      const number = next;
      next += 1;
      const thing = await keep(number);
      if (number === count) last = thing;
    }
  };
  await Promise.all([work(), work(), work(), work()]);
  return last;
}

beforeAll(async () => {
  home = await house();
  const { origin } = home;
  demo = await keepDemo(origin);
  client = await keepMany(CLIENTS, (number) =>
    keptThing(origin, "/api/clients", { format: "tussock.kept-client/1", name: numbered("Sample", number) }),
  );
  const map = JSON.stringify({
    type: "FeatureCollection",
    features: [
      {
        type: "Feature",
        id: "lot",
        properties: { kind: "boundary" },
        geometry: {
          type: "Polygon",
          coordinates: [
            [
              [-97.62, 38.84],
              [-97.6195, 38.84],
              [-97.6195, 38.8404],
              [-97.62, 38.8404],
              [-97.62, 38.84],
            ],
          ],
        },
      },
    ],
  });
  property = await keepMany(PROPERTIES, (number) =>
    keptThing(origin, "/api/properties", {
      format: "tussock.kept-property/1",
      name: numbered("Lot", number),
      map,
      ...(number === PROPERTIES ? { client } : {}),
    }),
  );
  const label = demoFile("labels/brackwater-sc.toml");
  await keepMany(LABELS, (number) => {
    const id = `spare-${String(number).padStart(2, "0")}`;
    const text = label.replace('id = "brackwater-sc"', `id = "${id}"`);
    return keptThing(origin, "/api/labels", { format: "tussock.kept-label/1", id, label: text });
  });
  await keptThing(origin, "/api/labels", { format: "tussock.kept-label/1", id: "brackwater-sc", label });
  await keepVisit(origin, demo.property, "Creek side");
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

/** Chooses from a list that is longer than what it offers, by words of the name. */
async function choose(page: Page, id: string, words: string, title: string): Promise<void> {
  const list = page.locator(`#${id}`);
  expect(await list.getByText(title).count(), `${title} is among the first`).toBe(0);
  await page.locator(`#${id}-search`).fill(words);
  await page.locator(`#${id}-says`, { hasText: "One has these words." }).waitFor();
  await list.selectOption({ label: title });
}
const LAST = numbered("Lot", PROPERTIES);

test.each(sizes)("the last of hundreds of properties is taken along: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/yard");
  await page.locator("#take-property-says", { hasText: "there are more" }).waitFor();
  expect(await barriers(page)).toEqual([]);
  await choose(page, "take-property", `lot ${PROPERTIES}`, LAST);
  await page.getByRole("button", { name: "Take along" }).last().click();
  await page.getByRole("link", { name: `Count here: ${LAST}` }).waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "complaints and totals are asked of the last of hundreds of properties: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/records/totals");
    await choose(page, "property", String(PROPERTIES), LAST);
    await page.getByRole("button", { name: "Look" }).click();
    await page.waitForURL((url) => url.searchParams.get("property") === property);
    // Loaded again, it is called by its name, though it is none of the first.
    await page.reload();
    await page.locator("#property").getByText(LAST).waitFor({ state: "attached" });
    expect(await page.locator("#property").inputValue()).toBe(property);
    await page.goto("/records/near");
    await page.getByRole("group", { name: "Map round the place" }).waitFor();
    await choose(page, "property", String(PROPERTIES), LAST);
    await page.locator("#latitude").fill("38.8402");
    await page.locator("#longitude").fill("-97.6198");
    await page.getByRole("button", { name: "Look" }).click();
    await page.waitForURL((url) => url.searchParams.get("property") === property);
    // Nothing is recorded there.
    expect(faults.filter((fault) => !fault.includes("404"))).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "visits stand on the first screens, are searched, and planned on any property: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/visits");
    const list = page.getByRole("list", { name: "Visits in the books" });
    await list.getByRole("link", { name: "Creek side" }).waitFor();
    const top = (await list.boundingBox())!.y;
    expect(top, "the list begins too far down").toBeLessThan(1_200);
    expect(await barriers(page)).toEqual([]);
    // By words of the name, and by day: what is asked stands in the address.
    await page.getByLabel("Words in the name", { exact: true }).fill("creek");
    await page.getByRole("button", { name: "Look" }).click();
    await page.waitForURL(/text=creek/);
    await list.getByRole("link", { name: demo.name, exact: true }).waitFor({ state: "detached" });
    expect(await list.getByRole("link", { name: "Creek side" }).count()).toBe(1);
    await page.reload();
    await list.getByRole("link", { name: "Creek side" }).waitFor();
    await page.getByLabel("From", { exact: true }).fill("2026-07-08");
    await page.getByRole("button", { name: "Look" }).click();
    await page.getByText("No visit fits.").waitFor();
    await page.getByLabel("Words in the name", { exact: true }).fill("");
    await page.getByLabel("From", { exact: true }).fill(DEMO_DAY);
    await page.getByLabel("Until", { exact: true }).fill(DEMO_DAY);
    await page.getByRole("button", { name: "Look" }).click();
    await list.getByRole("link", { name: demo.name, exact: true }).waitFor();
    await choose(page, "on", String(PROPERTIES), LAST);
    await page.getByRole("button", { name: "Plan it" }).click();
    await page.waitForURL((url) => url.searchParams.get("property") === property);
    await page.getByRole("link", { name: `To its property: ${LAST}` }).waitFor();
    // A draft is told by the property on which it is.
    await page.locator("#name").fill("Begun here");
    await page.getByText("Changes are on this device alone.").waitFor();
    await expect.poll(async () => (await onDevice(page))["tussock.drafts/drafts"]).toContain("Begun here");
    await page.goto("/visits");
    await page
      .getByRole("list", { name: "Begun on this device, not in the books" })
      .getByRole("link", { name: `New visit at ${LAST}: Begun here` })
      .waitFor();
    // A visit without a task is no visit yet.
    expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "the client of a property is called by name, and any other can be chosen: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/properties/${property}`);
    const clients = page.locator("#client");
    await clients.getByText(numbered("Sample", CLIENTS)).waitFor({ state: "attached" });
    expect(await clients.inputValue()).toBe(client);
    await choose(page, "client", `sample ${CLIENTS - 1}`, numbered("Sample", CLIENTS - 1));
    await page.getByText("Not saved yet.", { exact: false }).waitFor();
    expect(await clients.locator("option:checked").innerText()).toBe(numbered("Sample", CLIENTS - 1));
    // The one before can be chosen again.
    await page.locator("#client-search").fill(`sample ${CLIENTS}`);
    await page.locator("#client-says", { hasText: "One has these words." }).waitFor();
    await clients.selectOption({ label: numbered("Sample", CLIENTS) });
    await page.getByText("All is saved.").waitFor();
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "a full shelf is searched, goes on, and its labels are chosen for a lot: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/shelf");
    const list = page.getByRole("list", { name: "Labels" });
    await list.getByRole("link", { name: "spare-01" }).waitFor();
    expect(await list.getByRole("link", { name: `spare-${LABELS}` }).count()).toBe(0);
    await page.getByRole("button", { name: "More labels" }).click();
    await list.getByRole("link", { name: `spare-${LABELS}` }).waitFor();
    await page.getByRole("searchbox").fill(`spare-${LABELS}`);
    await page.getByRole("button", { name: "Look" }).click();
    await list.getByRole("link", { name: "spare-01" }).waitFor({ state: "detached" });
    await list.getByRole("link", { name: `spare-${LABELS}` }).click();
    await page.waitForURL(/\/shelf\/labels\/[0-9a-f-]{36}$/);
    await page.getByText("Plans can use it.").waitFor();
    await page.goto("/shelf/stock");
    await page.locator("#lot-label-says", { hasText: "there are more" }).waitFor();
    await choose(page, "lot-label", `spare-${LABELS}`, `spare-${LABELS}`);
    expect(await page.locator("#lot-label").inputValue()).toBe(`spare-${LABELS}`);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "a new visit on a full shelf begins with the labels of the visit before, and takes others when chosen: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    const read: string[] = [];
    page.on("request", (request) => {
      const { pathname } = new URL(request.url());
      if (/^\/api\/labels\/.|^\/api\/label\/check$/.test(pathname)) read.push(pathname);
    });
    const atHand = page.getByRole("group", { name: "Labels at hand" });
    const held = async () =>
      (await atHand.getByRole("checkbox", { checked: true }).all()).map((box) =>
        box.evaluate((input) => input.closest("label")!.innerText.trim()),
      );
    await page.goto(`/visits/new?property=${demo.property}`);
    await atHand.waitFor();
    // Of the three labels of the visit before the shelf has one.
    await expect.poll(async () => Promise.all(await held())).toEqual(["brackwater-sc"]);
    await page.getByText("the visit has no task", { exact: false }).waitFor();
    expect(read.length).toBe(2);
    await choose(page, "add-label", `spare-${LABELS}`, `spare-${LABELS}`);
    await page.getByRole("button", { name: "Put it at hand" }).click();
    await expect.poll(async () => Promise.all(await held())).toEqual(["brackwater-sc", `spare-${LABELS}`]);
    await expect.poll(() => read.length).toBe(4);
    await atHand.getByRole("checkbox", { name: "brackwater-sc" }).uncheck();
    await expect.poll(async () => Promise.all(await held())).toEqual([`spare-${LABELS}`]);
    expect(await atHand.getByRole("checkbox", { name: "brackwater-sc" }).count()).toBe(1);
    expect(await barriers(page)).toEqual([]);
    // Where nothing was planned before it begins with none.
    await page.goto(`/visits/new?property=${property}`);
    await atHand.waitFor();
    await page.getByText("the visit has no task", { exact: false }).waitFor();
    expect(await Promise.all(await held())).toEqual([]);
    expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
    await context.close();
  },
);
