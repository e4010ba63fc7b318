// Two people at one label and at one sprayer: nothing is overwritten, and one of them puts both together.
import type { Page } from "playwright-core";
import { afterAll, afterEach, beforeEach, describe, expect, test } from "vitest";
import { demoFile } from "./demo";
import { askedAs, closeBrowser, company, hire, person, sizes, type House, type Reader } from "./support";

let home: House;
let mara: Reader;
let noor: Reader;

afterAll(closeBrowser);

const field = (page: Page, path: string) => page.locator(`[id="f-${path}"]`);
const meeting = (page: Page) => page.getByRole("dialog", { name: "Somebody kept another version meanwhile" });
const part = (page: Page, name: string) => meeting(page).getByRole("group", { name, exact: true });

async function openBoth(path: string): Promise<void> {
  for (const { page } of [mara, noor]) {
    await page.goto(path);
    await page.getByText("All is kept.").waitFor();
  }
}

/** Fills in, once the form has what was typed before. */
async function fill(page: Page, values: Record<string, string>): Promise<void> {
  for (const [path, value] of Object.entries(values)) {
    const control = field(page, path);
    await control.evaluate((element) => {
      for (let fold = element.closest("details"); fold; fold = fold.parentElement?.closest("details") ?? null)
        fold.open = true;
    });
    await control.fill(value);
  }
}

/** Keeps what stands there, once the check is content with it. */
async function keep(page: Page): Promise<void> {
  await page.locator(".standing[aria-busy=false]").waitFor();
  await page.getByRole("button", { name: /^Keep the (label|equipment)$/ }).click();
}

const refusals = (faults: string[]) => faults.filter((fault) => !fault.includes("412"));

