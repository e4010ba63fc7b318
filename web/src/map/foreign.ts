import type { Problem } from "../service/problem";
import { NoMap, isObject, newFeature, readMap, textOf, type MapFeature, type PropertyMap } from "./document";
import { BadXml, all, child, readXml, type Element } from "./xml";
import { foreignWords as words } from "../words/property";

/** What a file holds that a map can be made of, or why there is nothing. */
export type Foreign =
  | { readonly map: PropertyMap; readonly format: "GeoJSON" | "KML" | "GPX" }
  | { readonly problems: readonly Problem[] }
  /** Text that is meant to be GeoJSON: the server says what is wrong with it. */
  | { readonly unreadable: string };

/** More than this is no map of a property. */
const MOST_BYTES = 20_000_000;

function wrong(file: string, code: string, told: { found: string; expected: string; mend: string }): Foreign {
  return { problems: [{ code: `pages::${code}`, severity: "error", file, ...told }] };
}

/** Reads a file that holds shapes: GeoJSON, KML or GPX, whatever its name says. */
export async function readForeign(file: File): Promise<Foreign> {
  const head = new Uint8Array(await file.slice(0, 8).arrayBuffer());
  const starts = (text: string) => [...text].every((letter, at) => head[at] === letter.charCodeAt(0));
  if (starts("%PDF")) return wrong(file.name, "pdf", words.pdf);
  if (starts("PK")) return wrong(file.name, "packed", words.packed);
  if (starts("\x89PNG") || starts("\xff\xd8\xff")) return wrong(file.name, "picture", words.picture);
  if (file.size > MOST_BYTES) return wrong(file.name, "too-large", words.tooLarge);
  const text = (await file.text()).replace(/^\ufeff/, "");
  if (text.trim() === "") return wrong(file.name, "empty", words.empty);
  if (/^\s*</.test(text)) return readShapes(file.name, text);
  try {
    return { format: "GeoJSON", map: readMap(text) };
  } catch (error) {
    if (error instanceof NoMap) return { unreadable: text };
    throw error;
  }
}

function readShapes(file: string, text: string): Foreign {
  let root: Element;
  try {
    root = readXml(text);
  } catch (error) {
    if (error instanceof BadXml) return wrong(file, "xml", words.badXml(error.line));
    throw error;
  }
  const format = { kml: "KML", gpx: "GPX" }[root.name.toLowerCase()] as "KML" | "GPX" | undefined;
  if (!format) return wrong(file, "xml-kind", words.otherXml(root.name));
  const features = format === "KML" ? kml(root) : gpx(root);
  if (features.length === 0) return wrong(file, "no-shapes", words.noShapes);
  return { format, map: { members: {}, features } };
}

function shape(name: string, kind: string, type: string, coordinates: unknown): MapFeature {
  const properties: Record<string, unknown> = {};
  if (kind !== "") properties.kind = kind;
  if (name !== "") properties.name = name;
  return newFeature({ type: "Feature", properties, geometry: { type, coordinates } });
}

/** OGC 12-007r2: longitude, latitude and perhaps a height, by commas; positions by blanks. */
function kml(root: Element): MapFeature[] {
  const tuples = (element: Element) =>
    child(element, "coordinates")
      .split(/\s+/)
      .filter((tuple) => tuple !== "")
      .map((tuple) => tuple.split(",").slice(0, 2).map(Number));
  return all(root, "Placemark").flatMap((mark) => {
    const name = child(mark, "name");
    const data = all(mark, "Data").find((one) => one.attributes.get("name") === "kind");
    const simple = all(mark, "SimpleData").find((one) => one.attributes.get("name") === "kind");
    const kind = (data ? child(data, "value") : "") || (simple?.text.trim() ?? "");
    const areas = all(mark, "Polygon").map((area) => {
      const rings = [...all(area, "outerBoundaryIs"), ...all(area, "innerBoundaryIs")];
      const runs = rings.flatMap((ring) => all(ring, "LinearRing")).map(tuples);
      return shape(name, kind, "Polygon", runs);
    });
    const lines = all(mark, "LineString").map((line) => shape(name, kind, "LineString", tuples(line)));
    const points = all(mark, "Point").map((point) => shape(name, kind, "Point", tuples(point)[0] ?? []));
    return [...areas, ...lines, ...points];
  });
}

/** GPX 1.1: waypoints are points, routes and the segments of tracks are lines. */
function gpx(root: Element): MapFeature[] {
  const position = (element: Element) => [
    Number(element.attributes.get("lon") ?? Number.NaN),
    Number(element.attributes.get("lat") ?? Number.NaN),
  ];
  const line = (name: string, element: Element, of: string) =>
    shape(name, "", "LineString", all(element, of).map(position));
  return [
    ...all(root, "wpt").map((point) => shape(child(point, "name"), "", "Point", position(point))),
    ...all(root, "rte").map((route) => line(child(route, "name"), route, "rtept")),
    ...all(root, "trk").flatMap((track) =>
      all(track, "trkseg").map((segment) => line(child(track, "name"), segment, "trkpt")),
    ),
  ];
}

/** A line with its ends joined: what was walked round is often written as a line. */
export function closedLine(feature: MapFeature): MapFeature {
  const geometry = feature.json.geometry;
  if (!isObject(geometry) || geometry.type !== "LineString" || !Array.isArray(geometry.coordinates))
    return feature;
  const corners = geometry.coordinates as number[][];
  const [first, last] = [corners[0]!, corners[corners.length - 1]!];
  const closed = first[0] === last[0] && first[1] === last[1] ? corners : [...corners, first];
  return { ...feature, json: { ...feature.json, geometry: { type: "Polygon", coordinates: [closed] } } };
}

/** What an imported shape is called where it has no id. */
export function foreignName(feature: MapFeature): string {
  const id = feature.json.id;
  return (
    textOf(feature, "name") ||
    (typeof id === "string" || typeof id === "number" ? String(id) : textOf(feature, "id"))
  );
}
