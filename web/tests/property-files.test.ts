// Files, photos and positions that are taken in.
import { afterAll, beforeAll, expect, test } from "vitest";
import {
  keep,
  kept,
  mapped,
  openAt,
  reader,
  save,
  shape,
  squareFeet,
  tool,
  twins,
  until,
} from "./map-support";
import { SIZES, barriers, closeBrowser, house, sizes, type House } from "./support";

let home: House;

beforeAll(async () => {
  home = await house();
});
afterAll(async () => {
  await closeBrowser();
  await home.stop();
});

test.each(sizes)("wrong files are told, one by one, and nothing is lost: %s", async (size) => {
  const thing = await keep(home, "Wrong files", twins());
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto(`/properties/${thing}`);
  await mapped(page);
  const take = (name: string, body: string) =>
    page
      .getByLabel("Take in a map: GeoJSON, KML or GPX")
      .setInputFiles({ name, mimeType: "application/octet-stream", buffer: Buffer.from(body) });
  for (const [name, body, says] of [
    ["plan.pdf", "%PDF-1.7 and so on", "the file is a PDF, which holds a picture of a map and no shapes"],
    ["broken.geojson", '{"type": "FeatureCollection",\n "features": [}', "this is not JSON"],
    ["other.xml", "<note><to>nobody</to></note>", "the file is XML of another kind"],
    ["torn.kml", "<kml><Placemark>", "the file is XML that breaks off"],
    ["empty.gpx", "", "the file is empty"],
  ] as const) {
    await take(name, body);
    await page.getByRole("alert").getByText(says).waitFor();
    await page.getByText(`Nothing of ${name} was taken in, and the map is as it was.`).waitFor();
  }
  expect(await page.locator("button.shape").count()).toBe(3);
  // An outline that crosses itself is told, may be taken in, and is mended or taken back on the map.
  const crossing = {
    type: "Feature",
    id: "pond",
    properties: { kind: "water" },
    geometry: {
      type: "Polygon",
      coordinates: [
        [
          [-97.6199, 38.8401],
          [-97.6198, 38.84015],
          [-97.6198, 38.8401],
          [-97.6199, 38.84015],
          [-97.6199, 38.8401],
        ],
      ],
    },
  };
  await take("crossing.geojson", JSON.stringify(crossing));
  await page.getByRole("alert").getByText("the ring crosses itself").waitFor();
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("button", { name: "Take in 1 shape" }).click();
  await shape(page, "pond").waitFor();
  await page.locator(".told ol").getByText("the ring crosses itself").waitFor();
  await page
    .getByRole("button", { name: /^Show on the map/ })
    .first()
    .click();
  await save(page);
  await page.getByRole("alert").getByText("the ring crosses itself").waitFor();
  await tool(page, "Undo").click();
  await page.getByText("All is saved.").waitFor();
  expect((await kept(home, thing)).map.features).toHaveLength(3);
  expect(faults.filter((fault) => !fault.includes("status of 422"))).toEqual([]);
  await context.close();
});

