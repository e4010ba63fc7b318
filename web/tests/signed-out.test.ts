// What a session leaves on the device when it ends, by itself or by signing out.
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import {
  COMPANY,
  askedAs,
  barriers,
  closeBrowser,
  company,
  hire,
  onDevice,
  person,
  proxied,
  reader,
  signIn,
  sizes,
  unfoldMenu,
  type House,
  type Reader,
} from "./support";

afterAll(closeBrowser);

/** Ends the session at the server, as its age would; the page hears nothing of it. */
const endSession = (page: Page) => askedAs(page, "DELETE", "/api/session");

interface Demo {
  property: string;
  visit: string;
}

/** Mara with the demo's property taken along on her phone, about to count. */
async function counting(home: House, opened: Reader): Promise<Demo> {
  const { page } = opened;
  const demo = await askedAs<Demo>(page, "POST", "/api/demo");
  await page.goto("/yard");
  await page.getByRole("combobox", { name: "Property" }).waitFor();
  await page.getByRole("button", { name: "Take along" }).last().click();
  await page.getByRole("link", { name: /^Count here: / }).click();
  await page.getByLabel("Pest").fill("grasshopper");
  return demo;
}

test.each(sizes)(
  "a session that ends in the yard: the pages say so, keep everything, and deliver once after signing in: %s",
  async (size) => {
    const home = await company();
    const opened = await reader(COMPANY, size);
    const { context, page, faults } = opened;
    // The server takes the first counts, and its answer is lost on the way back, however often it is asked for until
    // somebody signs in again: what hears that it is delivered asks no more, and never learns that the session is over.
    let isLost = true;
    await proxied(
      context,
      COMPANY,
      home.origin,
      (method, path, status) => isLost && method === "POST" && path === "/api/surveys" && status < 300,
    );
    await page.goto("/");
    await signIn(page, "mara");
    await page.getByText("mara, owner").waitFor({ state: "attached" });
    const { property } = await counting(home, opened);
    await page.getByRole("button", { name: "Keep this count" }).click();
    await page.getByText("Station 1: 0 kept.").waitFor({ state: "attached" });
    // Sent before the session ends, and asked again after it did: the server must know it by its key.
    const first = page.waitForEvent("requestfailed", (asked) => asked.url().endsWith("/api/surveys"));
    await page.getByRole("button", { name: "Counting is done" }).click();
    await first;
    await endSession(page);
    await page.getByText("Your session is over.", { exact: false }).waitFor();
    await page.getByText("waits until you sign in").waitFor();
    await page.getByRole("link", { name: "Sign in to deliver", exact: true }).waitFor();
    expect(await barriers(page)).toEqual([]);

    // The work goes on: another survey is begun and left half written, and a third is done.
    await page.getByRole("link", { name: /^Count here: / }).click();
    await page.getByLabel("Pest").fill("chinch bug");
    await page.getByRole("button", { name: "One more" }).click();
    await page.getByRole("button", { name: "Keep this count" }).click();
    await page.getByRole("button", { name: "Counting is done" }).click();
    await page.getByRole("link", { name: /^Count here: / }).click();
    await page.getByLabel("Pest").fill("half a word");
    await page.reload();
    await page.getByText("Your session is over.", { exact: false }).waitFor();
    expect(await page.getByLabel("Pest").inputValue()).toBe("half a word");
    expect(await barriers(page)).toEqual([]);

    await page.getByRole("link", { name: "Sign in to deliver it" }).click();
    // Whoever is back is most likely the one who was there.
    await page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();
    expect(await page.getByLabel("Name").inputValue()).toBe("mara");
    expect(await barriers(page)).toEqual([]);
    isLost = false;
    await signIn(page, "mara");
    await page.waitForURL(`**/yard/counts/${property}`);
    expect(await page.getByLabel("Pest").inputValue()).toBe("half a word");
    await page.goto("/yard");
    await page.getByText("Nothing waits: the server has everything.").waitFor();
    const { entries } = await askedAs<{ entries: { thing: string }[] }>(page, "GET", "/api/surveys");
    const pests = await Promise.all(
      entries.map(
        async ({ thing }) => (await askedAs<{ pest: string }>(page, "GET", `/api/surveys/${thing}`)).pest,
      ),
    );
    expect(pests.sort()).toEqual(["chinch bug", "grasshopper"]);
    expect(faults.filter((fault) => !/ERR_FAILED/.test(fault))).toEqual([]);
    await context.close();
    await home.stop();
  },
);

test.each(sizes)(
  "a session that ends over a form asks for the password in its place, and gives back what was typed: %s",
  async (size) => {
    const home = await company();
    const { context, page, faults } = await person(home, "mara", size);
    await page.goto("/shelf/labels/new");
    await page.locator('[id="f-product.name"]').fill("Fenmoor");
    await page.locator(".standing[aria-busy=false]").waitFor();
    await endSession(page);
    await page.locator('[id="f-product.name"]').fill("Fenmoor 1 SC (invented)");
    await page.getByText("The session of mara is over.", { exact: false }).waitFor();
    await signIn(page, "mara");
    await page.getByText("was found on this device", { exact: false }).waitFor();
    expect(await page.locator('[id="f-product.name"]').inputValue()).toBe("Fenmoor 1 SC (invented)");
    expect(new URL(page.url()).pathname).toBe("/shelf/labels/new");
    expect(faults).toEqual([]);
    await context.close();
    await home.stop();
  },
);

