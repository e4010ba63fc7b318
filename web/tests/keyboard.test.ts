// One path by keyboard alone, as somebody without a pointer goes it: from empty books to a plan on one's own property.
import type { FileChooser, Page } from "playwright-core";
import { afterAll, describe, expect, test } from "vitest";
import { barriers, closeBrowser, house, keepDemo, reader, sizes } from "./support";

afterAll(closeBrowser);

/** What has the focus, and how it stands. */
interface Focus {
  isBody: boolean;
  name: string;
  isSeen: boolean;
}

/**
 * Two hands on a keyboard, and nothing else: the page is read, and acted on by keys alone. After every key something
 * other than the body has the focus, is on the screen, and is seen to have it.
 */
class Hands {
  private readonly choosers: FileChooser[] = [];

  constructor(private readonly page: Page) {
    // Listening from the start: a chooser that opens before the browser is told to hand it over is gone unseen.
    page.on("filechooser", (chooser) => this.choosers.push(chooser));
  }

  private async focus(): Promise<Focus> {
    return this.page.evaluate(() => {
      const active = document.activeElement ?? document.body;
      const style = getComputedStyle(active);
      const box = active.getBoundingClientRect();
      const isOn = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
      const outline = style.outlineStyle !== "none" && Number.parseFloat(style.outlineWidth) >= 2;
      const name = `${active.tagName.toLowerCase()}#${active.id} ${active.textContent?.trim().slice(0, 60)}`;
      return { isBody: active === document.body, name, isSeen: isOn && outline };
    });
  }

  /** Waits until the focus stands where it may be, as a person who looks would. */
  private async stands(after: string): Promise<void> {
    let focus = await this.focus();
    for (let turn = 0; turn < 20 && (focus.isBody || !focus.isSeen); turn += 1) {
      await this.page.waitForTimeout(25);
      focus = await this.focus();
    }
    expect(focus.isBody, `the focus is lost after ${after}`).toBe(false);
    expect(focus.isSeen, `the focus on ${focus.name} is not seen after ${after}`).toBe(true);
  }

  async press(key: string): Promise<void> {
    await this.page.keyboard.press(key);
    await this.stands(key);
  }

  /** Tabs to what a selector finds, onward or back as it lies. */
  async to(selector: string, text?: string): Promise<void> {
    const found =
      text === undefined ? this.page.locator(selector) : this.page.locator(selector, { hasText: text });
    const wanted = await found.first().elementHandle();
    if (wanted === null) throw new Error(`${selector} is not there`);
    for (let turn = 0; turn < 400; turn += 1) {
      const way = await wanted.evaluate((element) => {
        const active = document.activeElement ?? document.body;
        if (active === element) return "here";
        const isBehind = active.compareDocumentPosition(element) & Node.DOCUMENT_POSITION_FOLLOWING;
        return isBehind ? "Tab" : "Shift+Tab";
      });
      if (way === "here") return;
      await this.press(way);
    }
    throw new Error(`${selector} cannot be reached`);
  }

  /** Presses a button, link or fold. */
  async use(selector: string, text?: string): Promise<void> {
    await this.to(selector, text);
    await this.press("Enter");
  }

  /** Types in the place of what a field holds. */
  async type(selector: string, text: string): Promise<void> {
    await this.to(selector);
    await this.page.keyboard.press("ControlOrMeta+a");
    await this.page.keyboard.type(text);
    await this.stands(`typing ${text}`);
  }

  /** Chooses from a list, by its words. */
  async choose(selector: string, word: string): Promise<void> {
    await this.to(selector);
    const chosen = () =>
      this.page.locator(selector).evaluate((list) => (list as HTMLSelectElement).selectedOptions[0]?.text);
    await this.page.keyboard.type(word);
    if ((await chosen()) !== word) {
      await this.press("Home");
      for (let turn = 0; turn < 60 && (await chosen()) !== word; turn += 1) await this.press("ArrowDown");
    }
    expect(await chosen()).toBe(word);
    await this.stands(`choosing ${word}`);
  }