test.each(sizes)("what has one mend only is mended on request, and undone: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/properties/new");
  // Three tenths of a foot beyond the boundary are a slip of the pencil.
  const map = twins(["drive", "paved", [80, 20, 20.3, 20]]);
  await page
    .getByLabel("Take in a map: GeoJSON, KML or GPX")
    .setInputFiles({ name: "slip.geojson", mimeType: "application/json", buffer: Buffer.from(map) });
  await page.getByRole("button", { name: "Take in 4 shapes" }).click();
  await mapped(page);
  const wrong = page.locator(".told ol").getByText("outside the boundary");
  await wrong.waitFor();
  await page.getByText("Areas of the lot are told when nothing on the map is wrong.").waitFor();
  await page.getByRole("button", { name: "Mend it for me" }).click();
  await page.getByText(/^Mended: drive clipped/).waitFor({ state: "attached" });
  await wrong.waitFor({ state: "detached" });
  await page.getByText("Lawn, what is left of the lot").waitFor();
  await page.getByRole("button", { name: "Mend it for me" }).click();
  await page.getByRole("alert").getByText("Nothing here has one mend only").waitFor();
  await tool(page, "Undo").click();
  await wrong.waitFor();
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)("KML and GPX are taken in, each shape as what a person says it is: %s", async (size) => {
  const { context, page, faults } = await reader(home.origin, size);
  await page.goto("/properties/new");
  const ring = "-97.62,38.84,0 -97.6196,38.84,0 -97.6196,38.8403,0 -97.62,38.8403,0 -97.62,38.84,0";
  const kml = `<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>
    <Placemark><name>The lot</name><ExtendedData><Data name="kind"><value>boundary</value></Data></ExtendedData>
      <Polygon><outerBoundaryIs><LinearRing><coordinates>${ring}</coordinates></LinearRing></outerBoundaryIs></Polygon>
    </Placemark>
    <Placemark><name>Bees</name><Point><coordinates>-97.6197,38.8401</coordinates></Point></Placemark>
  </Document></kml>`;
  const files = page.getByLabel("Take in a map: GeoJSON, KML or GPX");
  await files.setInputFiles({ name: "lot.kml", mimeType: "text/xml", buffer: Buffer.from(kml) });
  await page.getByLabel("What Bees is").selectOption("hive");
  await page.getByRole("button", { name: "Take in 2 shapes" }).click();
  await mapped(page);
  await shape(page, "The lot").waitFor();
  const points = [
    [38.84005, -97.6199],
    [38.84005, -97.6198],
    [38.84015, -97.6198],
    [38.84015, -97.6199],
    [38.84005, -97.6199],
  ].map(([latitude, longitude]) => `<trkpt lat="${latitude}" lon="${longitude}"/>`);
  const gpx = `<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">
    <trk><name>Round the bed</name><trkseg>${points.join("")}</trkseg></trk></gpx>`;
  await files.setInputFiles({ name: "walk.gpx", mimeType: "text/xml", buffer: Buffer.from(gpx) });
  expect(await page.getByLabel("Close Round the bed to an area").isChecked()).toBe(true);
  await page.getByLabel("What Round the bed is").selectOption("ornamental");
  await page.getByRole("button", { name: "Take in 1 shape" }).click();
  await until(
    () => squareFeet(page, "Round the bed"),
    (area) => area > 900,
  );
  await page.getByLabel("Name", { exact: true }).fill("Imported");
  await save(page);
  await page.getByRole("heading", { level: 1, name: "Imported" }).waitFor();
  const { map } = await kept(home, new URL(page.url()).pathname.split("/").pop()!);
  expect(map.features.map((one) => [one.id, one.properties.kind, one.geometry.type])).toEqual([
    ["the-lot", "boundary", "Polygon"],
    ["bees", "hive", "Point"],
    ["round-the-bed", "ornamental", "Polygon"],
  ]);
  expect(faults).toEqual([]);
  await context.close();
});

test.each(sizes)(
  "a photo is laid under the map, scaled by two places, and is there after loading again: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    const map = await openAt(page);
    const png = await page.evaluate(async () => {
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [400, 300];
      const pen = canvas.getContext("2d")!;
      pen.fillStyle = "#8a6";
      pen.fillRect(0, 0, 400, 300);
      pen.fillStyle = "#530";
      pen.fillRect(20, 20, 100, 60);
      const blob = await new Promise<Blob>((resolve) => canvas.toBlob((made) => resolve(made!), "image/png"));
      return [...new Uint8Array(await blob.arrayBuffer())];
    });
    await page
      .getByLabel("Photo", { exact: true })
      .setInputFiles({ name: "wrong.txt", mimeType: "text/plain", buffer: Buffer.from("no picture") });
    await page.getByRole("alert").getByText("wrong.txt is no picture").waitFor();
    await page
      .getByLabel("Photo", { exact: true })
      .setInputFiles({ name: "above.png", mimeType: "image/png", buffer: Buffer.from(png) });
    await page.getByRole("button", { name: "Press the two places" }).click();
    // The button stands far below the map on a phone: the page goes back to it.
    await expect
      .poll(async () => {
        const { y, height } = (await map.target.boundingBox())!;
        return y >= -1 && y + height <= SIZES[size].height;
      })
      .toBe(true);
    await map.press(10, 20);
    await map.press(30, 20);
    const shown = async (label: string) => Number(await page.getByLabel(label).inputValue());
    await until(
      () => shown("Place B, east"),
      (east) => Math.abs(east - 30) < 0.5,
    );
    await page.getByLabel("Distance from A to B").fill("50");
    await page.getByRole("button", { name: "Scale the photo" }).click();
    await page.getByText("The photo was scaled.").waitFor();
    const east = (await shown("Place B, east")) - (await shown("Place A, east"));
    expect(Math.abs(east - 50)).toBeLessThan(0.02);
    await page.getByLabel("Turn clockwise by").fill("15");
    await page.getByRole("button", { name: "Turn", exact: true }).click();
    await page.getByLabel("World file (.jgw, .pgw, .wld)").setInputFiles({
      name: "a.pgw",
      mimeType: "text/plain",
      buffer: Buffer.from("0.3\n0\n0\n-0.3\n600000\n4300000"),
    });
    await page.getByRole("alert").getByText("does not count in degrees").waitFor();
    await page.getByLabel("World file (.jgw, .pgw, .wld)").setInputFiles({
      name: "a.pgw",
      mimeType: "text/plain",
      buffer: Buffer.from("1e-6\n0\n0\n-1e-6\n-97.6202\n38.8403"),
    });
    await page.getByText("The photo lies where the world file says.").waitFor();
    await page.waitForTimeout(300);
    const colour = () =>
      page.evaluate(() => {
        const canvas = document.querySelector<HTMLCanvasElement>("canvas.backdrop")!;
        return [
          ...canvas.getContext("2d")!.getImageData(canvas.width / 2, canvas.height / 2, 1, 1).data,
        ].slice(0, 3);
      });
    const [red, green, blue] = await colour();
    expect(green! > red! && red! > blue!, `the photo's green, not ${[red, green, blue].join()}`).toBe(true);
    expect(await barriers(page)).toEqual([]);
    await page.reload();
    await mapped(page);
    await page.getByRole("button", { name: "Take the photo away" }).waitFor();
    await page.getByRole("button", { name: "Take the photo away" }).click();
    await page.getByRole("button", { name: "Press the two places" }).waitFor({ state: "detached" });
    expect(faults).toEqual([]);
    await context.close();
  },
);

