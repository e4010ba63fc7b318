/** Metres east and north of a plane's origin. */
export type Spot = readonly [east: number, north: number];

/** Degrees of longitude and latitude on WGS 84, as GeoJSON writes them; what stands behind is passed over. */
export type Position = readonly number[];

/** Equatorial radius of WGS 84 in metres, and its flattening (NGA.STND.0036, 2014, table 3.1). */
const RADIUS_M = 6_378_137;
const FLATTENING = 1 / 298.257223563;
const ECCENTRICITY_SQUARED = FLATTENING * (2 - FLATTENING);
const DEGREE = Math.PI / 180;
/** Decimals of a degree in which corners are written: a tenth of a millimetre. */
const DECIMALS = 9;

function earthCentred(longitude: number, latitude: number): [number, number, number] {
  const across = RADIUS_M / Math.sqrt(1 - ECCENTRICITY_SQUARED * Math.sin(latitude) ** 2);
  return [
    across * Math.cos(latitude) * Math.cos(longitude),
    across * Math.cos(latitude) * Math.sin(longitude),
    across * (1 - ECCENTRICITY_SQUARED) * Math.sin(latitude),
  ];
}

/**
 * The plane that touches the ellipsoid at its origin; a place falls on it along the vertical of the origin. The
 * same plane as the server's, so that what is drawn is what is measured. A map is drawn on one of these.
 *
 * Source: IOGP Guidance Note 7-2, section 4.1.2 (topocentric conversion), at height 0.
 */
export class Plane {
  readonly #centre: [number, number, number];
  readonly #east: [number, number, number];
  readonly #north: [number, number, number];

  constructor(readonly origin: Position) {
    const [longitude, latitude] = [origin[0]! * DEGREE, origin[1]! * DEGREE];
    this.#centre = earthCentred(longitude, latitude);
    this.#east = [-Math.sin(longitude), Math.cos(longitude), 0];
    this.#north = [
      -Math.sin(latitude) * Math.cos(longitude),
      -Math.sin(latitude) * Math.sin(longitude),
      Math.cos(latitude),
    ];
  }

  #project(longitude: number, latitude: number): [number, number] {
    const here = earthCentred(longitude, latitude);
    const [x, y, z] = [here[0] - this.#centre[0], here[1] - this.#centre[1], here[2] - this.#centre[2]];
    const [east, north] = [this.#east, this.#north];
    return [x * east[0] + y * east[1] + z * east[2], x * north[0] + y * north[1] + z * north[2]];
  }

  /** Where a position falls on the plane. */
  spot(position: Position): Spot {
    return this.#project(position[0]! * DEGREE, position[1]! * DEGREE);
  }

  /** The position that falls on a spot, rounded to a tenth of a millimetre. */
  position(spot: Spot): Position {
    let [longitude, latitude] = [this.origin[0]! * DEGREE, this.origin[1]! * DEGREE];
    // Newton's method with slopes taken over a step of about six metres; three rounds do within 5 km.
    const step = 1e-6;
    for (let round = 0; round < 12; round += 1) {
      const here = this.#project(longitude, latitude);
      const east = this.#project(longitude + step, latitude);
      const north = this.#project(longitude, latitude + step);
      const [a, b] = [(east[0] - here[0]) / step, (north[0] - here[0]) / step];
      const [c, d] = [(east[1] - here[1]) / step, (north[1] - here[1]) / step];
      const [dx, dy] = [spot[0] - here[0], spot[1] - here[1]];
      const determinant = a * d - b * c;
      if (determinant === 0) break;
      const turn = (dx * d - b * dy) / determinant;
      const rise = (a * dy - c * dx) / determinant;
      longitude += turn;
      latitude += rise;
      if (Math.abs(turn) + Math.abs(rise) < 1e-14) break;
    }
    const rounded = (angle: number) => Number((angle / DEGREE).toFixed(DECIMALS));
    return [rounded(longitude), rounded(latitude)];
  }
}

/** Whether two numbers are a longitude and a latitude. */
export function isPosition(value: unknown): value is Position {
  if (!Array.isArray(value)) return false;
  const [longitude, latitude] = value as unknown[];
  return (
    typeof longitude === "number" &&
    typeof latitude === "number" &&
    Math.abs(longitude) <= 180 &&
    Math.abs(latitude) <= 90
  );
}

/** The distance of two spots in metres. */
export function distance(one: Spot, other: Spot): number {
  return Math.hypot(other[0] - one[0], other[1] - one[1]);
}