  /** Gives a file to the chooser that a key opens. */
  async give(selector: string, name: string, text: string): Promise<void> {
    await this.to(selector);
    const before = this.choosers.length;
    await this.press("Space");
    await expect.poll(() => this.choosers.length, { timeout: 20_000 }).toBe(before + 1);
    await this.choosers[before]!.setFiles({ name, mimeType: "text/csv", buffer: Buffer.from(text) });
    await this.stands("giving a file");
  }
}

/** Every page leads with its landmarks and one heading of the first rank. */
async function leads(page: Page, title: string | RegExp): Promise<void> {
  await page.getByRole("heading", { level: 1, name: title }).waitFor();
  expect(await page.getByRole("heading", { level: 1 }).count()).toBe(1);
  for (const landmark of ["banner", "main", "contentinfo"] as const) {
    expect(await page.getByRole(landmark).count(), landmark).toBe(1);
  }
  expect(
    await page
      .getByRole("main")
      .getByRole("heading")
      .first()
      .evaluate((one) => one.tagName),
  ).toBe("H1");
}

const id = (path: string) => `[id="f-${path}"]`;

describe.each(sizes)("at the size of a %s", (size) => {
  test("from empty books to a plan on one's own property without a pointer", async () => {
    const home = await house();
    const { context, page, faults } = await reader(home.origin, size);
    await page.addInitScript(() => {
      const pointed = (event: Event) => {
        if (event.isTrusted) throw new Error(`a pointer was used: ${event.type}`);
      };
      for (const kind of ["pointerdown", "mousedown", "touchstart"]) addEventListener(kind, pointed, true);
    });
    const hands = new Hands(page);
    const toStart = async () => {
      if (size === "phone") await hands.use("header button", "Pages");
      await hands.use("nav a", "Start");
      await leads(page, "Start");
    };

    // The first stop of every page is the way past the menu.
    await page.goto("/");
    await page.getByRole("heading", { level: 2, name: "Three steps to a first plan" }).waitFor();
    await leads(page, "Start");
    await hands.press("Tab");
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe("To the page");
    await hands.press("Enter");
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("page");
    await hands.use("main a", "Draw a property");

    // The lot as a rectangle by lengths, one edge typed anew, a house on it.
    await leads(page, "New property");
    await hands.type("#latitude", "38.84");
    await hands.type("#longitude", "-97.62");
    await hands.press("Enter");
    await page.getByRole("group", { name: /^Map of/ }).waitFor();
    const rectangle = async (kind: string, from: [string, string], lengths: [string, string]) => {
      await hands.choose("form.add select >> nth=0", kind);
      const inputs = "form.add input >> nth=";
      await hands.type(`${inputs}0`, from[0]);
      await hands.type(`${inputs}1`, from[1]);
      await hands.type(`${inputs}2`, lengths[0]);
      await hands.type(`${inputs}3`, lengths[1]);
      await hands.use("form.add button[type=submit]");
    };
    await rectangle("Boundary of the lot", ["0", "0"], ["100", "80"]);
    await page.locator("button.shape").first().waitFor();
    await hands.type('input[aria-label^="Length from corner 1"]', "110");
    await hands.press("Tab");
    await page.getByText("8,400 sq ft", { exact: false }).first().waitFor();
    await rectangle("Building", ["30", "30"], ["30", "20"]);
    await page.getByText("600.0 sq ft").first().waitFor();
    // A shape that was drawn by mistake is taken away again, and the focus stays in the list.
    await rectangle("Paving", ["5", "5"], ["4", "4"]);
    await page.locator("button.shape", { hasText: "Paving" }).waitFor();
    await hands.use(".told .last button", "Delete");
    await page.locator("button.shape", { hasText: "Paving" }).waitFor({ state: "detached" });
    await hands.type("#property-name", "By keyboard");
    await hands.press("Enter");
    await page.waitForURL(/\/properties\/[0-9a-f-]{36}$/);
    await leads(page, "By keyboard");
    expect(await barriers(page)).toEqual([]);
    await toStart();

    // The label in hand, word for word.
    await hands.use("main a", "Enter a label");
    await leads(page, "New label");
    await page.locator(".standing[aria-busy=false]").waitFor();
    const fill = async (values: Record<string, string>) => {
      for (const [path, value] of Object.entries(values)) {
        const isList = (await page.locator(id(path)).evaluate((one) => one.tagName)) === "SELECT";
        if (isList) await hands.choose(id(path), value);
        else await hands.type(id(path), value);
      }
    };
    const sentence = (path: string, text: string) => ({
      [`${path}.text`]: text,
      [`${path}.page`]: "2",
      [`${path}.strength`]: "mandatory",
    });
    const put = async (within: string, what: string) => {
      await hands.choose(id(`${within}-add`), what);
      await hands.press("Tab");
      await hands.press("Enter");
    };
    await fill({
      id: "fenmoor-sc",
      "product.name": "Fenmoor 1 SC (invented)",
      "product.label_version": "2026-03 (invented)",
      "product.use_class": "unclassified",
      "product.formulation": "SC",
      "product.signal_word": "caution",
      "product.active_ingredient[1].name": "inventrin",
      "product.active_ingredient[1].percent": "10",
    });
    for (const list of ["Precautions", "First aid", "Storage and disposal", "Use"]) {
      await hands.use("button", `Add ${list}`);
    }
    await fill({
      ...sentence("precaution[1]", "CAUTION. Harmful if swallowed."),
      ...sentence("first_aid[1]", "If swallowed: call a poison control center."),
      ...sentence("storage_and_disposal[1]", "Store in the original container."),
      "use[1].id": "lawn",
      ...sentence("use[1]", "Lawns: apply 0.2 to 0.4 fl oz per 1,000 sq ft."),
      "use[1].method": "broadcast",
    });
    await hands.to(`${id("use[1].sites")} input >> nth=0`);
    await hands.press("Space");
    await put("use[1]", "Pest");
    await fill({ "use[1].pest[1].name": "grasshopper" });
    await put("use[1]", "Rate");
    await fill({
      ...sentence("use[1].rate", "Apply 0.2 to 0.4 fl oz per 1,000 sq ft."),
      "use[1].rate.lowest": "0.2 fl oz/1,000 sq ft",
      "use[1].rate.highest": "0.4 fl oz/1,000 sq ft",
    });
    await put("use[1]", "Carrier");
    await fill({
      ...sentence("use[1].carrier", "Apply in 1 to 4 gallons of water per 1,000 sq ft."),
      "use[1].carrier.at_least": "1 gal/1,000 sq ft",
      "use[1].carrier.at_most": "4 gal/1,000 sq ft",
    });
    await page.getByText("Plans can use it.").waitFor();
    await hands.use("main button", "Keep the label");
    await page.waitForURL(/\/shelf\/labels\/[0-9a-f-]{36}$/);
    await leads(page, "Fenmoor 1 SC (invented)");
    await toStart();

    // The sprayer with its calibration.
    await hands.use("main a", "Enter a sprayer");
    await leads(page, "New sprayer");
    await page.locator(".standing[aria-busy=false]").waitFor();
    await hands.type("#name", "Backpack");
    await fill({
      "equipment[1].id": "backpack",
      "equipment[1].kind": "backpack",
      "equipment[1].tank": "4 gal",
      "equipment[1].flow": "0.4 gal/min",
      "equipment[1].graduations": "0.1 fl oz",
    });
    await put("equipment[1]", "Calibration");
    await fill({
      "equipment[1].calibration[1].name": "lawn",
      "equipment[1].calibration[1].method": "test-area",
      "equipment[1].calibration[1].area": "250 sq ft",
      "equipment[1].calibration[1].refills": "53 fl oz\n55 fl oz\n54 fl oz",
    });
    await page.getByText("Plans can use it.").waitFor();
    await hands.use("main button", "Keep the equipment");
    await page.waitForURL(/\/shelf\/equipment\/[0-9a-f-]{36}$/);
    await toStart();

    // The visit: what was found, a task, the forecast of the day.
    await hands.use("main a", "Plan a visit at By keyboard");
    await leads(page, "By keyboard");
    await hands.type("#pest", "grasshopper");
    await hands.type("#stage", "nymph");
    await hands.type("#basis", "caught in a net");
    await hands.use("main button", "Add a task");
    await hands.type("#task-0-id", "front lawn");
    const day = await page.locator("#date").inputValue();
    const rows = ["start,temperature_f,wind_mph,gust_mph,wind_from_deg,rain_in"];
    for (let hour = 5; hour < 22; hour += 1) {
      rows.push(`${day}T${String(hour).padStart(2, "0")}:00-06:00,70,5,7,180,0`);
    }
    await hands.give("#forecast-file", "forecast.csv", rows.join("\n"));
    await page
      .getByText(/^Start between \d\d:\d\d and \d\d:\d\d\.$/)
      .first()
      .waitFor();
    expect(await page.locator(".whole").getAttribute("data-verdict")).not.toBe("refused");
    await page.getByRole("row", { name: /treated by front lawn/ }).waitFor();
    const amount = page
      .getByRole("region", { name: /^front lawn:/ })
      .locator("dd")
      .first();
    expect(await amount.innerText()).toMatch(/[1-9][\d.,]* fl oz/);
    expect(await barriers(page)).toEqual([]);
    await hands.use("main button", "Keep the visit");
    await page.waitForURL(/\/visits\/[0-9a-f-]{36}$/);
    await page.getByText("All is kept.").waitFor();

    // Each part is one jump away, and has the focus when it is reached; so is the paper.
    for (const [link, heading] of [
      ["Verdict", "verdict"],
      ["Ground", "ground"],
      ["Amounts", "amounts"],
      ["Papers", "papers"],
    ] as const) {
      await hands.use("nav.jump a", link);
      expect(await page.evaluate(() => document.activeElement?.id)).toBe(heading);
    }
    const sheet = page.waitForEvent("download");
    await hands.use("main button", "Work sheet (PDF)");
    expect((await sheet).suggestedFilename()).toMatch(/work-sheet\.pdf$/);
    await hands.use("main a", "Print sheet");
    await page.waitForURL(/\/print$/);
    await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
    await hands.to("main button", "Print");
    expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
    await context.close();
    await home.stop();
  }, 300_000);
});

