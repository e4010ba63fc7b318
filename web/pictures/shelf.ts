// The shelf: labels, sprayers, stock, drafts, and two people at one label.
import type { Page } from "playwright-core";
import { keptMeanwhile } from "./books";
import { opened, type Pictured, type Stage } from "./pictured";

const field = (page: Page, path: string) => page.locator(`[id="f-${path}"]`);

async function fill(page: Page, path: string, value: string): Promise<void> {
  await field(page, path).evaluate((element) => {
    for (let fold = element.closest("details"); fold; fold = fold.parentElement?.closest("details") ?? null)
      fold.open = true;
  });
  await field(page, path).fill(value);
}

async function ready(page: Page, path: string): Promise<void> {
  await page.goto(path);
  await page.getByText("Plans can use it.").first().waitFor();
}

/** Presses the button that keeps a form, and waits for what somebody else kept meanwhile. */
async function meets(page: Page, button: string): Promise<void> {
  await page.locator(".standing[aria-busy=false]").waitFor();
  await page.getByRole("button", { name: button }).click();
  await page.getByRole("dialog", { name: "Somebody kept another version meanwhile" }).waitFor();
}

const replaced =
  (kind: "label" | "equipment", pairs: readonly (readonly [string | RegExp, string])[]) =>
  (document: Record<string, unknown>) => ({
    ...document,
    [kind]: pairs.reduce((text, [from, to]) => text.replace(from, to), document[kind] as string),
  });

async function labelMeets({ page, books }: Stage): Promise<void> {
  await ready(page, `/shelf/labels/${books.label}`);
  await keptMeanwhile(
    books.noor,
    `/api/labels/${books.label}`,
    replaced("label", [
      ["10 mph", "9 mph"],
      [/^net_contents = .*$/m, 'net_contents = "2 US gallons"'],
    ]),
  );
  await fill(page, "product.registrant", "Renamed (invented)");
  await fill(page, "restraints.wind.at_most", "8 mph");
  await meets(page, "Keep the label");
}

async function printingsMeet({ page, books }: Stage): Promise<void> {
  await ready(page, `/shelf/labels/${books.granules}`);
  await keptMeanwhile(
    books.noor,
    `/api/labels/${books.granules}`,
    replaced("label", [[/^label_version = .*$/m, 'label_version = "2027-01 (invented)"']]),
  );
  await fill(page, "product.net_contents", "25 lb");
  await meets(page, "Keep the label");
}

async function equipmentMeets({ page, books }: Stage): Promise<void> {
  await ready(page, `/shelf/equipment/${books.equipment}`);
  await keptMeanwhile(
    books.noor,
    `/api/equipment/${books.equipment}`,
    replaced("equipment", [['"53 fl oz", "55 fl oz", "54 fl oz"', '"52 fl oz", "54 fl oz", "53 fl oz"']]),
  );
  await fill(page, "equipment[1].tank", "3 gal");
  await fill(page, "equipment[1].calibration[1].area", "240 sq ft");
  await meets(page, "Keep the equipment");
}

export const SHELF: readonly Pictured[] = [
  {
    name: "label-new",
    route: "/shelf/labels/new",
    open: async ({ page }) => {
      await page.goto("/shelf/labels/new");
      await page.getByText("Plans cannot use it yet.").first().waitFor();
    },
  },
  {
    name: "label-draft",
    route: "/shelf/labels/new",
    open: async ({ page }) => {
      await page.goto("/shelf/labels/new");
      await fill(page, "product.name", "Fenmoor 1 SC (invented)");
      await page.getByText("Not kept yet. It stays on this device meanwhile.").waitFor();
      await page.goto("/shelf/labels/new");
      await page.getByText("was found on this device", { exact: false }).waitFor();
    },
  },
  {
    name: "label",
    route: "/shelf/labels/:thing",
    open: ({ page, books }) => ready(page, `/shelf/labels/${books.label}`),
  },
  {
    name: "equipment-new",
    route: "/shelf/equipment/new",
    open: async ({ page }) => {
      await page.goto("/shelf/equipment/new");
      await page.getByText("Plans cannot use it yet.").first().waitFor();
    },
  },
  {
    name: "equipment",
    route: "/shelf/equipment/:thing",
    open: ({ page, books }) => ready(page, `/shelf/equipment/${books.equipment}`),
  },
  {
    name: "stock",
    route: "/shelf/stock",
    open: async (stage) => {
      await opened(stage, "/shelf/stock", "Stock");
      await stage.page.getByText("B-0417 (invented)").first().waitFor();
    },
  },
  { name: "label-conflict", route: "/shelf/labels/:thing", open: labelMeets },
  { name: "label-printings", route: "/shelf/labels/:thing", open: printingsMeet },
  { name: "equipment-conflict", route: "/shelf/equipment/:thing", open: equipmentMeets },
  // Behind the others, so that it tells of what is typed and not kept.
  {
    name: "shelf",
    route: "/shelf",
    open: async (stage) => {
      await opened(stage, "/shelf", "Shelf");
      await stage.page.getByText("anthollow-rb").first().waitFor();
    },
  },
];
