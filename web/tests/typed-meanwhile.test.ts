// What is typed while an answer is awaited, as where reception is poor, is neither lost nor taken for kept.
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, expect, test } from "vitest";
import { asked, demoFile, keepDemo } from "./demo";
import { mapped } from "./map-support";
import { closeBrowser, house, onDevice, reader, sizes, unfoldMenu, type House } from "./support";

let home: House;

beforeEach(async () => {
  home = await house();
});
afterEach(() => home.stop());
afterAll(closeBrowser);

/** Holds the next request of a kind back until it is let go. */
async function hold(page: Page, method: string, path: string): Promise<() => void> {
  let letGo = () => {};
  const gate = new Promise<void>((resolve) => (letGo = resolve));
  await page.route(
    (url) => url.pathname === path,
    async (route) => {
      if (route.request().method() === method) await gate;
      await route.continue();
    },
  );
  return letGo;
}

const document = (path: string) => asked<Record<string, string>>(home, "GET", path);
const thingOf = (page: Page) => new URL(page.url()).pathname.split("/").at(-1)!;

test.each(sizes)(
  "what is typed while a kept property is saved stays, and is not called saved: %s",
  async (size) => {
    const { property } = await keepDemo(home);
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/properties/${property}`);
    await mapped(page);
    await page.locator("#address").fill("12 First Lane");
    const letGo = await hold(page, "PUT", `/api/properties/${property}`);
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.locator("#address").fill("12 Second Lane");
    const answered = page.waitForResponse((one) => one.request().method() === "PUT");
    letGo();
    await answered;
    await page.getByRole("button", { name: "Save", exact: true, disabled: false }).waitFor();
    await page.locator("main", { hasText: "Not saved" }).waitFor();
    expect(await page.locator("#address").inputValue()).toBe("12 Second Lane");
    expect((await document(`/api/properties/${property}`)).address).toBe("12 First Lane");
    // It is on the device, and is saved as the next version.
    await page.reload();
    await mapped(page);
    expect(await page.locator("#address").inputValue()).toBe("12 Second Lane");
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByText("Saved in the books.").waitFor();
    expect((await document(`/api/properties/${property}`)).address).toBe("12 Second Lane");
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("what is typed while a new label is kept goes on as its change: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/shelf/labels/new");
  await page.getByLabel("Take in a label file").setInputFiles({
    name: "label.toml",
    mimeType: "application/toml",
    buffer: Buffer.from(demoFile("labels/brackwater-sc.toml")),
  });
  await page.getByText("Plans can use it.").waitFor();
  await page.locator("summary", { hasText: "The container in hand" }).click();
  const letGo = await hold(page, "POST", "/api/labels");
  await page.getByRole("button", { name: "Keep the label" }).click();
  await page.locator("#compared-by").fill("J. Example");
  letGo();
  await page.waitForURL(/\/shelf\/labels\/[0-9a-f-]{36}$/);
  await page.getByText("found on this device.", { exact: false }).waitFor();
  expect(await page.locator("#compared-by").inputValue()).toBe("J. Example");
  expect((await document(`/api/labels/${thingOf(page)}`)).compared_by).toBeUndefined();
  await page.getByText("Plans can use it.").waitFor();
  await page.getByRole("button", { name: "Keep the label" }).click();
  await page.getByText("All is kept.").waitFor();
  expect((await document(`/api/labels/${thingOf(page)}`)).compared_by).toBe("J. Example");
  expect(faults).toEqual([]);
  await context.close();
});

/** Types into a field and follows a link of the menu in one breath: no page has a moment between. */
const typedAndGone = (page: Page, field: string, text: string, to: string) =>
  page.locator(field).evaluate(
    (input, [text, to]) => {
      (input as HTMLInputElement).value = text!;
      input.dispatchEvent(new InputEvent("input", { bubbles: true }));
      window.document.querySelector<HTMLAnchorElement>(`nav a[href="${to}"]`)!.click();
    },
    [text, to],
  );

test.each(sizes)(
  "what is typed with the last breath before leaving goes on as a change of what is kept meanwhile: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/shelf/labels/new");
    await page.getByLabel("Take in a label file").setInputFiles({
      name: "label.toml",
      mimeType: "application/toml",
      buffer: Buffer.from(demoFile("labels/brackwater-sc.toml")),
    });
    await page.getByText("Plans can use it.").waitFor();
    await page.locator("summary", { hasText: "The container in hand" }).click();
    const leave = async (method: string, path: string, text: string) => {
      const letGo = await hold(page, method, path);
      await page.getByRole("button", { name: "Keep the label" }).click();
      await typedAndGone(page, "#compared-by", text, "/settings");
      await page.getByRole("heading", { level: 1, name: "Settings" }).waitFor();
      const answered = page.waitForResponse((one) => one.request().method() === method);
      letGo();
      await answered;
      await page.unrouteAll();
      const drafts = async () => (await onDevice(page))["tussock.drafts/drafts"] ?? "";
      await expect.poll(drafts).toContain(`"compared_by":"${text}"`);
      // Nothing else of it is left to be kept once more.
      await expect.poll(async () => (JSON.parse(await drafts()) as unknown[]).length).toBe(1);
      const { entries } = await asked<{ entries: { thing: string }[] }>(home, "GET", "/api/labels");
      expect(entries).toHaveLength(1);
      await page.goto(`/shelf/labels/${entries[0]!.thing}`);
      await page.getByText("found on this device.", { exact: false }).waitFor();
      expect(await page.locator("#compared-by").inputValue()).toBe(text);
      return `/api/labels/${entries[0]!.thing}`;
    };
    const kept = await leave("POST", "/api/labels", "J. Example");
    await page.getByText("Plans can use it.").waitFor();
    await leave("PUT", kept, "R. Example");
    expect((await document(kept)).compared_by).toBe("J. Example");
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("who leaves while a new label is kept stays where they went: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/shelf/labels/new");
  await page.getByLabel("Take in a label file").setInputFiles({
    name: "label.toml",
    mimeType: "application/toml",
    buffer: Buffer.from(demoFile("labels/brackwater-sc.toml")),
  });
  await page.getByText("Plans can use it.").waitFor();
  const letGo = await hold(page, "POST", "/api/labels");
  await page.getByRole("button", { name: "Keep the label" }).click();
  await unfoldMenu(page);
  await page.getByRole("link", { name: "Settings" }).click();
  await page.getByRole("heading", { level: 1, name: "Settings" }).waitFor();
  const answered = page.waitForResponse((one) => one.request().method() === "POST");
  letGo();
  await answered;
  const labels = () => asked<{ entries: unknown[] }>(home, "GET", "/api/labels");
  await expect.poll(async () => (await labels()).entries.length).toBe(1);
  await page.waitForTimeout(600);
  expect(new URL(page.url()).pathname).toBe("/settings");
  await page.getByRole("heading", { level: 1, name: "Settings" }).waitFor();
  // It is kept, and no draft of it is left to be kept once more.
  await page.goto("/shelf");
  await page.getByRole("list", { name: "Labels" }).getByRole("link").waitFor();
  expect(await page.getByText("Not kept yet", { exact: false }).count()).toBe(0);
  await page.goto("/shelf/labels/new");
  await page.locator('[id="f-product.name"]').waitFor();
  expect(await page.locator('[id="f-product.name"]').inputValue()).toBe("");
  expect(faults).toEqual([]);
  await context.close();
});

/** Looks at a field in every frame from now on: nothing is blank at any time between. */
const everyFrame = (page: Page, field: string) =>
  page.evaluate((field) => {
    const seen: string[] = [];
    Object.assign(window, { seen });
    const look = () => {
      seen.push((window.document.querySelector(field) as HTMLInputElement | null)?.value ?? "no form");
      requestAnimationFrame(look);
    };
    look();
  }, field);
const seenInFrames = (page: Page) =>
  page.evaluate(() => [...new Set((window as unknown as { seen: string[] }).seen)]);

const forms = [
  { what: "client", page: "/clients/new", path: "/api/clients" },
  { what: "business", page: "/business", path: "/api/businesses" },
  { what: "person", page: "/people", path: "/api/people" },
];
const left = sizes.flatMap((size) => forms.map((form) => ({ ...form, size })));

test.each(left)(
  "who leaves while a $what is kept stays where they went, and no draft is left: $size",
  async ({ what, page: at, path, size }) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(at);
    if (what === "person") await page.locator("summary", { hasText: "Keep a person" }).click();
    const name = page.locator(what === "person" ? "#person-new-name" : `#${what}-name`);
    await name.fill("A. Sample (invented)");
    const drafts = async () =>
      (JSON.parse((await onDevice(page))["tussock.drafts/drafts"] ?? "[]") as unknown[]).length;
    await expect.poll(drafts).toBe(1);
    const letGo = await hold(page, "POST", path);
    const form = page.locator("form").filter({ has: name });
    await form.getByRole("button", { name: "Keep it" }).click();
    await unfoldMenu(page);
    await page.getByRole("link", { name: "Settings" }).click();
    await page.getByRole("heading", { level: 1, name: "Settings" }).waitFor();
    const answered = page.waitForResponse((one) => one.request().method() === "POST");
    letGo();
    await answered;
    // It is kept, and no draft of it is left to be kept once more.
    const entries = () => asked<{ entries: unknown[] }>(home, "GET", path);
    await expect.poll(async () => (await entries()).entries.length).toBe(1);
    await expect.poll(drafts).toBe(0);
    expect(new URL(page.url()).pathname).toBe("/settings");
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "a new business goes on in the same form, with what was typed meanwhile: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto("/business");
    await page.locator("#business-name").fill("Example Yard Care (invented)");
    await everyFrame(page, "#business-name");
    const letGo = await hold(page, "POST", "/api/businesses");
    const letRead = await hold(page, "GET", "/api/businesses");
    await page.getByRole("button", { name: "Keep it" }).click();
    await page.locator("#business-place").fill("US-KS");
    letGo();
    await page.getByText("Not kept yet.", { exact: false }).waitFor();
    letRead();
    await page.getByText("The business is in the books.").last().waitFor();
    expect(await page.locator("#business-place").inputValue()).toBe("US-KS");
    expect(await seenInFrames(page)).toEqual(["Example Yard Care (invented)"]);
    await page.reload();
    await page.getByText("found on this device.", { exact: false }).waitFor();
    expect(await page.locator("#business-place").inputValue()).toBe("US-KS");
    await page.getByRole("button", { name: "Keep it" }).click();
    await page.getByText("All is kept.").waitFor();
    const { entries } = await asked<{ entries: { version: number }[] }>(home, "GET", "/api/businesses");
    expect(entries.map(({ version }) => version)).toEqual([2]);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("a new client goes on in the same form, at its own address: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/clients/new");
  await page.locator("#client-name").fill("A. Sample (invented)");
  await everyFrame(page, "#client-name");
  const letGo = await hold(page, "POST", "/api/clients");
  await page.getByRole("button", { name: "Keep it" }).click();
  await page.locator("#client-note").fill("by the gate");
  letGo();
  await page.waitForURL(/\/clients\/[0-9a-f-]{36}$/);
  await page.getByRole("heading", { level: 1, name: "A. Sample (invented)" }).waitFor();
  expect(await page.locator("#client-note").inputValue()).toBe("by the gate");
  expect(await seenInFrames(page)).toEqual(["A. Sample (invented)"]);
  // The note is a change of the client that is kept, here and after loading again.
  await page.reload();
  await page.getByText("found on this device.", { exact: false }).waitFor();
  expect(await page.locator("#client-note").inputValue()).toBe("by the gate");
  await page.getByRole("button", { name: "Keep it" }).click();
  await page.getByText("All is kept.").waitFor();
  const { entries } = await asked<{ entries: { version: number }[] }>(home, "GET", "/api/clients");
  expect(entries.map(({ version }) => version)).toEqual([2]);
  // The way back is that to a new one.
  await page.goto("/clients/new");
  await page.locator("#client-name").fill("R. Sample (invented)");
  await page.getByRole("button", { name: "Keep it" }).click();
  await page.getByRole("heading", { level: 1, name: "R. Sample (invented)" }).waitFor();
  await page.goBack();
  await page.getByRole("heading", { level: 1, name: "New client" }).waitFor();
  await expect.poll(() => page.locator("#client-name").inputValue()).toBe("");
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "what is typed while a kept visit is kept stays, and dropping it sends nothing: %s",
  async (size) => {
    const { visit } = await keepDemo(home);
    const { context, page, faults } = await reader(home.origin, size);
    await page.goto(`/visits/${visit}`);
    await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
    await page.locator(".told[aria-busy=false]").waitFor();
    const summary = page.locator(".asked summary", { hasText: "Property, day and people" });
    if ((await summary.locator("..").getAttribute("open")) === null) await summary.click();
    const name = page.locator("#name");
    const before = await name.inputValue();
    await name.fill(`${before}, once`);
    await page.locator(".told[aria-busy=false]").waitFor();
    const letGo = await hold(page, "PUT", `/api/visits/${visit}`);
    await page.getByRole("button", { name: "Keep the visit" }).click();
    await name.fill(`${before}, twice`);
    const answered = page.waitForResponse((one) => one.request().method() === "PUT");
    letGo();
    await answered;
    await page.getByRole("button", { name: "Keep the visit", disabled: false }).waitFor();
    expect(await name.inputValue()).toBe(`${before}, twice`);
    const titles = async () => {
      const versions = await asked<unknown[]>(home, "GET", `/api/visits/${visit}/versions`);
      const names = versions.map((_, index) => document(`/api/visits/${visit}?version=${index + 1}`));
      return (await Promise.all(names)).map((kept) => kept.name);
    };
    expect(await titles()).toEqual([before, `${before}, once`]);
    // Sent, unheard of, and dropped: it does not come back as a version.
    await page.route(
      (url) => url.pathname === `/api/visits/${visit}`,
      (route) => (route.request().method() === "PUT" ? route.abort() : route.continue()),
    );
    await page.locator(".told[aria-busy=false]").waitFor();
    await page.getByRole("button", { name: "Keep the visit" }).click();
    await page.getByText("This was sent, and no answer came.", { exact: false }).waitFor();
    await page.getByRole("button", { name: "Drop the changes" }).click();
    await expect.poll(() => name.inputValue()).toBe(`${before}, once`);
    await page.unrouteAll();
    await name.fill(`${before}, at last`);
    await page.locator(".told[aria-busy=false]").waitFor();
    await page.getByRole("button", { name: "Keep the visit" }).click();
    await page.getByText("The visit is in the books.").waitFor();
    expect(await titles()).toEqual([before, `${before}, once`, `${before}, at last`]);
    expect(faults.filter((fault) => !fault.includes("net::ERR_FAILED"))).toEqual([]);
    await context.close();
  },
);
