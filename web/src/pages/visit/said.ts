// What a part of a visit says, told to a person in the words of the form: never in the names of fields.
import { visitWords as words } from "../../words/visit";
import { BOOKS, isKept } from "./choices";
import { aimOf } from "./request";

type Fields = Record<string, unknown>;

/** What the fields of a group are called where the form asks for them. */
const CALLED: Record<string, Record<string, string>> = {
  applicator: {
    name: words.applicator,
    certification: words.certification,
    certified: words.certified,
  },
  finding: {
    id: words.findingName,
    pest: words.pest,
    profile: words.profile,
    survey: words.survey,
    stage: words.stage,
    basis: words.basis,
    identified_by: words.identifiedBy,
    counts: words.counts,
    count_area: words.countArea,
    method: words.countMethod,
    threshold: words.threshold,
    count: words.thresholdCount,
    area: words.thresholdArea,
    place: words.thresholdPlace,
    source: words.thresholdSource,
    preventive: words.preventive,
  },
  task: {
    id: words.taskName,
    method: words.method,
    finding: words.restsOn,
    pest: words.taskPest,
    label: words.label,
    rate: words.rate,
    partner: words.partners,
    equipment: words.sprayer,
    calibration: words.calibration,
    spray: words.spray,
    target: words.where,
    overlap: words.overlap,
    site: words.site,
    hot_spots: words.aims["hot-spots"],
    may_stay: words.mayStay,
    structures: words.buildings,
    band_width: words.bandWidth,
    wall_height: words.wallHeight,
    features: words.shapes,
    entry_points: words.aims["entry-points"],
    width: words.gapWidth,
    places: words.count,
    ground: words.ground,
  },
  setbacks: words.distanceFrom,
  feature: {
    in_bloom: words.bloom.yes!,
    seen_on: words.seenOn,
    wall_height: words.wallHeight,
  },
};

/** Words that stand for a value of a field. */
const VALUES: Record<string, Record<string, string>> = {
  method: words.methods,
  site: words.sites,
  hot_spots: words.sites,
  overlap: words.overlaps,
  rate: words.rates,
  structures: { all: words.allBuildings },
  entry_points: { all: words.allBuildings },
};

/** What a name of the request stands for, where a person knows it by another: a label, a sprayer, a shape. */
export type Known = (name: string) => string | undefined;

/** What a part says: each field of a group on a line of its own. */
export function saidOf(part: string, says: unknown, known: Known = () => undefined): string {
  if (part === "history")
    return words.histories[says === "unknown" ? "unknown" : says === `${BOOKS}history` ? "books" : "file"];
  if (part === "property" && typeof says === "string") return isKept(says) ? words.keptMap : words.ownMap;
  return told(part, "", says, known) || words.nothingSaid;
}

/** How a field of a group is called. */
function called(group: string, field: string, known: Known): string {
  const own = CALLED[group]?.[field] ?? known(field) ?? field.replaceAll("_", " ");
  return own.charAt(0).toUpperCase() + own.slice(1);
}

function told(group: string, field: string, says: unknown, known: Known): string {
  if (says === undefined || says === null || says === "") return "";
  if (typeof says === "boolean") return words.isOpen[says ? "true" : "false"];
  if (Array.isArray(says)) {
    const all = says.map((one) => told(group, field, one, known));
    return all.join(says.some((one) => typeof one === "object") ? "\n" : ", ");
  }
  if (typeof says === "object") {
    if (group === "property") return words.ownMap;
    if (field === "target" && aimOf(says as Fields) === "turf") return words.aims.turf;
    return Object.entries(says as Fields)
      .map(([name, one]) => {
        const value = told(group, name, one, known);
        return `${called(group, name, known)}: ${value.includes("\n") ? value.replaceAll("\n", "; ") : value}`;
      })
      .join("\n");
  }
  const text = String(says as string | number);
  return VALUES[field]?.[text] ?? known(text) ?? text;
}
