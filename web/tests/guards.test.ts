// What pages do in the browser: what they run, ask, show and keep. `docs/security.md` names these tests.
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import {
  COMPANY,
  PASSWORDS,
  askedAs,
  barriers,
  closeBrowser,
  company,
  house,
  keptThing,
  onDevice,
  person,
  proxied,
  reader,
  sizes,
} from "./support";

afterAll(closeBrowser);

const demo = (name: string) => readFileSync(new URL(`../../demo/${name}`, import.meta.url), "utf8");

/** Whether something ran that was only text. */
const hits = (page: Page) => page.evaluate(() => (globalThis as { hit?: unknown }).hit);

test("hostile text is text on every page that shows it", async () => {
  const home = await house();
  const hostile = `<img src="x" onerror="hit = 1"><script>hit = 2</script>"'{{hit}}\u202e`;
  const map = JSON.parse(demo("alder-bend/property.geojson")) as {
    features: { properties: Record<string, unknown> }[];
  };
  for (const { properties } of map.features) Object.assign(properties, { note: hostile });
  Object.assign(map.features.at(-1)!.properties, { name: hostile });
  const property = await keptThing(home.origin, "/api/properties", {
    format: "tussock.kept-property/1",
    name: hostile,
    map: JSON.stringify(map),
  });
  const label = await keptThing(home.origin, "/api/labels", {
    format: "tussock.kept-label/1",
    id: "brackwater-sc",
    label: demo("labels/brackwater-sc.toml").replace(
      "Brackwater 1 SC (invented)",
      () => '<img src=\\"x\\" onerror=\\"hit = 3\\">',
    ),
    note: hostile,
  });
  const equipment = await keptThing(home.origin, "/api/equipment", {
    format: "tussock.kept-equipment/1",
    name: hostile,
    equipment: demo("alder-bend/equipment.toml"),
  });
  const { context, page, faults } = await reader(home.origin, "desk");
  for (const path of [
    "/",
    "/properties",
    `/properties/${property}`,
    `/properties/${property}/versions`,
    "/visits",
    `/visits/new?property=${property}`,
    "/shelf",
    `/shelf/labels/${label}`,
    `/shelf/equipment/${equipment}`,
    "/yard",
    `/yard/counts/${property}`,
    `/no/such/${encodeURIComponent(hostile)}`,
    `/properties?text=${encodeURIComponent(hostile)}`,
  ]) {
    await page.goto(path);
    await page.getByRole("heading", { level: 1 }).waitFor();
    await page.waitForLoadState("networkidle");
    expect(await page.locator("img[onerror], img[src=x], main script").count(), path).toBe(0);
    expect(await hits(page), path).toBeUndefined();
  }
  // It was there to be seen, as its writer wrote it.
  await page.goto("/properties");
  await page.getByRole("link", { name: "<img src=" }).waitFor();
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
  await home.stop();
});

test("a page runs nothing but the files that the server gives it", async () => {
  const home = await house();
  const { context, page, faults } = await reader(home.origin, "desk");
  await page.goto("/settings");
  await page.getByRole("heading", { level: 1, name: "Settings" }).waitFor();
  expect(faults).toEqual([]);
  const tried = await page.evaluate(async () => {
    const violated: string[] = [];
    document.addEventListener("securitypolicyviolation", (event) => violated.push(event.effectiveDirective));
    const script = document.createElement("script");
    script.textContent = "hit = 1";
    document.body.append(script);
    const elsewhere = document.createElement("script");
    elsewhere.src = "data:text/javascript,hit = 2";
    document.body.append(elsewhere);
    const button = document.createElement("button");
    button.setAttribute("onclick", "hit = 3");
    document.body.append(button);
    button.click();
    const frame = document.createElement("iframe");
    frame.src = "/settings";
    document.body.append(frame);
    // What would be read as code is refused as such.
    setTimeout("hit = 4");
    const sent = await fetch("https://elsewhere.example/").then(
      () => "sent",
      () => "not sent",
    );
    await new Promise((resolve) => setTimeout(resolve, 200));
    return { violated: [...new Set(violated)].sort(), sent };
  });
  expect(await hits(page)).toBeUndefined();
  expect(tried.sent).toBe("not sent");
  for (const directive of ["connect-src", "frame-src", "script-src", "script-src-attr", "script-src-elem"]) {
    expect(tried.violated, directive).toContain(directive);
  }
  await context.close();
  await home.stop();
});