test.each(sizes)(
  "a boundary is walked: readings are averaged at each stop, and the accuracy is told: %s",
  async (size) => {
    const { context, page, faults } = await reader(home.origin, size);
    await context.grantPermissions(["geolocation"], { origin: home.origin });
    const stand = (latitude: number, longitude: number, accuracy: number) =>
      context.setGeolocation({ latitude, longitude, accuracy });
    await stand(38.84, -97.62, 5);
    await openAt(page);
    await page.getByRole("button", { name: "Walk a boundary" }).click();
    await page.getByText("Go to the next corner, stand still, and say so.").waitFor();
    const stands = page.getByRole("button", { name: "I stand at a corner" });
    await stands.click();
    await stand(38.84, -97.62, 4);
    await page.getByText("Off by up to 13.12 ft. 1 reading at this stop").waitFor();
    await stand(38.840002, -97.62, 3);
    await page.getByText("2 readings at this stop").waitFor();
    expect(await barriers(page)).toEqual([]);
    // Whoever walks has the map and the button on one screen.
    const [map, button] = [
      page.locator("[data-view]"),
      page.getByRole("button", { name: "Take this corner" }),
    ];
    const [above, below] = [(await map.boundingBox())!, (await button.boundingBox())!];
    expect(below.y + below.height - above.y).toBeLessThan(SIZES.phone.height);
    await page.getByRole("button", { name: "Take this corner" }).click();
    for (const [corner, latitude, longitude] of [
      [2, 38.84, -97.6196],
      [3, 38.8403, -97.6196],
      [4, 38.8403, -97.62],
    ] as const) {
      // Readings of the way are not of the corner, however near it they are: half a metre here.
      await stand(latitude, longitude + 0.000006, 8);
      await page.getByText("Go to the next corner, stand still, and say so.").waitFor();
      await stands.click();
      await stand(latitude, longitude, 3);
      await page.getByText("1 reading at this stop").waitFor();
      await page.getByRole("button", { name: "Take this corner" }).click();
      await page.getByText(`Corner ${corner} was taken.`).waitFor();
    }
    await page.locator("section.tools").getByRole("button", { name: "Finish" }).click();
    const area = await until(
      () => squareFeet(page, "boundary"),
      (found) => found > 0,
    );
    // 0.0004 by 0.0003 degrees there: 34.7 m by 33.3 m.
    expect(area).toBeGreaterThan(12_200);
    expect(area).toBeLessThan(12_600);
    await page.getByRole("button", { name: "Walk a boundary" }).waitFor();
    expect(faults).toEqual([]);
    await context.close();
  },
);
