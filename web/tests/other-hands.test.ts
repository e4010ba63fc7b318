// What waits on a device in other hands: carried to another person as a file, or left there by somebody who is no more.
import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import {
  COMPANY,
  askedAs,
  barriers,
  closeBrowser,
  company,
  hire,
  person,
  proxied,
  reader,
  signIn,
  sizes,
  unfoldMenu,
} from "./support";

afterAll(closeBrowser);

const NAME = "Alder Bend (invented)";

/** Takes the demo's property along. */
async function takenAlong(page: Page): Promise<void> {
  await page.goto("/yard");
  await page.getByRole("combobox", { name: "Property" }).waitFor();
  await page.getByRole("button", { name: "Take along" }).last().click();
  await page.getByRole("link", { name: `Count here: ${NAME}` }).waitFor();
}

/** Counts one station with a photo, and says that it is done. */
async function counted(page: Page, pest: string, isShown = false): Promise<void> {
  await page.getByRole("link", { name: `Count here: ${NAME}` }).click();
  await page.getByLabel("Pest", { exact: true }).fill(pest);
  await page.getByRole("button", { name: "Keep this count" }).click();
  if (isShown) {
    const buffer = readFileSync(new URL("../public/mark-192.png", import.meta.url));
    await page.getByLabel("Add a photo").setInputFiles({ name: "frame.png", mimeType: "image/png", buffer });
    await page.getByRole("img", { name: "Photo 1" }).waitFor();
  }
  await page.getByRole("button", { name: "Counting is done" }).click();
  await page.getByRole("heading", { level: 2, name: "Waits on this device" }).waitFor();
}

interface Listed {
  entries: { thing: string; title: string }[];
}
const surveys = async (page: Page) => (await askedAs<Listed>(page, "GET", "/api/surveys")).entries;
const files = async (page: Page) => (await askedAs<Listed>(page, "GET", "/api/files")).entries;
const nothingWaits = (page: Page) => page.getByText("Nothing waits: the server has everything.");
const row = (page: Page, pest: string) =>
  page.locator(".waits > li").filter({ hasText: `Counts: ${NAME}, ${pest}` });

/** Saves what waits, as a person would to carry it elsewhere. @returns where the file lies */
async function saved(page: Page): Promise<string> {
  const download = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save what waits to a file" }).click();
  return (await download).path();
}

/** Who kept a survey first, as the books say. */
async function keptBy(page: Page, pest: string): Promise<string> {
  for (const { thing } of await surveys(page)) {
    const survey = await askedAs<{ pest: string }>(page, "GET", `/api/surveys/${thing}`);
    if (survey.pest !== pest) continue;
    const versions = await askedAs<{ actor: string }[]>(page, "GET", `/api/surveys/${thing}/versions`);
    expect(versions.length).toBe(1);
    return versions[0]!.actor;
  }
  throw new Error(`no counts of ${pest}`);
}

test.each(sizes)(
  "read back by another person it is in the books once, whoever comes first: %s",
  async (size) => {
    const home = await company();
    const mara = await reader(COMPANY, size);
    let isLosing = true;
    await proxied(
      mara.context,
      COMPANY,
      home.origin,
      (method, path, status) => isLosing && method === "POST" && path === "/api/surveys" && status < 300,
    );
    const { page } = mara;
    await page.goto("/");
    await signIn(page, "mara");
    await page.getByText("mara, owner").waitFor({ state: "attached" });
    await askedAs(page, "POST", "/api/demo");
    await hire(page, "noor");
    await takenAlong(page);
    // The books keep the first, and its answer is lost with the photo still to come; the second does not leave the phone.
    const lost = page.waitForEvent("requestfailed", (asked) => asked.url().endsWith("/api/surveys"));
    await counted(page, "grasshopper", true);
    await lost;
    await mara.context.route("**/api/surveys", (route) =>
      route.request().method() === "POST" ? route.abort() : route.fallback(),
    );
    await counted(page, "chinch bug", true);
    await row(page, "chinch bug").getByText("waits for reception").waitFor();
    expect([(await surveys(page)).length, (await files(page)).length]).toEqual([1, 0]);
    const path = await saved(page);

    const noor = await person(home, "noor", size);
    await noor.page.goto("/yard");
    await noor.page.getByLabel("Read such a file back").setInputFiles(path);
    await noor.page.getByText("4 taken from the file.").waitFor();
    await nothingWaits(noor.page).waitFor();
    expect([(await surveys(page)).length, (await files(page)).length]).toEqual([2, 2]);
    expect(noor.faults).toEqual([]);

    // The first phone comes back: nothing is refused, and nothing comes twice.
    isLosing = false;
    await mara.context.unroute("**/api/surveys");
    // It may have tried by itself: the button would be gone.
    await page.evaluate(() => void document.dispatchEvent(new Event("visibilitychange")));
    await nothingWaits(page).waitFor();
    expect([(await surveys(page)).length, (await files(page)).length]).toEqual([2, 2]);
    expect([await keptBy(page, "grasshopper"), await keptBy(page, "chinch bug")]).toEqual(["mara", "noor"]);
    await mara.context.close();
    await noor.context.close();
    await home.stop();
  },
);

