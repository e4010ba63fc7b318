// An invented property of forty features: beds, trees, walks, water and hives in one lawn. The same at every run.
import { asked, keptThing } from "../tests/support";
import { Plane } from "../src/map/plane";

const FOOT_M = 0.3048;
const NAME = "Forty Beds (invented)";
type Corner = readonly [number, number];

/** The house, in feet east and north of the lot's corner. */
const HOUSE: readonly Corner[] = [
  [70, 60],
  [130, 60],
  [130, 95],
  [90, 95],
  [90, 85],
  [70, 85],
];
/** The corner of the house that is dragged; lawn lies round it. */
export const CORNER: Corner = HOUSE[5]!;
type Feature = { kind: string; id: string; spots: readonly Corner[]; form: "Polygon" | "Point" };

function box(kind: string, id: string, east: number, north: number, width: number, depth: number): Feature {
  const spots: Corner[] = [
    [east, north],
    [east + width, north],
    [east + width, north + depth],
    [east, north + depth],
  ];
  return { kind, id, spots, form: "Polygon" };
}

/** A bed with rounded ends: eight corners. */
function bed(kind: string, id: string, east: number, north: number): Feature {
  const spots: Corner[] = Array.from({ length: 8 }, (_, at) => {
    const turn = ((at + 0.5) * Math.PI) / 4;
    return [east + 8 * Math.cos(turn), north + 5 * Math.sin(turn)];
  });
  return { kind, id, spots, form: "Polygon" };
}

const place = (kind: string, id: string, east: number, north: number): Feature => ({
  kind,
  id,
  spots: [[east, north]],
  form: "Point",
});

function features(): Feature[] {
  const row = (count: number, made: (at: number) => Feature) =>
    Array.from({ length: count }, (_, at) => made(at));
  return [
    box("boundary", "lot", 0, 0, 200, 160),
    { kind: "structure", id: "house", spots: HOUSE, form: "Polygon" },
    box("paved", "driveway", 110, 0, 18, 60),
    box("paved", "walk", 84, 0, 4, 60),
    box("paved", "patio", 90, 95, 24, 14),
    ...row(8, (at) => bed("ornamental", `bed-${at + 1}`, 16 + at * 24, 148)),
    ...row(4, (at) => bed("ornamental-in-bloom", `border-${at + 1}`, 14, 20 + at * 26)),
    ...row(4, (at) => bed("edible", `plot-${at + 1}`, 186, 20 + at * 26)),
    ...row(3, (at) => box("mulch", `mulch-${at + 1}`, 36 + at * 14, 12, 9, 9)),
    ...row(6, (at) => place("tree", `tree-${at + 1}`, 30 + at * 24, 132)),
    bed("water", "pond", 40, 50),
    bed("water", "pool", 160, 50),
    place("hive", "hives-1", 190, 128),
    place("hive", "hives-2", 196, 128),
    place("well", "well", 150, 20),
    place("drain", "drain", 134, 3),
    place("entry-point", "door", 100, 60),
    box("play-area", "swings", 140, 100, 14, 10),
    box("pet-area", "run", 160, 100, 14, 10),
    place("mound", "mound-1", 40, 110),
  ];
}

/** The map as a file tells it. */
export function lot(): string {
  const plane = new Plane([-97.62, 38.84]);
  const position = ([east, north]: Corner) => plane.position([east * FOOT_M, north * FOOT_M]);
  const written = features().map(({ kind, id, spots, form }) => {
    const positions = spots.map(position);
    return {
      type: "Feature",
      id,
      properties: { kind },
      geometry: {
        type: form,
        coordinates: form === "Point" ? positions[0] : [[...positions, positions[0]]],
      },
    };
  });
  return JSON.stringify({ type: "FeatureCollection", name: NAME, features: written });
}

/** Keeps the property, and a visit on it with the demo's day, labels, sprayer and forecast. @returns the visit */
export async function keepLot(origin: string, visitOfDemo: string): Promise<string> {
  const count = features().length;
  if (count !== 40) throw new Error(`the lot has ${count} features, and should have forty`);
  const property = await keptThing(origin, "/api/properties", {
    format: "tussock.kept-property/1",
    name: NAME,
    map: lot(),
  });
  const { request, files } = (await asked(origin, `/api/visits/${visitOfDemo}`)) as {
    request: string;
    files: Record<string, string>;
  };
  const ofDemo = "Alder Bend (invented)";
  const told = request
    .replaceAll(ofDemo, NAME)
    .replaceAll('features = ["hedge"]', 'features = ["bed-1"]')
    .replace(/\[feature\.(?:water-0|perennials|hedge)\]\n(?:.+\n)+/g, "");
  const { [`books:property/${ofDemo}`]: _, ...others } = files;
  return keptThing(origin, "/api/visits", {
    format: "tussock.kept-visit/1",
    name: NAME,
    date: "2026-07-07",
    property,
    request: told,
    files: { ...others, [`books:property/${NAME}`]: lot() },
  });
}
