// Properties: the list, a new one, one under the pencil, its versions, two people at it.
import type { Page } from "playwright-core";
import { mapped, shape } from "../tests/map-support";
import { keptMeanwhile } from "./books";
import { opened, type Pictured, type Stage } from "./pictured";

async function drawn({ page, books }: Stage): Promise<void> {
  await page.goto(`/properties/${books.property}`);
  await mapped(page);
  await shape(page, "house").click();
  await page.getByText("sq ft").first().waitFor();
}

/** The map of a property with a shape called otherwise. */
function renamed(document: Record<string, unknown>, id: string, name: string): Record<string, unknown> {
  const map = JSON.parse(document.map as string) as {
    features: { id: string; properties: Record<string, unknown> }[];
  };
  const feature = map.features.find((one) => one.id === id) ?? map.features[1]!;
  feature.properties.name = name;
  return { ...document, map: JSON.stringify(map) };
}

/** A photo from above as nobody made one: grass, a roof, a path. */
const paint = (page: Page) =>
  page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [600, 400];
    const pen = canvas.getContext("2d")!;
    for (const [colour, left, top, width, height] of [
      ["#7a9a5a", 0, 0, 600, 400],
      ["#6d8c50", 0, 210, 600, 190],
      ["#9a9488", 270, 0, 40, 400],
      ["#6b4a3a", 340, 90, 170, 130],
      ["#59402f", 340, 90, 170, 65],
    ] as const) {
      pen.fillStyle = colour;
      pen.fillRect(left, top, width, height);
    }
    const blob = await new Promise<Blob>((resolve) => canvas.toBlob((made) => resolve(made!), "image/png"));
    return [...new Uint8Array(await blob.arrayBuffer())];
  });

/** A lot under the pencil with a photo below it; on the draft that the walk began. */
async function withPhoto({ page }: Stage): Promise<void> {
  await page.goto("/properties/new");
  await mapped(page);
  if ((await page.locator("button.shape").count()) === 0) {
    await page.locator("form.add select").first().selectOption({ label: "Boundary of the lot" });
    for (const [at, feet] of ["0", "0", "120", "80"].entries())
      await page.locator("form.add input").nth(at).fill(feet);
    await page.locator("form.add button[type=submit]").click();
    await page.locator("button.shape").first().waitFor();
  }
  await page
    .getByLabel("Photo", { exact: true })
    .setInputFiles({ name: "above.png", mimeType: "image/png", buffer: Buffer.from(await paint(page)) });
  await page.getByRole("button", { name: "Press the two places" }).waitFor();
}

export const PROPERTIES: readonly Pictured[] = [
  {
    name: "properties",
    route: "/properties",
    open: async (stage) => {
      await opened(stage, "/properties", "Properties");
      await stage.page.getByRole("link", { name: "Alder Bend (invented)" }).waitFor();
    },
  },
  {
    name: "property-new",
    route: "/properties/new",
    open: async ({ page }) => {
      await page.goto("/properties/new");
      await page.getByLabel("Latitude").waitFor();
    },
  },
  { name: "property", route: "/properties/:thing", open: drawn },
  {
    name: "property-walk",
    route: "/properties/new",
    open: async ({ page, context }) => {
      await context.setGeolocation({ latitude: 38.84, longitude: -97.62, accuracy: 4 });
      await page.goto("/properties/new");
      await page.getByLabel("Latitude").fill("38.84");
      await page.getByLabel("Longitude").fill("-97.62");
      await page.getByRole("button", { name: "Begin here" }).click();
      await mapped(page);
      await page.getByRole("button", { name: "Walk a boundary" }).click();
      await page.getByRole("button", { name: "I stand at a corner" }).click();
      await context.setGeolocation({ latitude: 38.84, longitude: -97.62, accuracy: 3 });
      await page.getByText("1 reading at this stop").waitFor();
    },
  },
  { name: "property-photo", route: "/properties/new", open: withPhoto },
  {
    name: "property-conflict",
    route: "/properties/:thing",
    open: async (stage) => {
      await drawn(stage);
      const { page, books } = stage;
      await keptMeanwhile(books.noor, `/api/properties/${books.property}`, (document) =>
        renamed(document, "house", "Their house"),
      );
      await page.getByLabel("What people call it").fill("My house");
      await page.getByLabel("What people call it").press("Tab");
      await page.getByRole("button", { name: "Save", exact: true }).click();
      await page.getByRole("dialog").getByText("noor kept version", { exact: false }).waitFor();
    },
  },
  {
    name: "property-versions",
    route: "/properties/:thing/versions",
    open: async (stage) => {
      await stage.page.goto(`/properties/${stage.books.property}/versions`);
      await stage.page.getByRole("heading", { level: 1 }).waitFor();
      await mapped(stage.page);
    },
  },
];
