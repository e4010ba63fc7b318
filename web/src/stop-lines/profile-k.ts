// The k that the profile of a pest publishes, and whether it is one of counts like these (crates/scouting/src/profile_k.rs).
import type { Pest } from "../key/reckon";
import type { Basis } from "./basis";

export type Clumping = NonNullable<Pest["clumping"]>;

/** Areas of a count that differ by no more than this share count as one. */
const SAME_AREA = 0.1;

/** The k for counts on so much; null where it is of counts on another area, or these are on no ground. */
export function kOfProfile(clumping: Clumping | null, each: Basis | null): number | null {
  if (clumping === null || each?.kind !== "area") return null;
  return Math.abs(each.size / clumping.unit_area_m2 - 1) <= SAME_AREA ? clumping.k : null;
}