test("the worker of the pages keeps their files and no answer of the server", async () => {
  const home = await house();
  const { context, page, faults } = await reader(home.origin, "phone");
  const property = await keptThing(home.origin, "/api/properties", {
    format: "tussock.kept-property/1",
    name: "Alder Bend",
    map: demo("alder-bend/property.geojson"),
  });
  await page.goto("/yard");
  await page.evaluate(async () => void (await navigator.serviceWorker.ready));
  await page.reload();
  await page.goto(`/properties/${property}`);
  await page.getByRole("button", { name: "Save", exact: true }).waitFor();
  await page.waitForLoadState("networkidle");
  const worker = await page.evaluate(async () => {
    const { scope, active } = await navigator.serviceWorker.ready;
    return { scope, script: active?.scriptURL };
  });
  expect(worker).toEqual({ scope: `${home.origin}/`, script: `${home.origin}/service-worker.js` });
  const kept = Object.entries(await onDevice(page)).filter(([name]) => name.startsWith("cache "));
  expect(kept.length).toBe(1);
  const files = kept[0]![1].split(" ");
  expect(files.length).toBeGreaterThan(10);
  expect(files.filter((path) => /^\/(?:api|metrics)/.test(path))).toEqual([]);
  expect(kept[0]![1]).not.toContain(property);
  expect(faults).toEqual([]);
  await context.close();
  await home.stop();
});

test("what opens the server is not kept on the device", async () => {
  const home = await company();
  const { context, page, faults } = await person(home, "mara", "desk");
  await askedAs(page, "POST", "/api/demo");
  await page.goto("/yard");
  await page.getByRole("combobox", { name: "Property" }).waitFor();
  await page.getByRole("button", { name: "Take along" }).last().click();
  await page.getByRole("link", { name: /^Count here: / }).waitFor();
  const { form_token } = await page.evaluate(
    async () => (await (await fetch("/api/session")).json()) as { form_token: string },
  );
  const cookies = await context.cookies();
  expect(cookies.map(({ httpOnly, secure, sameSite }) => [httpOnly, secure, sameSite])).toEqual([
    [true, true, "Strict"],
  ]);
  expect(await page.evaluate(() => document.cookie)).toBe("");
  const told = JSON.stringify(await onDevice(page));
  // The name is there, so that the yard opens without reception; what opens the server is not.
  expect(told).toContain("mara");
  for (const secret of [PASSWORDS.mara!, form_token, cookies[0]!.value]) {
    expect(secret.length).toBeGreaterThan(10);
    expect(told).not.toContain(secret);
  }
  expect(faults).toEqual([]);
  await context.close();
  await home.stop();
});

test.each(sizes)(
  "a password may be pasted, looked at, and filled in by what keeps passwords: %s",
  async (size) => {
    const home = await company();
    const { context, page, faults } = await reader(COMPANY, size);
    await proxied(context, COMPANY, home.origin);
    await context.grantPermissions(["clipboard-read", "clipboard-write"], { origin: COMPANY });
    await page.goto("/");
    await page.getByRole("heading", { level: 1, name: "Sign in" }).waitFor();
    const password = page.getByLabel("Password");
    expect(await page.getByLabel("Name").getAttribute("autocomplete")).toBe("username");
    expect(await password.getAttribute("autocomplete")).toBe("current-password");
    await page.getByLabel("Name").fill("mara");
    await page.evaluate((text) => navigator.clipboard.writeText(text), PASSWORDS.mara!);
    await password.focus();
    await page.keyboard.press("ControlOrMeta+v");
    expect(await password.inputValue()).toBe(PASSWORDS.mara);
    expect(await password.getAttribute("type")).toBe("password");
    await page.getByLabel("Show what is typed").check();
    expect(await password.getAttribute("type")).toBe("text");
    expect(await password.inputValue()).toBe(PASSWORDS.mara);
    expect(await barriers(page)).toEqual([]);
    await page.getByLabel("Show what is typed").uncheck();
    expect(await password.getAttribute("type")).toBe("password");
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByText("mara, owner").waitFor({ state: "attached" });
    expect(faults).toEqual([]);
    await context.close();
    await home.stop();
  },
);
