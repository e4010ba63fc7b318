import { afterAll, beforeAll, expect, test } from "vitest";
import { layoutFaults } from "./layout";
import { barriers, closeBrowser, house, proxied, reader, sizes, unfoldMenu, type House } from "./support";

let home: House;

beforeAll(async () => {
  home = await house();
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

test.each(sizes)("a setting holds after loading the page again, by keyboard alone: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/settings");
  const dusk = page.getByRole("radio", { name: "Dusk" });
  await dusk.waitFor();
  await page.getByRole("radio", { name: "Day" }).focus();
  await page.keyboard.press("ArrowDown");
  expect(await dusk.isChecked()).toBe(true);
  await page.reload();
  await dusk.waitFor();
  expect(await page.evaluate(() => document.documentElement.dataset.look)).toBe("dusk");
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("two windows share the settings, and neither takes back the other's: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/settings");
  const other = await context.newPage();
  await other.goto("/settings");
  await other.getByRole("radio", { name: /^Metres/ }).check();
  await page.locator("input[name=units][value=metric]:checked").waitFor();
  await page.getByRole("radio", { name: "Dusk" }).check();
  await other.locator("html[data-look=dusk]").waitFor();
  // What is kept is what both chose.
  await other.reload();
  await other.locator("input[name=units][value=metric]:checked").waitFor();
  expect(await other.getByRole("radio", { name: "Dusk" }).isChecked()).toBe(true);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("links lead to pages without loading all again, and back: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/");
  await page.evaluate(() => Object.assign(globalThis, { stayed: true }));
  await unfoldMenu(page);
  await page.getByRole("link", { name: "Settings" }).click();
  await page.getByRole("heading", { level: 1, name: "Settings" }).waitFor();
  expect(await page.evaluate(() => document.activeElement?.id)).toBe("page");
  await page.goBack();
  await page.getByRole("heading", { level: 1, name: "Start" }).waitFor();
  expect(await page.evaluate(() => "stayed" in globalThis)).toBe(true);
  expect(faults).toEqual([]);
  await context.close();
});

test("nothing inline may run, and nothing is kept by strangers' caches", async () => {
  const answer = await fetch(`${home.origin}/settings`);
  const policy = answer.headers.get("content-security-policy") ?? "";
  expect(policy).toContain("default-src 'none'");
  expect(policy).not.toContain("unsafe");
  expect(answer.headers.get("cache-control")).toBe("no-cache");
  const script = /src="(\/assets\/[^"]+\.js)"/.exec(await answer.text())?.[1] ?? "";
  const asset = await fetch(home.origin + script, { headers: { "accept-encoding": "br, gzip" } });
  expect(asset.headers.get("cache-control")).toContain("immutable");
  expect(asset.headers.get("content-encoding")).toBe("br");
});

test.each(sizes)(
  "where sign-in is asked for, a wrong password is told and the right one opens: %s",
  async (size) => {
    const origin = "https://books.example";
    const company = await house("--behind-proxy", origin);
    const { context, page, faults } = await reader(origin, size);
    await proxied(context, origin, company.origin);
    await page.goto("/settings");
    await page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();
    expect(await barriers(page)).toEqual([]);
    await page.getByLabel("Name").fill("mara");
    await page.getByLabel("Password").fill("not the words");
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("alert").getByText("name and password do not open anything").waitFor();
    await page.getByLabel("Password").fill("four small words");
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("heading", { level: 1, name: "Settings" }).waitFor();
    // The head of a phone is one line; who one is and the way out stand in the menu.
    const out = page.getByRole("button", { name: "Sign out" });
    expect(await out.isVisible()).toBe(size === "desk");
    if (size === "phone") expect((await page.locator("header").boundingBox())!.height).toBeLessThan(64);
    await unfoldMenu(page);
    await page.getByText("mara, owner").waitFor();
    expect(await barriers(page)).toEqual([]);
    expect(await layoutFaults(page)).toEqual([]);
    await out.click();
    await page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();
    expect(faults).toEqual([]);
    await context.close();
    await company.stop();
  },
);
