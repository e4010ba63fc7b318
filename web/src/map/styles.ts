import Point from "ol/geom/Point";
import type { FeatureLike } from "ol/Feature";
import Circle from "ol/style/Circle";
import Fill from "ol/style/Fill";
import Icon from "ol/style/Icon";
import RegularShape from "ol/style/RegularShape";
import Stroke from "ol/style/Stroke";
import Style from "ol/style/Style";
import Text from "ol/style/Text";
import { fillOf, signOf } from "./pattern";
import { kindOfWord } from "./kinds";
import type { Form } from "./document";
import type { Look } from "./look";

const made = new WeakMap<Look, Map<string, Style[]>>();

/**
 * The styles of a shape: fill and pattern, a casing of paper, an outline of ink. Made once for all shapes alike: the map
 * asks for them at every frame of a drag, and a sign is a picture.
 */
export function shapeStyles(word: string, form: Form, chosen: boolean, look: Look, dim = false): Style[] {
  const ofLook = made.get(look) ?? new Map<string, Style[]>();
  made.set(look, ofLook);
  const name = [word, form, chosen, dim, devicePixelRatio].join();
  const known = ofLook.get(name);
  if (known) return known;
  const styles = newShapeStyles(word, form, chosen, look, dim);
  ofLook.set(name, styles);
  return styles;
}

function newShapeStyles(word: string, form: Form, chosen: boolean, look: Look, dim: boolean): Style[] {
  const kind = kindOfWord(word);
  const order = kind.order * 10 + (chosen ? 5 : 0);
  if (form === "point") {
    const sign = new Icon({ img: signOf(kind, look), scale: 1 / devicePixelRatio });
    const styles = [new Style({ image: sign, zIndex: order + 1 })];
    if (chosen) styles.unshift(new Style({ image: ringOf(look), zIndex: order }));
    return styles;
  }
  const isHeavy = kind.word === "boundary" || kind.outline === "heavy";
  const width = Math.max(isHeavy ? 4 : 2, look.rule) + (chosen ? 2 : 0);
  const dashes = kind.dashes ? [...kind.dashes] : null;
  // Square corners, as everywhere here; they are drawn in less time than round ones, too.
  const corners = { lineJoin: "miter", miterLimit: 3 } as const;
  const casing = new Stroke({ color: look.paper, width: width + 3, ...corners });
  const ink = new Stroke({
    color: chosen ? look.act : look.ink,
    width,
    ...corners,
    ...(dashes ? { lineDash: dashes } : {}),
  });
  if (form === "line") {
    const wide = new Stroke({ color: kind.fill ?? look.ink, width: width + 4 });
    const middle = new Stroke({ color: kind.fill ? look.ink : look.paper, width: 1.5, lineDash: [6, 5] });
    return [
      new Style({ stroke: new Stroke({ color: look.paper, width: width + 10 }), zIndex: order }),
      new Style({
        stroke: new Stroke({ color: chosen ? look.act : look.ink, width: width + 7 }),
        zIndex: order,
      }),
      new Style({ stroke: wide, zIndex: order }),
      new Style({ stroke: middle, zIndex: order }),
    ];
  }
  const hasFill = kind.pattern !== "paper" || kind.fill !== null;
  // Under a photo that is being traced, fills would hide what is traced.
  const fill =
    hasFill && !dim ? new Fill({ color: fillOf(kind, look.ink) }) : new Fill({ color: "rgba(0,0,0,0)" });
  if (kind.outline === "none") return [new Style({ fill, zIndex: order + 1 })];
  // The casing lies below the fill and shows outside alone, or it would cover what is narrow.
  return [
    new Style({ stroke: casing, zIndex: order }),
    new Style({ fill, zIndex: order + 1 }),
    new Style({ stroke: ink, zIndex: order + 2 }),
  ];
}

function ringOf(look: Look): Circle {
  return new Circle({ radius: 18, stroke: new Stroke({ color: look.act, width: 4 }) });
}

/** The lawn that is left where none is drawn: the pattern alone, without an outline of its own. */
export function lawnStyle(look: Look): Style {
  return new Style({ fill: new Fill({ color: fillOf(kindOfWord("turf"), look.ink) }) });
}

/** A corner that can be taken hold of. */
export function handleStyle(look: Look, chosen: boolean): Style {
  return new Style({
    image: new RegularShape({
      points: 4,
      angle: Math.PI / 4,
      radius: chosen ? 12 : 8,
      fill: new Fill({ color: chosen ? look.act : look.paper }),
      stroke: new Stroke({ color: chosen ? look.paper : look.act, width: 2.5 }),
    }),
    zIndex: chosen ? 2 : 1,
  });
}

/** Words beside an edge or on a shape; the higher its rank, the sooner it keeps its place. */
export function labelStyle(feature: FeatureLike, look: Look): Style {
  return new Style({
    text: new Text({
      text: String(feature.get("text")),
      font: `600 ${Math.round(look.size * 0.82)}px ${look.font}`,
      rotation: Number(feature.get("turn") ?? 0),
      offsetY: 0,
      padding: [3, 4, 3, 4],
      fill: new Fill({ color: look.ink }),
      stroke: new Stroke({ color: look.paper, width: 5 }),
    }),
    zIndex: Number(feature.get("rank") ?? 0),
  });
}

/** A numbered sign where something is wrong: an octagon for an error, a triangle for what should be looked at. */
export function markStyle(feature: FeatureLike, look: Look): Style {
  const isError = feature.get("severity") === "error";
  const chosen = feature.get("chosen") === true;
  return new Style({
    image: new RegularShape({
      points: isError ? 8 : 3,
      radius: (isError ? 15 : 19) + (chosen ? 4 : 0),
      angle: isError ? Math.PI / 8 : 0,
      fill: new Fill({ color: look.paper }),
      stroke: new Stroke({ color: isError ? look.no : look.wait, width: chosen ? 5 : 3 }),
    }),
    text: new Text({
      text: String(feature.get("text")),
      offsetY: isError ? 1 : 4,
      font: `700 ${Math.round(look.size * 0.8)}px ${look.font}`,
      fill: new Fill({ color: look.ink }),
    }),
    zIndex: chosen ? 2 : 1,
  });
}

/** What is being drawn: a dashed line with its corners. */
export function sketchStyle(look: Look): (feature: FeatureLike) => Style[] {
  const casing = new Style({ stroke: new Stroke({ color: look.paper, width: 7 }) });
  const line = new Style({
    stroke: new Stroke({ color: look.act, width: 3, lineDash: [8, 5] }),
    fill: new Fill({ color: "rgba(0,0,0,0)" }),
  });
  const point = new Style({
    image: new Circle({
      radius: 7,
      fill: new Fill({ color: look.paper }),
      stroke: new Stroke({ color: look.act, width: 3 }),
    }),
  });
  return (feature) => (feature.getGeometry() instanceof Point ? [point] : [casing, line]);
}

/** Where the device is: a ring as wide as the position may be off, and a cross in its middle. */
export function hereStyles(look: Look, radiusPx: number): Style[] {
  const cross = new RegularShape({
    points: 4,
    radius: 12,
    radius2: 0,
    stroke: new Stroke({ color: look.act, width: 3 }),
  });
  return [
    new Style({
      image: new Circle({ radius: Math.max(radiusPx, 1), stroke: new Stroke({ color: look.act, width: 2 }) }),
    }),
    new Style({ image: cross }),
  ];
}