test.each(sizes)(
  "signing out takes what the server has from the device, and keeps what it has not for its person alone: %s",
  async (size) => {
    const home = await company();
    const opened = await person(home, "mara", size);
    const { context, page, faults } = opened;
    await hire(page, "noor");
    const { property } = await counting(home, opened);
    await page.getByRole("button", { name: "Keep this count" }).click();
    await page.getByRole("button", { name: "Counting is done" }).click();
    await page.getByText("Nothing waits: the server has everything.").waitFor();
    // One survey was delivered; another cannot leave, and a label is half typed.
    await context.route("**/api/surveys", (route) => route.abort());
    await page.getByRole("link", { name: /^Count here: / }).click();
    await page.getByLabel("Pest").fill("armyworm");
    await page.getByRole("button", { name: "Keep this count" }).click();
    await page.getByRole("button", { name: "Counting is done" }).click();
    await page.getByText("waits for reception").waitFor();
    await page.goto("/shelf/labels/new");
    await page.locator('[id="f-product.name"]').fill("Half a label");
    await page.getByText("Not kept yet. It stays on this device meanwhile.").waitFor();
    await page.getByText("Not kept yet.", { exact: false }).waitFor();
    const before = await onDevice(page);
    expect(before["tussock.yard/taken"]).toContain("Alder Bend");
    expect(before["tussock.yard/delivered"]).toContain("grasshopper");

    const out = async () => {
      await unfoldMenu(page);
      await page.getByRole("button", { name: "Sign out", exact: true }).click();
    };
    await out();
    const dialog = page.getByRole("dialog", { name: "Not everything is in the books" });
    await dialog
      .getByText("one thing waits to be delivered, and one draft is not kept yet", { exact: false })
      .waitFor();
    expect(await barriers(page)).toEqual([]);
    await dialog.getByRole("button", { name: "Stay signed in" }).click();
    await page.getByText("mara, owner").waitFor({ state: "attached" });
    await out();
    await dialog.getByRole("button", { name: "Sign out all the same" }).click();
    await page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();
    const after = await onDevice(page);
    expect([after["tussock.yard/taken"], after["tussock.yard/delivered"]]).toEqual(["[]", "[]"]);
    expect(after["tussock.yard/waiting"]).toContain("armyworm");
    expect(after.storage).not.toContain("mara");
    // Nobody is remembered: without the password no page of the yard opens.
    await page.goto(`/yard/counts/${property}`);
    await page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();

    // Who signs in next on this device finds no draft of hers, and does not deliver for her.
    await signIn(page, "noor");
    await page.getByText("noor, planner").waitFor({ state: "attached" });
    await page.goto("/shelf");
    await page.getByRole("heading", { level: 2, name: "Labels" }).waitFor();
    expect(await page.getByRole("heading", { name: "Not kept yet, on this device" }).count()).toBe(0);
    await page.goto("/shelf/labels/new");
    await page.locator(".standing[aria-busy=false]").waitFor();
    expect(await page.locator('[id="f-product.name"]').inputValue()).toBe("");
    await context.unroute("**/api/surveys");
    await page.goto("/yard");
    await page.getByText("made by mara, and sent when they sign in").waitFor();
    expect(await page.getByRole("button", { name: /^(Take over|Give up) what is of/ }).count()).toBe(0);
    await out();
    await page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();
    await signIn(page, "mara");
    await page.getByText("mara, owner").waitFor({ state: "attached" });
    await page.goto("/shelf");
    await page
      .getByRole("list", { name: "Not kept yet, on this device" })
      .getByRole("link", { name: "New label" })
      .click();
    await page.getByText("was found on this device", { exact: false }).waitFor();
    expect(await page.locator('[id="f-product.name"]').inputValue()).toBe("Half a label");
    await page.goto("/yard");
    await page.getByText("Nothing waits: the server has everything.").waitFor();
    expect(faults.filter((fault) => !/ERR_FAILED/.test(fault))).toEqual([]);
    await context.close();
    await home.stop();
  },
);

test("an answer asked for before signing out brings nobody back", async () => {
  const home = await company();
  const { context, page, faults } = await person(home, "mara", "desk");
  const who = await askedAs<unknown>(page, "GET", "/api/session");
  // A page hears 401 once, and the house asks who is there; the answer is on its way for long.
  await context.route("**/api/labels*", (route) => route.fulfill({ status: 401, json: {} }), { times: 1 });
  let late = (): void => {};
  const isAsked = new Promise<void>((resolve) => {
    void context.route("**/api/session", async (route) => {
      if (route.request().method() !== "GET") return route.fallback();
      const told = new Promise<void>((tell) => (late = tell));
      resolve();
      await told;
      await route.fulfill({ json: who });
    });
  });
  await page.getByRole("link", { name: "Shelf", exact: true }).click();
  await isAsked;
  await page.getByRole("button", { name: "Sign out", exact: true }).click();
  await page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();
  expect((await onDevice(page)).storage).not.toContain("mara");
  const answered = page.waitForResponse("**/api/session");
  late();
  await (await answered).finished();
  await page.evaluate(() => new Promise((resolve) => setTimeout(resolve, 100)));
  expect(await page.getByRole("heading", { level: 1 }).textContent()).toBe("Sign in");
  expect((await onDevice(page)).storage).not.toContain("mara");
  expect(faults).toEqual([]);
  await context.close();
  await home.stop();
});