test.each(sizes)("what the books have under its key from another hand is not mended: %s", async (size) => {
  const home = await company();
  const { context, page } = await person(home, "mara", size);
  await askedAs(page, "POST", "/api/demo");
  await takenAlong(page);
  // As books say it that were told by another person when keys were still of one hand.
  const problem = { code: "ledger::key-reused", severity: "error", found: "the key came before" };
  await context.route("**/api/surveys", (route) =>
    route.fulfill({ status: 422, json: { problems: [{ ...problem, mend: "send it with a new key" }] } }),
  );
  await counted(page, "sod webworm");
  const own = row(page, "sod webworm");
  await own.getByText("The books have this already", { exact: false }).waitFor();
  expect(await own.getByRole("button", { name: "Mend it" }).count()).toBe(0);
  expect(await own.getByText("nothing was kept of it").count()).toBe(0);
  expect(await barriers(page)).toEqual([]);
  const look = own.getByRole("link", { name: `Look it up in the books: ${NAME}, sod webworm` });
  expect(await look.getAttribute("href")).toMatch(/^\/properties\/[0-9a-f-]{36}\/efficacy$/);
  await own.getByRole("button", { name: "Give it up" }).click();
  await page.getByRole("dialog").getByText("Photos that belong to it are removed too").waitFor();
  await page.getByRole("dialog").getByRole("button", { name: "Give it up" }).click();
  await nothingWaits(page).waitFor();
  await context.close();
  await home.stop();
});

/** Puts what waits once more on the device, as of an owner of other books. */
const ofOtherBooks = (page: Page): Promise<void> =>
  page.evaluate(async () => {
    const db = await new Promise<IDBDatabase>((resolve) => {
      const opened = indexedDB.open("tussock.yard");
      opened.onsuccess = () => resolve(opened.result);
    });
    const store = db.transaction("waiting", "readwrite").objectStore("waiting");
    const [first] = await new Promise<object[]>((resolve) => {
      const all = store.getAll();
      all.onsuccess = () => resolve(all.result as object[]);
    });
    store.put({ ...first, key: "of-other-books", who: "elsewhere/owner", title: "Of other books" });
    await new Promise((resolve) => (store.transaction.oncomplete = resolve));
    db.close();
  });

test.each(sizes)("an owner takes over, or gives up, what somebody left on the device: %s", async (size) => {
  const home = await company();
  const mara = await person(home, "mara", size);
  await askedAs(mara.page, "POST", "/api/demo");
  await hire(mara.page, "noor");
  const { context, page } = await person(home, "noor", size);
  await takenAlong(page);
  await context.route("**/api/surveys", (route) =>
    route.request().method() === "POST" ? route.abort() : route.fallback(),
  );
  await counted(page, "armyworm", true);
  await row(page, "armyworm").getByText("waits for reception").waitFor();
  await ofOtherBooks(page);
  await unfoldMenu(page);
  await page.getByRole("button", { name: "Sign out", exact: true }).click();
  await page.getByRole("button", { name: "Sign out all the same" }).click();
  await signIn(page, "mara");
  await page.getByText("mara, owner").waitFor({ state: "attached" });
  await context.unroute("**/api/surveys");
  await page.goto("/yard");
  await row(page, "armyworm").getByText("made by noor").waitFor();
  expect(await barriers(page)).toEqual([]);

  const take = page.getByRole("button", { name: "Take over what is of noor" });
  await take.click();
  const asks = page.getByRole("dialog", { name: "Take over what noor left here?" });
  await asks.getByText("the books will say that mara kept it", { exact: false }).waitFor();
  await asks.getByText("Photo: frame.jpg").waitFor();
  expect(await barriers(page)).toEqual([]);
  await asks.getByRole("button", { name: "Leave it to them" }).click();
  await row(page, "armyworm").getByText("made by noor").waitFor();
  await take.click();
  await asks.getByRole("button", { name: "Take it over" }).click();
  await row(page, "armyworm").waitFor({ state: "detached" });
  await expect.poll(async () => (await files(page)).length).toBe(1);
  expect(await keptBy(page, "armyworm")).toBe("mara");
  const { thing } = (await surveys(page))[0]!;
  expect((await askedAs<{ by: string }>(page, "GET", `/api/surveys/${thing}`)).by).toBe("noor");

  // What is of other books cannot be sent into these.
  await page.getByText("It is of other books than these", { exact: false }).waitFor();
  expect(await page.getByRole("button", { name: /^Take over/ }).count()).toBe(0);
  await page.getByRole("button", { name: "Give up what is of owner" }).click();
  const drops = page.getByRole("dialog", { name: "Give up what owner left here?" });
  await drops.getByText("Nobody knows whether the server has it", { exact: false }).waitFor();
  await drops.getByRole("button", { name: "Give it up" }).click();
  await nothingWaits(page).waitFor();
  await mara.context.close();
  await context.close();
  await home.stop();
});
