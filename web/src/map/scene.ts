import Feature from "ol/Feature";
import Kinetic from "ol/Kinetic";
import OlMap from "ol/Map";
import View from "ol/View";
import { noModifierKeys, primaryAction } from "ol/events/condition";
import { defaults, DragPan, MouseWheelZoom } from "ol/interaction";
import Point from "ol/geom/Point";
import Polygon from "ol/geom/Polygon";
import Projection from "ol/proj/Projection";
import VectorLayer from "ol/layer/Vector";
import VectorSource from "ol/source/Vector";
import { boundingExtent, createEmpty, extend, extendCoordinate, isEmpty, type Extent } from "ol/extent";
import { mark } from "../service/marks";
import { Backdrop, squareSide, type Photo } from "./backdrop";
import { changedExtent } from "./changed";
import { formOf, kindOf, partsOf, positionsOf, type MapFeature, type PropertyMap } from "./document";
import { shapeOf } from "./geometry";
import { lookNow, type Look } from "./look";
import { kindOfWord } from "./kinds";
import type { Plane, Position, Spot } from "./plane";
import { isFinger } from "./pointer";
import { StillLayer } from "./still-layer";
import { handleStyle, hereStyles, labelStyle, lawnStyle, markStyle, shapeStyles } from "./styles";

/** The plane of a map, in metres; nothing is ever turned into another system of the library's. */
const PLANE = new Projection({ code: "tussock:plane", units: "m", getPointResolution: (scale) => scale });

/** Words on the map. */
export interface Label {
  /** Where they stand, or the ring inside which they are shown where there is room for them. */
  readonly at: Spot | readonly Spot[];
  readonly text: string;
  /** Clockwise from level, radians. */
  readonly turn?: number;
  /** Where words collide, the higher rank stays. */
  readonly rank: number;
}

function isRing(at: Label["at"]): at is readonly Spot[] {
  return typeof at[0] !== "number";
}

/** A numbered sign where something is wrong. */
export interface Mark {
  readonly at: Spot;
  readonly text: string;
  readonly severity: "error" | "warning";
  readonly chosen?: boolean;
}

/** A corner of a feature: which part, which run of it, which corner of that. */
export interface CornerPlace {
  readonly part: number;
  readonly run: number;
  readonly corner: number;
}

/** Where the device is, and how far off that may be. */
export interface Here {
  readonly at: Spot;
  readonly accuracyM: number;
}

/** Moves the map by two fingers, or by a mouse: one finger is left to the page. */
function byTwoFingers(): DragPan {
  const pan: DragPan = new DragPan({
    // As the library has it for its own.
    kinetic: new Kinetic(-0.005, 0.05, 100),
    condition: (event) =>
      isFinger(event.originalEvent)
        ? pan.getPointerCount() === 2
        : noModifierKeys(event) && primaryAction(event),
  });
  return pan;
}

/** A map whose page is being taken away has no room left, and need not tell the console. */
class QuietMap extends OlMap {
  override updateSize(): void {
    const target = this.getTargetElement();
    if (target && (target.clientWidth === 0 || target.clientHeight === 0)) return;
    super.updateSize();
  }
}

/** A map on the screen. What is shown is told by the `show…` calls; interactions are for others to add. */
export class Scene {
  readonly map: OlMap;
  /** The shapes, for snapping; each feature has the key of its own on the map as its id. */
  readonly shapes = new VectorSource();
  readonly #lawn = new VectorSource();
  readonly #handles = new VectorSource();
  readonly #labels = new VectorSource();
  readonly #marks = new VectorSource();
  readonly #here = new VectorSource();
  readonly #backdrop: Backdrop;
  readonly #lawnLayer: StillLayer;
  readonly #shapesLayer: StillLayer;
  #shown = new Map<string, MapFeature>();
  #chosen: string | null = null;
  #corner: CornerPlace | null = null;
  #look: Look = lookNow();
  #dim = false;
  /** Called when the map was moved or its scale was changed. */
  onmoved: () => void = () => {};

