import type { Side } from "../parts/meeting";
import { idOf, type MapFeature, type PropertyMap } from "./document";

/** What became of a feature on one side since both sides were one. */
export type Fate = "same" | "changed" | "added" | "gone";

/** A feature that is not the same on both sides. */
export interface Difference {
  readonly id: string;
  readonly mine: Fate;
  readonly theirs: Fate;
}

/** JSON with its members in one order, so that equal things are equal texts. */
export function canonical(value: unknown): string {
  return JSON.stringify(value, (_, inner: unknown) =>
    typeof inner === "object" && inner !== null && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([one], [other]) => (one < other ? -1 : 1)))
      : inner,
  );
}

function byId(map: PropertyMap): Map<string, MapFeature> {
  return new Map(map.features.map((feature, at) => [idOf(feature, at + 1), feature]));
}

function fate(base: MapFeature | undefined, now: MapFeature | undefined): Fate {
  if (!base) return now ? "added" : "same";
  if (!now) return "gone";
  return canonical(base.json) === canonical(now.json) ? "same" : "changed";
}

/** Features that differ between two maps that were made of one, by id, in the order in which they are met. */
export function differences(base: PropertyMap, mine: PropertyMap, theirs: PropertyMap): Difference[] {
  const [was, here, there] = [byId(base), byId(mine), byId(theirs)];
  const ids = new Set([...there.keys(), ...here.keys(), ...was.keys()]);
  return [...ids]
    .map((id) => ({ id, mine: fate(was.get(id), here.get(id)), theirs: fate(was.get(id), there.get(id)) }))
    .filter(({ id, mine: own, theirs: other }) => {
      if (own === "same" && other === "same") return false;
      const [one, two] = [here.get(id), there.get(id)];
      return !(one && two && canonical(one.json) === canonical(two.json)) && Boolean(one ?? two);
    });
}

/** Who alone changed a feature; null where both did and a person must choose. */
export function onlyChanger({ mine, theirs }: Difference): Side | null {
  if (theirs === "same") return "mine";
  return mine === "same" ? "theirs" : null;
}

/** Their map with the features that were chosen from mine. */
export function merged(
  mine: PropertyMap,
  theirs: PropertyMap,
  chosen: ReadonlyMap<string, Side>,
): PropertyMap {
  const [here, there] = [byId(mine), byId(theirs)];
  const features: MapFeature[] = [];
  for (const [id, feature] of there) {
    const own = here.get(id);
    if (chosen.get(id) !== "mine") features.push(own ? { ...feature, key: own.key } : feature);
    else if (own) features.push(own);
  }
  for (const [id, feature] of here) {
    if (!there.has(id) && chosen.get(id) === "mine") features.push(feature);
  }
  return { members: theirs.members, features };
}
