// Visits: planned while they are edited, refused with their sentence, kept without overwriting anybody.
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Page } from "playwright-core";
import { mapped, tapFirst } from "./map-support";
import { SIZES, barriers, closeBrowser, house, reader, sizes, type House } from "./support";

let home: House;
let visit: string;

beforeAll(async () => {
  home = await house();
  visit = await demo(home);
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

/** Puts the demo into the books; the name of its visit. */
async function demo(at: House): Promise<string> {
  const answer = await fetch(`${at.origin}/api/demo`, {
    method: "POST",
    headers: { "idempotency-key": crypto.randomUUID() },
  });
  return ((await answer.json()) as { visit: string }).visit;
}

async function planned(page: Page, path = `/visits/${visit}`): Promise<void> {
  await page.goto(path);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  await current(page);
}

/** A plan may take longer than a poll waits of itself. */
const PATIENCE = { timeout: 10_000 };

/** Waits until the plan is that of what is asked. */
async function current(page: Page): Promise<void> {
  await page.locator(".told[aria-busy=false]").waitFor();
}

/** The only property of the books is chosen by itself. */
const onOnlyProperty = (page: Page) =>
  page.locator("#on option:checked", { hasText: "Alder Bend (invented)" }).waitFor({ state: "attached" });

const open = async (page: Page, title: string) => {
  const summary = page.locator(".asked summary", { hasText: title });
  if ((await summary.locator("..").getAttribute("open")) === null) await summary.click();
};

/** What is to be measured of a task. */
const measured = (page: Page, task: string) =>
  page
    .getByRole("region", { name: new RegExp(`^${task}:`) })
    .locator("dd")
    .first()
    .innerText();

test.each(sizes)(
  "the demo's visit shows its amounts, hours, verdicts and what the year allows: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await planned(page);
    // A full 2-gallon tank of lawn mix takes 14.02 mL; on marks of 0.2 mL that is 14.0.
    const lawn = page.getByRole("region", { name: /^lawn:/ });
    await lawn.getByText("14.0 mL", { exact: false }).first().waitFor();
    await page.getByText("Start between 07:00 and 09:20.").waitFor();
    await page.getByText("The job takes 1 h 40 min").waitFor();
    const hours = page.locator("details", { hasText: "The same hours as a table" });
    await hours.locator("summary").click();
    expect(await hours.locator("tbody tr").count()).toBe(16);
    await page
      .getByRole("region", { name: "After this visit" })
      .getByText("Do not apply more than 0.48 lb exampthrin per acre")
      .first()
      .waitFor();
    await page.getByRole("cell", { name: "within 25 ft of the creek: kept by the label" }).waitFor();
    await page.getByRole("button", { name: "Ask the books" }).click();
    await page.getByText("Brackwater 1 SC (invented)").last().waitFor();
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("the plan follows the task, its label and its sprayer: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await planned(page);
  const before = await measured(page, "lawn");
  await open(page, "Task 3: lawn");
  await page.locator("#task-2-rates").selectOption("lowest");
  await expect.poll(() => measured(page, "lawn"), PATIENCE).not.toBe(before);
  expect(await measured(page, "lawn")).toContain("0.200 fl oz/1,000 sq ft (label");
  const lowest = await measured(page, "lawn");
  await page.locator("#task-2-calibration").selectOption("perimeter");
  await current(page);
  const tanks = await page
    .getByRole("region", { name: /^lawn:/ })
    .locator("table")
    .innerText();
  await page.locator("#task-2-calibration").selectOption("lawn");
  await expect
    .poll(
      () =>
        page
          .getByRole("region", { name: /^lawn:/ })
          .locator("table")
          .innerText(),
      PATIENCE,
    )
    .not.toBe(tanks);
  expect(await measured(page, "lawn")).toBe(lowest);
  // Granules are not sprayed by the hand pump: the request says what is wrong, and the last plan stays.
  await page.locator("#task-2-label").selectOption("gravelhome-gr");
  await page.locator(".verdict.refused").first().waitFor();
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
});

test.each(sizes)("a refusal shows the sentence that forbids it and how to mend it: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await planned(page);
  await open(page, "Task 3: lawn");
  await page.locator("#task-2-rate").fill("0.9 fl oz/1,000 sq ft");
  const refused = page.locator(".verdict.refused").last();
  await refused
    .getByText("Do not exceed 0.4 fl oz per 1,000 sq ft of lawn in a single application.")
    .first()
    .waitFor();
  expect(await refused.innerText()).toContain("To mend it:");
  expect(await page.locator(".whole").getAttribute("data-verdict")).toBe("refused");
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "a wrong forecast is told with its line, and the plan keeps the one before: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await planned(page);
    await open(page, "Labels and sprayer");
    const file = (text: string) => ({
      name: "forecast.csv",
      mimeType: "text/csv",
      buffer: Buffer.from(text),
    });
    await page.getByLabel("Take in a forecast file").setInputFiles(file("start,wind\n2026-07-07T05:00Z,3\n"));
    await page.getByText("This forecast cannot be used.", { exact: false }).waitFor();
    await page.getByRole("alert").getByText("(forecast, 1", { exact: false }).first().waitFor();
    await page.getByText("Start between 07:00 and 09:20.").waitFor();
    const rows = ["start,temperature_f,wind_mph,gust_mph,wind_from_deg,rain_in"];
    for (let hour = 6; hour < 21; hour += 1) {
      rows.push(`2026-07-07T${String(hour).padStart(2, "0")}:00-05:00,70,30,40,180,0`);
    }
    await page.getByLabel("Take in a forecast file").setInputFiles(file(rows.join("\n")));
    await page.locator(".whole[data-verdict=refused]").waitFor();
    await page.getByText("15 hours, from 06:00 to 20:00.").waitFor();
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("paper, picture and calendar are given to be saved: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await planned(page);
  for (const [button, name] of [
    ["Work sheet (PDF)", "alder-bend-invented-2026-07-07-work-sheet.pdf"],
    ["Map (SVG)", "alder-bend-invented-2026-07-07-map.svg"],
    ["Calendar file", "alder-bend-invented-2026-07-07-calendar.ics"],
  ] as const) {
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: button }).click(),
    ]);
    expect(download.suggestedFilename()).toBe(name);
  }
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("zones follow a corner that is pushed, and the kept map stays: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await planned(page);
  const lawn = () => page.getByRole("row", { name: /^lawn .*treated by/ }).innerText();
  const before = await lawn();
  await page.locator("summary", { hasText: "Move a corner" }).click();
  await page.getByLabel("Shape", { exact: true }).selectOption({ label: "house (Building)" });
  const north = page.getByRole("button", { name: "North" });
  for (let step = 0; step < 3; step += 1) await north.click();
  await page.getByText("This visit has a map of its own", { exact: false }).waitFor();
  await expect.poll(lawn, PATIENCE).not.toBe(before);
  await page.getByRole("button", { name: "Back to the property's map" }).click();
  await expect.poll(lawn, PATIENCE).toBe(before);
  expect(faults).toEqual([]);
  await context.close();
});