test.each(sizes)("what an action takes away hands the focus on, at the size of a %s", async (size) => {
  const home = await house();
  const { name, property, visit } = await keepDemo(home.origin);
  const { context, page, faults } = await reader(home.origin, size);
  const hands = new Hands(page);
  const focused = () => page.evaluate(() => document.activeElement?.textContent?.trim() ?? "");
  await page.goto(`/properties/${property}`);
  await leads(page, name);
  await page.getByRole("group", { name: /^Map of/ }).waitFor();
  // The pencil takes the place of the tools, and gives it back.
  await hands.use(".tools button.first", "Draw");
  expect(await focused()).toBe("Finish");
  await hands.press("Escape");
  await page.locator(".tools button.first", { hasText: "Draw" }).waitFor();
  await hands.press("Tab");
  // A corner goes, and with it what was pressed.
  await hands.use("button.shape", "house");
  await page.locator(".form table").first().waitFor();
  const corners = page.locator(".form tbody tr");
  const before = await corners.count();
  await hands.to(".form tbody tr >> nth=-1 >> input >> nth=0");
  const take =
    size === "phone" ? ".form .below button >> nth=1" : ".form tbody tr >> nth=-1 >> .deeds button >> nth=1";
  await hands.use(take);
  await expect.poll(() => corners.count()).toBe(before - 1);
  await hands.press("Shift+Tab");
  // A dialog whose opener is gone when it closes.
  await hands.use("#save button", "Drop the draft");
  await page.getByRole("dialog").waitFor();
  await hands.press("Enter");
  await page
    .getByText("All is saved", { exact: false })
    .or(page.locator("button.shape").first())
    .first()
    .waitFor();
  await hands.press("Tab");
  // A task of a visit goes with its button.
  await page.goto(`/visits/${visit}`);
  await page.getByRole("heading", { level: 2, name: "Amounts" }).waitFor();
  await hands.use(".asked summary", "Task 2: hedge");
  await hands.use(".asked button", "Take hedge away");
  await page.locator(".asked summary", { hasText: "Task 2: lawn" }).waitFor();
  expect(await focused()).toContain("Task 1: perimeter");
  expect(faults.filter((fault) => !fault.includes("422"))).toEqual([]);
  await context.close();
  await home.stop();
});