  constructor(
    target: HTMLElement,
    readonly plane: Plane,
    /** Whether a finger that swipes over the map moves the page. */
    swipes = false,
  ) {
    this.#backdrop = new Backdrop(this.#look);
    const layer = (source: VectorSource, style: (feature: Feature) => unknown, declutter = false) =>
      new StillLayer({
        source,
        style: (feature) => style(feature as Feature) as never,
        declutter,
        updateWhileAnimating: true,
        updateWhileInteracting: true,
      });
    this.#lawnLayer = layer(this.#lawn, () => lawnStyle(this.#look));
    this.#shapesLayer = layer(this.shapes, (feature) => this.#styleOf(feature));
    this.#shapesLayer.carry(
      new VectorLayer({
        source: this.#handles,
        style: (feature) => handleStyle(this.#look, feature.get("chosen") === true),
        updateWhileAnimating: true,
        updateWhileInteracting: true,
      }),
    );
    this.map = new QuietMap({
      target,
      controls: [],
      // A wheel over a map that was not chosen moves the page, and a double press is left to drawing.
      interactions: defaults({
        altShiftDragRotate: false,
        pinchRotate: false,
        doubleClickZoom: false,
        mouseWheelZoom: false,
        dragPan: !swipes,
      }).extend([new MouseWheelZoom({ onFocusOnly: true }), ...(swipes ? [byTwoFingers()] : [])]),
      layers: [
        this.#backdrop,
        this.#lawnLayer,
        this.#shapesLayer,
        layer(this.#here, (feature) =>
          hereStyles(this.#look, Number(feature.get("accuracyM")) / this.metresPerPixel),
        ),
        layer(this.#labels, (feature) => labelStyle(feature, this.#look), true),
        layer(this.#marks, (feature) => markStyle(feature, this.#look)),
      ],
      view: new View({
        projection: PLANE,
        center: [0, 0],
        resolution: 0.15,
        minResolution: 0.004,
        maxResolution: 30,
        enableRotation: false,
        showFullExtent: true,
      }),
    });
    this.map.on("moveend", () => this.onmoved());
    this.map.on("postrender", () => mark("map drawn"));
  }

  get metresPerPixel(): number {
    return this.map.getView().getResolution() ?? 1;
  }

  get centre(): Spot {
    const [east, north] = this.map.getView().getCenter() ?? [0, 0];
    return [east!, north!];
  }

  /** The side of a square of the paper. */
  square(units: "us" | "metric"): { count: number; metres: number } {
    return squareSide(this.metresPerPixel, units);
  }

  /** Shows the shapes of a map; what did not change is not drawn anew. */
  show(map: PropertyMap): void {
    const next = new Map(map.features.map((feature) => [feature.key, feature]));
    this.#shapesLayer.change(() => this.#showShapes(next));
    this.#shown = next;
    this.#showHandles();
    mark("map shown");
  }

  /** Puts features in the place of those that are shown. @returns where the map is not drawn as it was */
  #showShapes(next: ReadonlyMap<string, MapFeature>): Extent {
    const extent = createEmpty();
    const take = (drawn: Feature | null) => {
      if (!drawn) return;
      extend(extent, drawn.getGeometry()!.getExtent());
      this.shapes.removeFeature(drawn);
    };
    for (const [key] of this.#shown) if (!next.has(key)) take(this.#drawn(key));
    for (const [key, feature] of next) {
      if (this.#shown.get(key) === feature) continue;
      const shape = shapeOf(partsOf(feature), this.plane);
      const drawn = this.#drawn(key);
      if (!shape) {
        take(drawn);
        continue;
      }
      const [kind, form] = [kindOf(feature), formOf(feature)];
      const was = drawn?.getGeometry();
      if (was && drawn?.get("kind") === kind && drawn.get("form") === form) {
        extend(extent, changedExtent(was, shape, kindOfWord(kind).dashes !== undefined));
      } else {
        extend(extent, shape.getExtent());
        if (was) extend(extent, was.getExtent());
      }
      const shown = drawn ?? new Feature();
      shown.set("kind", kind, true);
      shown.set("form", form, true);
      shown.setGeometry(shape);
      if (!drawn) {
        shown.setId(key);
        this.shapes.addFeature(shown);
      }
    }
    return extent;
  }

  #drawn(key: string): Feature | null {
    return this.shapes.getFeatureById(key) as Feature | null;
  }

  /** Shows which feature is chosen, and which of its corners. Corners are shown where `handles` asks for them. */
  choose(key: string | null, corner: CornerPlace | null, handles: boolean): void {
    this.#chosen = key;
    this.#corner = corner;
    this.#withHandles = handles;
    this.shapes.changed();
    this.#showHandles();
  }
  #withHandles = false;

  /** Shows ground that a measuring calls lawn, as a GeoJSON geometry in longitude and latitude. */
  showLawn(ground: unknown): void {
    this.#lawn.clear(true);
    const parts = partsOf({ key: "", json: { geometry: ground } });
    const shape = shapeOf(parts, this.plane);
    if (shape) this.#lawn.addFeature(new Feature(shape));
    else this.#lawn.changed();
  }

  showLabels(labels: readonly Label[]): void {
    this.#labels.clear(true);
    this.#labels.addFeatures(
      labels.map(({ at, ...rest }) => {
        const geometry = isRing(at)
          ? new Polygon([[...at, at[0]!].map((spot) => [...spot])])
          : new Point([...at]);
        return new Feature({ geometry, ...rest });
      }),
    );
  }

  showMarks(marks: readonly Mark[]): void {
    this.#marks.clear(true);
    this.#marks.addFeatures(
      marks.map(({ at, ...rest }) => new Feature({ geometry: new Point([...at]), ...rest })),
    );
  }

  showHere(here: Here | null): void {
    this.#here.clear(true);
    if (here) {
      this.#here.addFeature(new Feature({ geometry: new Point([...here.at]), accuracyM: here.accuracyM }));
    } else this.#here.changed();
  }

  /** Lays a photo under the map; fills step back while it is there. */
  showPhoto(photo: Photo | null): void {
    this.#backdrop.photo = photo;
    this.#backdrop.changed();
    const dim = photo !== null && photo.strength > 0;
    if (dim === this.#dim) return;
    this.#dim = dim;
    this.#lawnLayer.setVisible(!dim);
    this.shapes.changed();
  }

  /** Draws everything anew in the look of now. */
  applyLook(units: "us" | "metric"): void {
    this.#look = lookNow();
    this.#backdrop.look = this.#look;
    this.#backdrop.units = units;
    for (const layer of this.map.getAllLayers()) layer.changed();
    this.#handles.changed();
    this.onmoved();
  }

  get look(): Look {
    return this.#look;
  }

  /** Moves the map so that all of a map is seen, or some of its features. */
  fit(map: PropertyMap, keys?: readonly string[]): void {
    const features = keys ? map.features.filter((feature) => keys.includes(feature.key)) : map.features;
    const spots = positionsOf({ ...map, features }).map((position: Position) => [
      ...this.plane.spot(position),
    ]);
    const extent = boundingExtent(spots);
    if (isEmpty(extent) && spots.length === 0) return;
    this.map.updateSize();
    this.map.getView().fit(extent, { padding: [40, 40, 40, 40], minResolution: 0.03 });
  }

  /** Moves the map to a spot. */
  centreOn(spot: Spot): void {
    this.map.getView().setCenter([...spot]);
  }

  /** Nearer by a half, or farther; 1 is nearer. */
  zoom(steps: number): void {
    this.map.getView().setResolution(this.metresPerPixel * 1.5 ** -steps);
  }

  dispose(): void {
    this.map.setTarget(undefined);
    this.map.dispose();
  }

  #styleOf(feature: Feature): unknown {
    const chosen = feature.getId() === this.#chosen;
    return shapeStyles(feature.get("kind"), feature.get("form"), chosen, this.#look, this.#dim);
  }

  /** Shows the corners of the chosen feature; those that are shown as they are stay. */
  #showHandles(): void {
    const feature = this.#chosen === null || !this.#withHandles ? null : this.#shown.get(this.#chosen);
    const isShown = feature === this.#handled && this.#corner === this.#handledCorner;
    if (isShown) return;
    [this.#handled, this.#handledCorner] = [feature, this.#corner];
    const corners = !feature
      ? []
      : partsOf(feature).flatMap((part, partAt) =>
          part.runs.flatMap((run, runAt) =>
            run.map((position, cornerAt) => {
              const here = this.#corner;
              const chosen = here?.part === partAt && here.run === runAt && here.corner === cornerAt;
              return { spot: this.plane.spot(position), chosen };
            }),
          ),
        );
    this.#shapesLayer.change(() => {
      const extent = createEmpty();
      const drawn = this.#handlesDrawn;
      corners.forEach(({ spot, chosen }, at) => {
        const handle = drawn[at] ?? new Feature();
        const point = handle.getGeometry() as Point | undefined;
        const was = point?.getCoordinates();
        if (was?.[0] === spot[0] && was[1] === spot[1] && handle.get("chosen") === chosen) return;
        if (was) extendCoordinate(extent, was);
        extendCoordinate(extent, [...spot]);
        handle.set("chosen", chosen, true);
        handle.setGeometry(new Point([...spot]));
        if (!point) {
          drawn[at] = handle;
          this.#handles.addFeature(handle);
        }
      });
      for (const handle of drawn.splice(corners.length)) {
        extend(extent, handle.getGeometry()!.getExtent());
        this.#handles.removeFeature(handle);
      }
      return extent;
    });
  }
  readonly #handlesDrawn: Feature[] = [];
  #handled: MapFeature | null | undefined = null;
  #handledCorner: CornerPlace | null = null;
}