/** What the map shows, all of its canvases on one another. */
function pixels(page: Page): Promise<number[]> {
  return page.evaluate(() => {
    const all = [...document.querySelectorAll<HTMLCanvasElement>(".target canvas")];
    const whole = document.createElement("canvas");
    [whole.width, whole.height] = [all[0]!.width, all[0]!.height];
    const pen = whole.getContext("2d")!;
    for (const canvas of all) pen.drawImage(canvas, 0, 0);
    return [...pen.getImageData(0, 0, whole.width, whole.height).data];
  });
}

test.each(sizes)(
  "a corner is dragged, and the last answer is that of where it was let go: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await planned(page);
    const map = await mapped(page);
    const lawn = () => page.getByRole("row", { name: /^lawn .*treated by/ }).innerText();
    const before = await lawn();
    // The house's north-west corner stands 30 ft east and 85 ft north of the lot's corner; it goes 6 ft north.
    await tapFirst(page, map, 62, 80);
    await map.drag([30, 85], [30, 91]);
    await page.getByText("This visit has a map of its own", { exact: false }).waitFor();
    await current(page);
    await expect.poll(lawn, PATIENCE).not.toBe(before);
    const settled = await lawn();
    await page.waitForTimeout(800);
    expect(await lawn()).toBe(settled);
    // What was drawn in part, move by move, is as what is drawn whole: another size and back draws everything anew.
    const inPart = await pixels(page);
    await page.setViewportSize({ ...SIZES[size], height: SIZES[size].height - 60 });
    await page.waitForTimeout(400);
    await page.setViewportSize(SIZES[size]);
    await page.waitForTimeout(400);
    const whole = await pixels(page);
    expect(whole.length).toBe(inPart.length);
    // Outlines are drawn without the corners that nobody sees, and which those are may differ by parts of a pixel.
    expect(whole.filter((shade, at) => Math.abs(shade - inPart[at]!) > 24).length).toBeLessThan(40);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("a visit is planned and kept with the keyboard alone: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/visits");
  await onOnlyProperty(page);
  await page.getByRole("button", { name: "Plan it" }).focus();
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { level: 1, name: "Alder Bend (invented)" }).waitFor();
  const type = async (id: string, text: string) => {
    await page.locator(id).focus();
    await page.keyboard.press("ControlOrMeta+a");
    await page.keyboard.type(text);
  };
  const press = async (name: string) => {
    await page.getByRole("button", { name, exact: true }).focus();
    await page.keyboard.press("Enter");
  };
  await type("#name", "Grubs by keyboard");
  await page.locator("#date").fill("2026-07-08");
  await type("#pest", "grasshopper");
  await type("#stage", "nymph");
  await type("#basis", "caught in a net");
  await press("Add a task");
  await page.locator("#task-0-method").focus();
  await page.keyboard.type("Broadcast");
  await page.keyboard.press("Tab");
  await page.locator("#task-0-label").focus();
  await page.keyboard.type("bra");
  await page.locator("#task-0-calibration").focus();
  await page.keyboard.type("lawn");
  await page.keyboard.press("Tab");
  await page
    .getByRole("region", { name: /^bait|^broadcast/ })
    .first()
    .waitFor();
  await current(page);
  await press("Keep the visit");
  await page.waitForURL(/\/visits\/[0-9a-f-]{36}$/);
  await page.getByText("All is kept.").waitFor();
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "what was not kept is still there after loading again, and can be dropped: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await planned(page);
    await open(page, "Property, day and people");
    await page.locator("#certification").fill("KS-11111");
    await page.getByText("Changes are on this device alone.").waitFor();
    await page.waitForTimeout(600);
    await page.reload();
    await page.getByText("were found on this device", { exact: false }).waitFor();
    await open(page, "Property, day and people");
    expect(await page.locator("#certification").inputValue()).toBe("KS-11111");
    await page.getByRole("button", { name: "Drop the changes" }).click();
    await page.getByText("All is kept.").waitFor();
    expect(await page.locator("#certification").inputValue()).toBe("KS-00000");
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)("the draft of a new visit outlives loading again, and can be dropped: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/visits");
  await onOnlyProperty(page);
  await page.getByRole("button", { name: "Plan it" }).click();
  await page.getByRole("heading", { level: 1, name: "Alder Bend (invented)" }).waitFor();
  const drop = page.getByRole("button", { name: "Drop this draft" });
  expect(await drop.count()).toBe(0);
  await page.locator("#name").fill("Never carried out");
  await page.getByText("Changes are on this device alone.").waitFor();
  await page.waitForTimeout(600);
  await page.reload();
  await page.getByText("were found on this device", { exact: false }).waitFor();
  expect(await page.locator("#name").inputValue()).toBe("Never carried out");
  await drop.click();
  await page.getByRole("dialog").getByRole("button", { name: "Go on with it" }).click();
  expect(await page.locator("#name").inputValue()).toBe("Never carried out");
  await drop.click();
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("dialog").getByRole("button", { name: "Drop this draft" }).click();
  await page.getByRole("heading", { level: 1, name: "Alder Bend (invented)" }).waitFor();
  expect(await page.evaluate(() => document.activeElement === document.body)).toBe(false);
  await page.waitForTimeout(600);
  await page.reload();
  await page.getByRole("heading", { level: 1, name: "Alder Bend (invented)" }).waitFor();
  expect(await page.getByText("were found on this device", { exact: false }).count()).toBe(0);
  expect(await drop.count()).toBe(0);
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
});