// The second of the two at this size, the first at the other one.
describe.each(sizes)("at the size of a %s", (size) => {
  beforeEach(async () => {
    home = await company();
    mara = await person(home, "mara", size === "phone" ? "desk" : "phone");
    await hire(mara.page, "noor");
    noor = await person(home, "noor", size);
  });
  afterEach(async () => {
    await mara.context.close();
    await noor.context.close();
    await home.stop();
  });

  test("two people change one label: each part is settled by itself, by keys alone", async () => {
    const { thing } = await askedAs<{ thing: string }>(mara.page, "POST", "/api/labels", {
      format: "tussock.kept-label/1",
      id: "brackwater-sc",
      label: demoFile("labels/brackwater-sc.toml"),
    });
    await openBoth(`/shelf/labels/${thing}`);
    await fill(mara.page, {
      "product.net_contents": "2 US gallons",
      "restraints.wind.at_most": "9 mph",
      "restraints.temperature.at_most": "85 °F",
    });
    await mara.page.locator("summary", { hasText: "The container in hand" }).click();
    await mara.page.locator("#compared-by").fill("Mara (invented)");
    await keep(mara.page);
    await mara.page.getByText("All is kept.").waitFor();

    const { page } = noor;
    await fill(page, { "product.registrant": "Renamed (invented)", "restraints.wind.at_most": "8 mph" });
    await page.locator("summary", { hasText: "The container in hand" }).click();
    await page.locator("#note").fill("Read at the shop (invented)");
    await page.locator(".standing[aria-busy=false]").waitFor();
    await page.getByRole("button", { name: "Keep the label" }).focus();
    await page.keyboard.press("Enter");
    await meeting(page).getByText("mara kept version 2 while you worked.", { exact: false }).waitFor();
    expect(await meeting(page).getByRole("group").count()).toBe(6);
    // What one of them alone changed is proposed.
    for (const [name, side] of [
      ["Product: Net contents", "Theirs: 2 US gallons"],
      ["Product: Registrant", "Mine: Renamed (invented)"],
      ["By whom", "Theirs: Mara (invented)"],
      ["Note", "Mine: Read at the shop (invented)"],
    ] as const) {
      expect(await part(page, name).getByLabel(side).isChecked(), name).toBe(true);
    }
    // What both changed is told with what it said before, and waits for a person.
    const wind = part(page, "What binds every use: Wind");
    await wind.getByText("Before: At most 10 mph").waitFor();
    expect(await wind.getByRole("radio", { checked: true }).count()).toBe(0);
    await page.getByRole("button", { name: "Put it together" }).press("Enter");
    await meeting(page).getByRole("alert").getByText("Choose for each what holds.").waitFor();
    const focused = () => page.evaluate(() => document.activeElement?.closest("label")?.innerText.trim());
    await expect.poll(focused).toBe("Mine: At most 8 mph");
    await page.keyboard.press("Space");
    await page.keyboard.press("ArrowDown");
    await expect.poll(focused).toBe("Theirs: At most 9 mph");
    await page.keyboard.press("Escape");
    // Later is a choice, too: the books have hers, the device has his.
    await meeting(page).waitFor({ state: "detached" });
    await page.getByText("Not kept yet. It stays on this device meanwhile.").waitFor();
    await expect
      .poll(() => page.evaluate(() => document.activeElement?.textContent.trim()))
      .toBe("Keep the label");
    await page.keyboard.press("Enter");
    await meeting(page).waitFor();
    await wind.getByLabel("Mine: At most 8 mph").press("Space");
    await page.getByRole("button", { name: "Put it together" }).press("Enter");
    await page.getByText("Both are put together here.", { exact: false }).waitFor();
    expect(await page.evaluate(() => document.activeElement?.tagName)).not.toBe("BODY");
    expect(await field(page, "restraints.temperature.at_most").inputValue()).toBe("85 °F");
    await keep(page);
    await page.getByText("All is kept.").waitFor();

    const kept = await askedAs<Record<string, string>>(page, "GET", `/api/labels/${thing}`);
    for (const told of ["2 US gallons", "Renamed (invented)", "8 mph", "85 °F"])
      expect(kept.label).toContain(told);
    expect(kept.label).not.toContain("9 mph");
    expect([kept.compared_by, kept.note]).toEqual(["Mara (invented)", "Read at the shop (invented)"]);
    const versions = await askedAs<{ actor: string }[]>(page, "GET", `/api/labels/${thing}/versions`);
    expect(versions.map(({ actor }) => actor)).toEqual(["mara", "mara", "noor"]);
    expect([mara.faults, refusals(noor.faults)]).toEqual([[], []]);
  });

  test("labels of two printings are not blended unless a person says so", async () => {
    const text = demoFile("labels/anthollow-rb.toml");
    const { thing } = await askedAs<{ thing: string }>(mara.page, "POST", "/api/labels", {
      format: "tussock.kept-label/1",
      id: "anthollow-rb",
      label: text,
    });
    await openBoth(`/shelf/labels/${thing}`);
    await fill(mara.page, { "product.label_version": "2027-01 (invented)" });
    await keep(mara.page);
    await mara.page.getByText("All is kept.").waitFor();
    const { page } = noor;
    await fill(page, { "product.net_contents": "25 lb" });
    await keep(page);
    await meeting(page).getByText("A container is governed by its own label", { exact: false }).waitFor();
    expect(await meeting(page).getByRole("radio", { checked: true }).count()).toBe(0);
    await meeting(page).getByRole("button", { name: "All theirs" }).click();
    await meeting(page).getByRole("button", { name: "Put it together" }).click();
    await page.getByText("All is kept.").waitFor();
    expect(await field(page, "product.label_version").inputValue()).toBe("2027-01 (invented)");
    const versions = await askedAs<unknown[]>(page, "GET", `/api/labels/${thing}/versions`);
    expect(versions).toHaveLength(2);
    expect([mara.faults, refusals(noor.faults)]).toEqual([[], []]);
  });

  test("two people change one sprayer: a calibration is theirs or mine as a whole", async () => {
    const { thing } = await askedAs<{ thing: string }>(mara.page, "POST", "/api/equipment", {
      format: "tussock.kept-equipment/1",
      name: "Pump (invented)",
      equipment: demoFile("alder-bend/equipment.toml"),
    });
    await openBoth(`/shelf/equipment/${thing}`);
    await fill(mara.page, {
      "equipment[1].flow": "0.4 gal/min",
      "equipment[1].calibration[1].refills": "52 fl oz\n54 fl oz\n53 fl oz",
    });
    await keep(mara.page);
    await mara.page.getByText("All is kept.").waitFor();
    const { page } = noor;
    await fill(page, {
      "equipment[1].tank": "3 gal",
      "equipment[1].calibration[1].area": "240 sq ft",
      "equipment[1].calibration[2].output": "2.1 gal/1,000 sq ft",
    });
    await page.locator("#note").fill("Nozzle was changed (invented)");
    await keep(page);
    await meeting(page).getByText("mara kept version 2", { exact: false }).waitFor();
    const lawn = part(page, "Equipment hand-pump: Calibration lawn");
    await lawn.getByText("Before: Area 250 sq ft; Refills 53 fl oz, 55 fl oz, 54 fl oz").waitFor();
    expect(await lawn.getByRole("radio", { checked: true }).count()).toBe(0);
    const perimeter = part(page, "Equipment hand-pump: Calibration perimeter");
    expect(await perimeter.getByLabel("Mine: Output 2.1 gal").isChecked()).toBe(true);
    expect(await part(page, "Equipment hand-pump: Flow").getByLabel("Theirs: 0.4").isChecked()).toBe(true);
    await lawn.getByLabel("Theirs: Area 250 sq ft; Refills 52").check();
    await meeting(page).getByRole("button", { name: "Put it together" }).click();
    await page.getByText("Both are put together here.", { exact: false }).waitFor();
    // What is put together is on the device until it is kept.
    await page.reload();
    await page.getByText("was found on this device", { exact: false }).waitFor();
    await page.getByText("Plans can use it.").waitFor();
    await keep(page);
    await page.getByText("All is kept.").waitFor();
    const kept = await askedAs<Record<string, string>>(page, "GET", `/api/equipment/${thing}`);
    for (const told of ["0.4 gal/min", "3 gal", "250 sq ft", "52 fl oz", "2.1 gal/1,000 sq ft"])
      expect(kept.equipment).toContain(told);
    expect(kept.equipment).not.toContain("240 sq ft");
    expect(kept.note).toBe("Nozzle was changed (invented)");

    // All mine is mine, and still a version of its own.
    await fill(mara.page, { "equipment[1].tank": "4 gal" });
    await keep(mara.page);
    await meeting(mara.page).getByText("noor kept version 3", { exact: false }).waitFor();
    await meeting(mara.page).getByRole("button", { name: "All mine" }).click();
    await meeting(mara.page).getByRole("button", { name: "Put it together" }).click();
    await mara.page.getByText("Both are put together here.", { exact: false }).waitFor();
    await keep(mara.page);
    await mara.page.getByText("All is kept.").waitFor();
    const last = await askedAs<Record<string, string>>(page, "GET", `/api/equipment/${thing}`);
    expect(last.equipment).toContain("4 gal");
    expect([refusals(mara.faults), refusals(noor.faults)]).toEqual([[], []]);
  });
});
