import { expect, test } from "vitest";
import { readMap, type PropertyMap } from "../../map/document";
import { moveCorners } from "../../map/edit";
import { Plane, type Spot } from "../../map/plane";
import { EMPTY_VISIT, VisitEditor, type State } from "./editor.svelte";

const plane = new Plane([-97.62, 38.84]);
const ring = (
  [
    [0, 0],
    [10, 0],
    [10, 10],
    [0, 0],
  ] as Spot[]
).map((spot) => plane.position(spot));
const lot = JSON.stringify({
  type: "FeatureCollection",
  features: [
    {
      type: "Feature",
      id: "lot",
      properties: { kind: "boundary" },
      geometry: { type: "Polygon", coordinates: [ring] },
    },
  ],
});
const NAMED = "books:property/Lot";
const visit = (property: string, files: Record<string, string> = {}): State => ({
  fields: { ...structuredClone(EMPTY_VISIT), name: "Lot", property },
  files,
});

/** A visit on a property that was read before. */
function editing(state: State): VisitEditor {
  const editor = new VisitEditor();
  const document = { format: "tussock.kept-property/1", name: "Lot", map: lot } as const;
  editor.ground = { thing: "1", tag: '"1"', document, map: readMap(lot) };
  editor.plane = plane;
  editor.begin(state);
  return editor;
}

/** Drags the corner at one spot to another, and lets it go. */
function drag(editor: VisitEditor, from: Spot, to: Spot): PropertyMap {
  const map = moveCorners(editor.map!, plane, from, to);
  editor.draw(map);
  editor.rest();
  return map;
}

test("a moved corner is part of what is kept, and taking it back leaves nothing changed", () => {
  const editor = editing(visit(NAMED));
  const begun = editor.state;
  drag(editor, [10, 10], [10, 12]);
  expect(editor.isAs(begun)).toBe(false);
  expect([editor.hasOwnMap, editor.isMapChanged]).toEqual([true, true]);
  expect(editor.state.fields.property).toBe("drawn.geojson");
  expect(editor.state.drawnOn).toBe('"1"');
  // Called as the property, so that its client and its past are found.
  expect(JSON.parse(editor.order.files["drawn.geojson"]!)).toMatchObject({ name: "Lot" });
  editor.undo();
  expect(editor.isAs(begun)).toBe(true);
  expect(editor.hasOwnMap).toBe(false);
  expect(editor.map).toBe(editor.ground!.map);
  editor.stop();
});

test("what was drawn is taken up again as it was, with the version that it was drawn on", () => {
  const first = editing(visit(NAMED));
  drag(first, [10, 10], [10, 12]);
  const kept = structuredClone(first.state);
  const second = editing(kept);
  second.ground = { ...second.ground!, tag: '"2"' };
  expect(second.isAs(kept)).toBe(true);
  expect(second.isMapChanged).toBe(true);
  drag(second, [10, 12], [10, 14]);
  expect(second.state.drawnOn).toBe('"1"');
  for (const editor of [first, second]) editor.stop();
});

test("the way back to the property's map is a change of a visit that was kept with its own", () => {
  const first = editing(visit(NAMED));
  drag(first, [10, 10], [10, 12]);
  const kept = structuredClone(first.state);
  const editor = editing(kept);
  editor.dropMap();
  expect(editor.isAs(kept)).toBe(false);
  expect(editor.state.fields.property).toBe(NAMED);
  expect(editor.order.files).toEqual({});
  editor.undo();
  expect(editor.isAs(kept)).toBe(true);
  for (const one of [first, editor]) one.stop();
});

test("a map that came with the visit under a name of its own is drawn on under that name", () => {
  const editor = editing(visit("property.geojson", { "property.geojson": lot }));
  expect([editor.hasOwnMap, editor.isMapChanged]).toEqual([true, false]);
  drag(editor, [10, 10], [10, 12]);
  expect(editor.isMapChanged).toBe(true);
  expect(editor.state.fields.property).toBe("property.geojson");
  expect(Object.keys(editor.state.files)).toEqual(["property.geojson"]);
  editor.stop();
});

test("a drag is one step back, however many moves it has", () => {
  const editor = editing(visit(NAMED));
  const once = drag(editor, [10, 10], [10, 12]);
  editor.draw(moveCorners(editor.map!, plane, [10, 12], [10, 13]));
  editor.draw(moveCorners(editor.map!, plane, [10, 13], [10, 14]));
  editor.rest();
  editor.rest();
  editor.undo();
  expect(editor.map).toBe(once);
  editor.undo();
  expect([editor.hasOwnMap, editor.mayUndo]).toEqual([false, false]);
  editor.stop();
});

test("a visit goes on with its blanks, also from a draft that was put by without them", () => {
  const editor = editing(visit(NAMED));
  const blank = {
    id: "hedge",
    method: "foliar",
    label: "",
    rate: "",
    equipment: "",
    target: { features: [] },
  };
  editor.fields.task = [blank];
  expect(editing(editor.state).fields.task[0]).toEqual(blank);
  expect(editing(editor.state).isAs(editor.state)).toBe(true);
  expect((editor.order.visit as Record<string, unknown>).labels).toBeUndefined();

  const { labels: _, task: __, equipment: ___, ...trimmed } = visit(NAMED).fields;
  const again = editing({ fields: trimmed as never, files: {} });
  expect([again.fields.labels, again.fields.task, again.fields.equipment]).toEqual([[], [], ""]);
  expect(again.isAs(visit(NAMED))).toBe(true);
});
