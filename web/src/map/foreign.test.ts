import { expect, test } from "vitest";
import { closedLine, readForeign } from "./foreign";
import { partsOf } from "./document";
import { BadXml, readXml } from "./xml";

const file = (name: string, text: string) => new File([text], name);

test("KML with folders, prefixes, holes and several shapes of one placemark", async () => {
  const text = `\ufeff<?xml version="1.0"?><!-- a map -->
  <k:kml xmlns:k="http://www.opengis.net/kml/2.2"><k:Folder><k:Placemark><k:name>A &amp; <![CDATA[<B>]]></k:name>
    <k:MultiGeometry>
      <k:Polygon>
        <k:outerBoundaryIs><k:LinearRing><k:coordinates>0,0 4,0 4,4 0,4 0,0</k:coordinates></k:LinearRing></k:outerBoundaryIs>
        <k:innerBoundaryIs><k:LinearRing><k:coordinates>1,1,5 2,1,5 2,2,5 1,1,5</k:coordinates></k:LinearRing></k:innerBoundaryIs>
      </k:Polygon>
      <k:Point><k:coordinates> 7,8 </k:coordinates></k:Point>
    </k:MultiGeometry></k:Placemark></k:Folder></k:kml>`;
  const read = await readForeign(file("a.kml", text));
  if (!("map" in read)) throw new Error("not read");
  const [area, point] = read.map.features;
  expect(area?.json.properties).toEqual({ name: "A & <B>" });
  expect(partsOf(area!)[0]?.runs.map((run) => run.length)).toEqual([4, 3]);
  expect(point?.json.geometry).toEqual({ type: "Point", coordinates: [7, 8] });
});

test("GPX: places, routes, and each segment of a track", async () => {
  const text = `<gpx><wpt lat="1" lon="2"><name>well</name></wpt>
    <rte><rtept lat="1" lon="1"/><rtept lat="2" lon="1"/></rte>
    <trk><name>round</name><trkseg><trkpt lat="0" lon="0"/><trkpt lat="0" lon="1"/><trkpt lat="1" lon="1"/></trkseg>
    <trkseg><trkpt lat="5" lon="5"/><trkpt lat="6" lon="6"/></trkseg></trk></gpx>`;
  const read = await readForeign(file("a.gpx", text));
  if (!("map" in read)) throw new Error("not read");
  expect(read.map.features.map((one) => (one.json.geometry as { type: string }).type)).toEqual([
    "Point",
    "LineString",
    "LineString",
    "LineString",
  ]);
  expect(closedLine(read.map.features[2]!).json.geometry).toEqual({
    type: "Polygon",
    coordinates: [
      [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 0],
      ],
    ],
  });
});

test("XML that breaks off tells its line", () => {
  for (const [text, line] of [
    ["<a>\n<b></a>", 2],
    ["<a>\n\n", 3],
    ["<a></a>\n<b></b>", 2],
    ["<a", 1],
    ["words", 1],
  ] as const) {
    expect(() => readXml(text), text).toThrow(new BadXml(line));
  }
});

test("what holds no shapes says what it is", async () => {
  for (const [text, code] of [
    ["%PDF-1.4", "pages::pdf"],
    ["PK\u0003\u0004", "pages::packed"],
    [" ", "pages::empty"],
    ["<html></html>", "pages::xml-kind"],
    ["<kml><Document></Document></kml>", "pages::no-shapes"],
  ] as const) {
    const read = await readForeign(file("file", text));
    expect("problems" in read && read.problems[0]).toMatchObject({ code, file: "file" });
  }
  expect(await readForeign(file("a.json", "{"))).toEqual({ unreadable: "{" });
});
