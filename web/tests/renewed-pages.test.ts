// The pages on the device after an update of the server, while a window of them is open.
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { Builds } from "./builds";
import { closeBrowser, house, keepDemo, onDevice, reader, sizes } from "./support";

afterAll(closeBrowser);

test.each(sizes)("after an update every page of the yard opens without reception: %s", async (size) => {
  const home = await house();
  const demo = await keepDemo(home.origin);
  const builds = new Builds(home.origin);
  await builds.start();
  const { context, page, faults } = await reader(builds.origin, size);
  const assets: string[] = [];
  page.on("request", (request) => assets.push(new URL(request.url()).pathname));
  await page.goto("/yard");
  await page.getByRole("combobox", { name: "Property" }).waitFor();
  await page.getByRole("button", { name: "Take along" }).last().click();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).waitFor();
  await page.evaluate(async () => void (await navigator.serviceWorker.ready));
  const caches = async (on: Page) =>
    Object.keys(await onDevice(on)).filter((name) => name.startsWith("cache "));
  expect((await caches(page)).length).toBe(1);

  // The server is renewed, and the page is loaded again: the new page comes from the server, the worker is still the old.
  builds.isRenewed = true;
  await page.reload();
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).waitFor();
  expect(assets.some((path) => path.includes("-renewed."))).toBe(true);
  await page.evaluate(async () => {
    const registration = await navigator.serviceWorker.ready;
    while (registration.waiting === null) await new Promise((resolve) => setTimeout(resolve, 50));
  });
  expect((await caches(page)).length).toBe(2);

  await context.setOffline(true);
  await page.getByRole("link", { name: `Count here: ${demo.name}` }).click();
  await page.getByLabel("Pest", { exact: true }).fill("grasshopper");
  await expect.poll(async () => (await onDevice(page))["tussock.yard/drafts"]).toContain("grasshopper");
  // Loaded again it is the page of the newer build, which wrote what is written: all of it is there.
  assets.length = 0;
  await page.reload();
  await expect.poll(() => page.getByLabel("Pest", { exact: true }).inputValue()).toBe("grasshopper");
  expect(assets.filter((path) => path.startsWith("/assets/") && !path.includes("-renewed."))).toEqual([]);

  // When no window of the old build is left, the new worker takes its place, and what was before is gone.
  await context.setOffline(false);
  let again = page;
  const opened = async () => {
    const next = await context.newPage();
    await again.close();
    again = next;
    // A window that is opened while one worker takes the other's place may wait for long under the eyes of this library.
    await again.waitForTimeout(700);
    await again.goto("/yard");
    return (await caches(again)).length;
  };
  // The browser takes a moment to see that a window is gone.
  await expect.poll(opened, { timeout: 20_000 }).toBe(1);
  await context.setOffline(true);
  await again.reload();
  await again.getByText("No reception: what you do is kept on this device").waitFor();
  expect(faults.filter((fault) => !fault.includes("ERR_INTERNET_DISCONNECTED"))).toEqual([]);
  await context.close();
  await builds.stop();
  await home.stop();
});
