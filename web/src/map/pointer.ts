import Draw from "ol/interaction/Draw";
import PointerInteraction from "ol/interaction/Pointer";
import Snap from "ol/interaction/Snap";
import LineString from "ol/geom/LineString";
import Point from "ol/geom/Point";
import Polygon from "ol/geom/Polygon";
import type Feature from "ol/Feature";
import type MapBrowserEvent from "ol/MapBrowserEvent";
import type OlMap from "ol/Map";
import type { Form } from "./document";
import type { Spot } from "./plane";
import type { Scene } from "./scene";
import { sketchStyle } from "./styles";

/** Whether a press is that of a finger, which also moves the page. */
export function isFinger(event: Event): boolean {
  return event instanceof PointerEvent && event.pointerType === "touch";
}

/** How near a press must be, in pixels: a finger is broader than a mouse. */
export function reachPx(event: Event): number {
  return isFinger(event) ? 24 : 11;
}

function spotOf(event: MapBrowserEvent): Spot {
  return [event.coordinate[0]!, event.coordinate[1]!];
}

/** What is done with a drag: `take` says whether something is held. */
export interface Held {
  take: (at: Spot, reachM: number, isFinger: boolean) => boolean;
  drag: (to: Spot) => void;
  drop: () => void;
}

/** A drag of whatever a press holds; a press that holds nothing moves the map, or the page. */
export class Hold extends PointerInteraction {
  #leave = (): void => {};

  constructor(scene: Scene, held: Held) {
    super({
      handleDownEvent: (event) =>
        held.take(
          spotOf(event),
          reachPx(event.originalEvent) * scene.metresPerPixel,
          isFinger(event.originalEvent),
        ),
      handleDragEvent: (event) => held.drag(spotOf(event)),
      handleUpEvent: () => {
        held.drop();
        return false;
      },
    });
  }

  /** A finger that holds something does not move the page as well; that is decided when it touches. */
  override setMap(map: OlMap | null): void {
    super.setMap(map);
    this.#leave();
    const viewport = map?.getViewport();
    const touched = (event: Event) => this.handlingDownUpSequence && event.preventDefault();
    viewport?.addEventListener("touchstart", touched, { passive: false });
    this.#leave = () => viewport?.removeEventListener("touchstart", touched);
  }
}

/** Calls for a press that moved nothing. A finger whose swipe the page took over did not press. */
export function onPress(scene: Scene, pressed: (at: Spot, reachM: number) => void): void {
  let isSwipe = false;
  const viewport = scene.map.getViewport();
  viewport?.addEventListener("pointerdown", () => (isSwipe = false), true);
  viewport?.addEventListener("pointercancel", () => (isSwipe = true), true);
  scene.map.on("click", (event) => {
    if (!isSwipe) pressed(spotOf(event), (reachPx(event.originalEvent) / 2) * scene.metresPerPixel);
  });
}

/** Presses snap to corners, edges and crossings of what is drawn. It goes behind whatever it serves. */
export class Snapping extends Snap {
  #passed: Feature[] = [];

  constructor(private readonly scene: Scene) {
    const touch = matchMedia("(pointer: coarse)").matches;
    super({ source: scene.shapes, pixelTolerance: touch ? 18 : 10, intersection: true });
  }

  /** Passes over shapes that are dragged: where they stood would hold them fast, and a finger most of all. */
  passOver(keys: readonly string[]): void {
    this.heedAll();
    this.#passed = keys.flatMap((key) => (this.scene.shapes.getFeatureById(key) as Feature | null) ?? []);
    for (const feature of this.#passed) this.removeFeature(feature, true);
  }

  /** Heeds what was passed over again. */
  heedAll(): void {
    for (const feature of this.#passed)
      if (this.scene.shapes.hasFeature(feature)) this.addFeature(feature, true);
    this.#passed = [];
  }
}

/** The key of what lies under a press, the uppermost first; null where there is nothing but paper. */
export function keyUnder(scene: Scene, event: MapBrowserEvent): string | null {
  // The event's own pixel may have been snapped.
  const pixel = scene.map.getEventPixel(event.originalEvent as PointerEvent);
  let key: string | null = null;
  let best = Infinity;
  scene.map.forEachFeatureAtPixel(
    pixel,
    (feature) => {
      const id = (feature as Feature).getId();
      if (typeof id !== "string") return;
      const geometry = (feature as Feature).getGeometry();
      const [west, south, east, north] = geometry?.getExtent() ?? [0, 0, 0, 0];
      // The smaller lies above for whoever presses: the boundary is under everything.
      const size = (east! - west!) * (north! - south!);
      if (size < best) {
        best = size;
        key = id;
      }
    },
    {
      hitTolerance: reachPx(event.originalEvent) / 2,
      layerFilter: (layer) => layer.getSource() === scene.shapes,
    },
  );
  return key;
}

/** A shape under the pencil. */
export class Sketch {
  readonly #draw: Draw;
  #feature: Feature | null = null;
  #restoring = false;

  /** `changed` gets the corners so far with the one under the pointer, and how many of them are set. */
  constructor(
    scene: Scene,
    private readonly form: Form,
    changed: (corners: readonly Spot[], set: number) => void,
    finished: (corners: readonly Spot[]) => void,
  ) {
    const type = { area: "Polygon", line: "LineString", point: "Point" } as const;
    this.#draw = new Draw({
      type: type[form],
      style: sketchStyle(scene.look),
      stopClick: true,
      snapTolerance: matchMedia("(pointer: coarse)").matches ? 20 : 12,
    });
    this.#draw.on("drawstart", ({ feature }) => {
      this.#feature = feature;
      feature.getGeometry()?.on("change", () => {
        if (this.#restoring) return;
        const corners = this.corners();
        changed(corners, Math.max(0, corners.length - 1));
      });
    });
    this.#draw.on("drawend", ({ feature }) => {
      this.#feature = feature;
      const corners = this.corners();
      this.#feature = null;
      finished(withoutTwins(corners));
    });
    this.#draw.on("drawabort", () => {
      this.#feature = null;
      changed([], 0);
    });
  }

  get interaction(): Draw {
    return this.#draw;
  }

  /** The corners so far, with the one under the pointer. */
  corners(): Spot[] {
    const geometry = this.#feature?.getGeometry();
    let all: number[][] = [];
    if (geometry instanceof Polygon) all = geometry.getCoordinates()[0]?.slice(0, -1) ?? [];
    else if (geometry instanceof LineString) all = geometry.getCoordinates();
    else if (geometry instanceof Point) all = [geometry.getCoordinates()];
    return all.map(([east, north]) => [east!, north!]);
  }

  /** Goes on where an earlier page left off. */
  restore(corners: readonly Spot[]): void {
    if (this.form === "point" || corners.length === 0) return;
    this.#restoring = true;
    this.#draw.appendCoordinates(corners.map((spot) => [...spot]));
    this.#restoring = false;
  }

  /** Adds a corner, such as one that was walked to. */
  add(corner: Spot): void {
    this.#draw.appendCoordinates([[...corner]]);
  }

  back(): void {
    this.#draw.removeLastPoint();
  }

  finish(): void {
    this.#draw.finishDrawing();
  }

  abort(): void {
    this.#draw.abortDrawing();
  }
}

/** A double press sets a corner twice; a corner is one. */
function withoutTwins(corners: readonly Spot[]): Spot[] {
  return corners.filter((corner, at) => {
    const before = corners[at - 1];
    return !before || Math.hypot(corner[0] - before[0], corner[1] - before[1]) > 1e-6;
  });
}
