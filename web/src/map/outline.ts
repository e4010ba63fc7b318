import MultiPolygon from "ol/geom/MultiPolygon";
import Polygon from "ol/geom/Polygon";
import { douglasPeuckerArray, douglasPeuckerMultiArray } from "ol/geom/flat/simplify";

/**
 * The library allows half a pixel and rounds corners to that; an arc keeps nearly all of its chords, and stroking them
 * takes most of the time in which a map with zones is drawn. These keep the corners that show: what is drawn is off by a
 * quarter of a pixel at most. The square of that share.
 */
const SHARE_SQUARED = 0.25;

/** An area as it is drawn: without the corners that nobody can see at its scale. */
export class Outline extends Polygon {
  override getSimplifiedGeometryInternal(squaredTolerance: number): Polygon {
    const flat: number[] = [];
    const ends: number[] = [];
    flat.length = douglasPeuckerArray(
      this.flatCoordinates,
      0,
      this.getEnds(),
      this.stride,
      squaredTolerance * SHARE_SQUARED,
      flat,
      0,
      ends,
    );
    return new Polygon(flat, "XY", ends);
  }
}

/** Several areas of one feature, likewise. */
export class Outlines extends MultiPolygon {
  override getSimplifiedGeometryInternal(squaredTolerance: number): MultiPolygon {
    const flat: number[] = [];
    const ends: number[][] = [];
    flat.length = douglasPeuckerMultiArray(
      this.flatCoordinates,
      0,
      this.getEndss(),
      this.stride,
      squaredTolerance * SHARE_SQUARED,
      flat,
      0,
      ends,
    );
    return new MultiPolygon(flat, "XY", ends);
  }
}
