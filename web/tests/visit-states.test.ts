// What became of each visit, as the lists say it.
import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, expect, test } from "vitest";
import { keepDemo } from "./demo";
import { layoutFaults } from "./layout";
import { done, isDelivered, recording, sayAsPlanned } from "./recording";
import {
  asked,
  barriers,
  closeBrowser,
  house,
  keepVisit,
  keptThing,
  reader,
  sizes,
  type House,
} from "./support";

let home: House;
let property: string;

beforeAll(async () => {
  home = await house();
  ({ property } = await keepDemo(home));
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

/** Puts a kept visit off to another day, or says more of it. */
async function putOff(visit: string, day: string, more: object = {}): Promise<void> {
  const document = await asked(home.origin, `/api/visits/${visit}`);
  const request = (document.request as string).replace(/^date = .*$/m, `date = ${day}`);
  const answer = await fetch(`${home.origin}/api/visits/${visit}`, {
    method: "PUT",
    headers: { "content-type": "application/json", "idempotency-key": randomUUID(), "if-match": '"1"' },
    body: JSON.stringify({ ...document, date: day, request, ...more }),
  });
  if (!answer.ok) throw new Error(await answer.text());
}

test.each(sizes)("a list says in words what became of each visit: %s", async (size) => {
  const [carriedOut, missed, ahead] = await Promise.all(
    ["carried out", "missed", "ahead"].map((name) => keepVisit(home.origin, property, `${name} ${size}`)),
  );
  await putOff(ahead!, "2999-07-07");
  const client = await keptThing(home.origin, "/api/clients", {
    format: "tussock.kept-client/1",
    name: `A. Sample (invented) ${size}`,
  });
  for (const visit of [carriedOut!, missed!]) await putOff(visit, "2026-07-07", { client });
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/visits");
  const entry = (name: string) => page.getByRole("listitem").filter({ hasText: `${name} ${size}` });
  await entry("missed").getByText("Its day is past; no record is kept").waitFor();
  await entry("ahead").getByText("Planned", { exact: true }).waitFor();
  await entry("carried out").getByText("Its day is past; no record is kept").waitFor();

  // Recorded without reception it waits, and the list says so; delivered it leads to its record.
  await recording(page, carriedOut!);
  await sayAsPlanned(page);
  const lost = "**/api/records/of-visit";
  // A request of a page that is left meanwhile is over already.
  await context.route(lost, (route) => route.abort().catch(() => {}));
  await done(page).click();
  await page.getByText("waits for reception").waitFor();
  // So does the client's page; a list that is longer than one answer goes on.
  const short = (url: URL) => url.pathname === "/api/visits" && url.searchParams.has("client");
  await page.route(short, (route) =>
    route.continue({
      url: route
        .request()
        .url()
        .replace(/limit=\d+/, "limit=1"),
    }),
  );
  await page.goto(`/clients/${client}`);
  const theirs = page.getByRole("list", { name: "Their visits" });
  await theirs.getByRole("listitem").waitFor();
  await page.getByRole("button", { name: "Show more of their visits" }).click();
  await expect.poll(() => theirs.getByRole("listitem").count()).toBe(2);
  await theirs.getByRole("link", { name: "Recorded on this device, not delivered yet" }).waitFor();
  await page.unroute(short);
  await page.goto("/visits");
  await entry("carried out")
    .getByRole("link", { name: "Recorded on this device, not delivered yet" })
    .click();
  await page.getByRole("heading", { level: 1, name: "In the yard" }).waitFor();
  await context.unroute(lost);
  // It may go by itself before it is pressed.
  const sends = page.getByRole("button", { name: "Send now" });
  await sends.click({ timeout: 5_000 }).catch(() => {});
  await isDelivered(page);
  for (const path of ["/", "/visits"]) {
    await page.goto(path);
    const link = entry("carried out").getByRole("link", {
      name: /^Recorded on .*: the record of carried out/,
    });
    await link.waitFor();
    expect(await barriers(page), path).toEqual([]);
    expect(await layoutFaults(page), path).toEqual([]);
  }
  await entry("missed").getByText("Its day is past; no record is kept").waitFor();
  await entry("carried out")
    .getByRole("link", { name: /^Recorded on / })
    .click();
  await page.getByRole("heading", { level: 1, name: `carried out ${size}` }).waitFor();

  // What is begun on the device alone stands in the list, and leads back to it.
  await page.goto(`/visits/${missed!}`);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  await page.locator(".told[aria-busy=false]").waitFor();
  const summary = page.locator(".asked summary", { hasText: "Property, day and people" });
  if ((await summary.locator("..").getAttribute("open")) === null) await summary.click();
  await page.locator("#certification").fill("KS-22222");
  await page.getByText("Changes are on this device alone.").waitFor();
  await page.goto("/visits");
  const drafts = page.getByRole("list", { name: "Begun on this device, not in the books" });
  await drafts.getByRole("link", { name: `Changes to missed ${size}` }).click();
  await page.getByText("were found on this device", { exact: false }).waitFor();
  expect(faults.filter((fault) => !fault.includes("net::ERR_FAILED"))).toEqual([]);
  await context.close();
});