test("on a phone the printed picture has its own size, and is moved by keys", async () => {
  const { context, page, faults } = await reader(home.origin, "phone");
  await page.goto(`/visits/${visit}/print`);
  const frame = page.getByRole("region", { name: /^Map of Alder Bend/ });
  const picture = frame.getByRole("img");
  await picture.waitFor();
  // The words of the picture are 10 to 16 of its points high: it is not made smaller than it is.
  await expect
    .poll(() =>
      picture.evaluate(
        (one) => (one as HTMLImageElement).clientWidth / (one as HTMLImageElement).naturalWidth,
      ),
    )
    .toBeGreaterThanOrEqual(1);
  await page.getByText("Wider than the screen: move it sideways.").first().waitFor();
  await frame.focus();
  for (let turn = 0; turn < 5; turn += 1) await page.keyboard.press("ArrowRight");
  await expect.poll(() => frame.evaluate((one) => one.scrollLeft)).toBeGreaterThan(50);
  // On paper it is as wide as the page.
  await page.emulateMedia({ media: "print" });
  const [wide, room] = await picture.evaluate((one) => [one.clientWidth, document.body.clientWidth]);
  expect(wide).toBeLessThanOrEqual(room!);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(["day", "dusk", "sun"] as const)(
  "on paper the ink is dark, whatever the look: %s",
  async (look) => {
    const { context, page, faults } = await reader(home.origin, "desk", look);
    await page.goto(`/visits/${visit}/print`);
    await page.getByRole("region", { name: /^Map of Alder Bend/ }).waitFor();
    await page.emulateMedia({ media: "print" });
    const inks = await page.locator("main").evaluate((main) => {
      const colours = [...main.querySelectorAll("*")]
        .filter((one) => one.clientHeight > 0 && one.children.length === 0 && one.textContent!.trim() !== "")
        .map((one) =>
          getComputedStyle(one)
            .color.match(/[0-9.]+/g)!
            .map(Number),
        );
      return colours.map(([red, green, blue]) => 0.2126 * red! + 0.7152 * green! + 0.0722 * blue!);
    });
    expect(inks.length).toBeGreaterThan(50);
    // 7 to 1 on white paper is a grey of 89 of 255.
    expect(Math.max(...inks)).toBeLessThan(96);
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(["is not there", "breaks off"] as const)(
  "zones follow a corner where the thread that asks for them %s",
  async (how) => {
    // A script that lies on the device already would not be asked for.
    const { context, page, faults } = await reader(home.origin, "desk", "day", { serviceWorkers: "block" });
    let asked = 0;
    await page.route(/zones-thread/, async (route) => {
      asked += 1;
      if (how === "is not there") await route.fulfill({ status: 404, body: "" });
      else
        await route.fulfill({
          contentType: "text/javascript",
          body: "onmessage = () => { throw new Error('broken'); };",
        });
    });
    await planned(page);
    const lawn = () => page.getByRole("row", { name: /^lawn .*treated by/ }).innerText();
    const before = await lawn();
    const answers: number[] = [];
    page.on("response", (response) => {
      if (response.url().endsWith("/api/plan/zones")) answers.push(response.status());
    });
    await page.locator("summary", { hasText: "Move a corner" }).click();
    await page.getByLabel("Shape", { exact: true }).selectOption({ label: "house (Building)" });
    for (let step = 0; step < 3; step += 1) await page.getByRole("button", { name: "North" }).click();
    await expect.poll(lawn, PATIENCE).not.toBe(before);
    await expect.poll(() => answers, PATIENCE).toContain(200);
    expect(asked).toBe(1);
    // The browser itself tells of the script, and of the service worker that was kept away.
    expect(faults.filter((fault) => !/404|broken|Service Worker/.test(fault))).toEqual([]);
    await context.close();
  },
);
