// What a press on the map takes hold of, and what becomes of it while it is dragged and where it is let go.
import { pixelOfSpot, type Photo } from "../../map/backdrop";
import { partsOf, type PropertyMap } from "../../map/document";
import {
  CannotEdit,
  gap,
  insertCorner,
  isInside,
  moveCorners,
  moveFeature,
  sharers,
  sharing,
} from "../../map/edit";
import { moved as photoMoved } from "../../map/photo";
import { distance, type Plane, type Spot } from "../../map/plane";
import type { CornerPlace } from "../../map/scene";
import { propertyWords as words } from "../../words/property";
import type { Editor } from "./editor.svelte";

/** A corner of the chosen shape, or a new one on its edge; whatever shares it moves with it. */
export function cornerHold(editor: Editor) {
  let base: PropertyMap;
  let from: Spot;
  let place: CornerPlace;
  let isNew = false;
  let movedAtAll = false;
  return {
    take: (at: Spot, reachM: number) => {
      const { plane, chosenFeature } = editor;
      if (!plane || !chosenFeature) return false;
      const { feature } = chosenFeature;
      const near = nearest(partsOf(feature), plane, at, reachM);
      if (!near) return false;
      place = near.place;
      from = near.spot;
      isNew = near.isEdge;
      movedAtAll = false;
      base = editor.steps.now;
      if (isNew) {
        try {
          base = insertCorner(base, plane, feature.key, place, from);
        } catch (error) {
          if (error instanceof CannotEdit) return false;
          throw error;
        }
        place = { ...place, corner: place.corner + 1 };
      }
      if (!isNew) editor.corner = place;
      editor.dragging(sharing(base, plane, from).map(({ key }) => key));
      return true;
    },
    drag: (to: Spot) => {
      if (!editor.plane || distance(from, to) < 1e-9) return;
      movedAtAll = true;
      editor.corner = place;
      editor.provisional = moveCorners(base, editor.plane, from, to);
      editor.measures.ask();
    },
    drop: () => {
      editor.dragging([]);
      const { plane, chosen, provisional } = editor;
      if (!movedAtAll || !plane || !provisional) return;
      const others = chosen ? sharers(base, plane, chosen, from) : 0;
      editor.step(provisional, words.done.corner(others));
      editor.corner = place;
    },
  };
}

/** The whole chosen shape; its neighbours stay. */
export function wholeHold(editor: Editor) {
  let base: PropertyMap;
  let from: Spot;
  return {
    take: (at: Spot, reachM: number) => {
      const { plane, chosenFeature } = editor;
      if (!plane || !chosenFeature) return false;
      const parts = partsOf(chosenFeature.feature);
      const inside = parts.some(
        (part) =>
          part.form === "area" &&
          isInside(
            at,
            part.runs[0]!.map((position) => plane.spot(position)),
          ),
      );
      if (!inside && !nearest(parts, plane, at, reachM)) return false;
      base = editor.steps.now;
      from = at;
      return true;
    },
    drag: (to: Spot) => {
      if (!editor.plane || editor.chosen === null) return;
      editor.provisional = moveFeature(base, editor.plane, editor.chosen, [to[0] - from[0], to[1] - from[1]]);
      editor.measures.ask();
    },
    drop: () => {
      if (editor.provisional) editor.step(editor.provisional, words.done.moved);
    },
  };
}

/** The photo under the map. */
export function photoHold(editor: Editor) {
  let base: Photo;
  let from: Spot;
  return {
    take: (at: Spot) => {
      const photo = editor.photo;
      if (!photo) return false;
      const [x, y] = pixelOfSpot(photo.placed, at);
      base = photo;
      from = at;
      return x >= 0 && y >= 0 && x <= photo.picture.width && y <= photo.picture.height;
    },
    drag: (to: Spot) => {
      editor.photo = { ...base, placed: photoMoved(base.placed, [to[0] - from[0], to[1] - from[1]]) };
    },
    drop: () => {},
  };
}

/** The corner within reach, else the place on an edge within reach. */
function nearest(
  parts: ReturnType<typeof partsOf>,
  plane: Plane,
  at: Spot,
  reachM: number,
): { place: CornerPlace; spot: Spot; isEdge: boolean } | null {
  let corner: { place: CornerPlace; spot: Spot; away: number } | null = null;
  let edge: { place: CornerPlace; spot: Spot; away: number } | null = null;
  parts.forEach((part, partAt) =>
    part.runs.forEach((run, runAt) => {
      const spots = run.map((position) => plane.spot(position));
      spots.forEach((spot, cornerIndex) => {
        const place = { part: partAt, run: runAt, corner: cornerIndex };
        const away = distance(spot, at);
        if (away <= reachM && away < (corner?.away ?? Infinity)) corner = { place, spot, away };
        const next = spots[cornerIndex + 1] ?? (part.form === "area" ? spots[0]! : null);
        if (!next || part.form === "point") return;
        const near = gap(at, spot, next);
        if (near.away <= reachM && near.away < (edge?.away ?? Infinity)) {
          edge = { place, spot: near.foot, away: near.away };
        }
      });
    }),
  );
  const held = (corner ?? edge) as { place: CornerPlace; spot: Spot } | null;
  return held && { place: held.place, spot: held.spot, isEdge: corner === null };
}
