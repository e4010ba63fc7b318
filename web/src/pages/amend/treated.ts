// What of a task can be put right beside its tanks: its ground, its wall, its places, its sprayer.
import type { Settings } from "../../house/settings.svelte";
import { amend as words } from "../../words/amend";
import { UNITS, written } from "../../yard/units";
import { idOf } from "../as-applied/as-applied";
import type { Wrong } from "../as-applied/reading";
import type { LeftWritten } from "../as-applied/written";
import type { RecordJson } from "./amended";
import { groundOf, recordedGround } from "./ground";

type Fields = Record<string, unknown>;
type Units = Settings["units"];
type Told = Exclude<keyof Treated, "recorded" | "rest">;

/** What the form shows of it. */
export interface Treated {
  /** GeoJSON of the ground that was treated in fact; nothing where the record's holds. */
  ground: string;
  /**
   * GeoJSON of the ground that the record has: not shown, so that another's is not overwritten unseen. Nothing of a rest, whose
   * ground is put right with its tank.
   */
  recorded: string;
  wall: string;
  places: string;
  equipment: string;
  /** What was left over of it; null where that is told with its tanks. */
  rest: LeftWritten | null;
}

export function treatedOf(
  task: RecordJson["tasks"][number],
  units: Units,
  isRest: boolean,
  rest: LeftWritten | null,
): Treated {
  const { wall_m2, places, equipment } = task;
  return {
    ground: "",
    recorded: isRest ? "" : recordedGround(task),
    wall: wall_m2 === 0 ? "" : String(Number((wall_m2 / UNITS.area[units].per).toPrecision(6))),
    places: typeof places === "object" ? String(places.recorded) : "",
    equipment: typeof equipment === "object" ? equipment.recorded : "",
    rest,
  };
}

/** What of a task is told otherwise, as fields of an as-applied file; and what is wrong with it. */
export function treatedAnew(
  before: Treated,
  after: Treated,
  at: number,
  task: string,
  units: Units,
): { fields: Fields; wrong: Wrong[] } {
  const fields: Fields = {};
  const wrong: Wrong[] = [];
  const id = idOf(at);
  const fault = (name: Told, expected: string) =>
    wrong.push({
      id: `${id}-${name}`,
      name: `${task}, ${words.treated[name]}`,
      // A file of ground is not told back whole.
      found: name === "ground" ? words.aText : after[name].trim(),
      expected,
    });
  const isOther = (name: Told) => after[name].trim() !== before[name].trim();
  const isGone = (name: Told) => {
    if (after[name].trim() !== "") return false;
    wrong.push({
      id: `${id}-${name}`,
      name: `${task}, ${words.treated[name]}`,
      found: "",
      expected: words.expects.said(before[name]),
    });
    return true;
  };
  if (after.ground.trim() !== "") {
    const ground = groundOf(after.ground);
    if (ground === null) fault("ground", words.expects.ground);
    else fields.ground = ground;
  }
  if (isOther("wall") && !isGone("wall")) {
    const wall = written(after.wall);
    if (wall === null || !(wall >= 0)) fault("wall", words.expects.area);
    else fields.wall = `${wall} ${UNITS.area[units].word}`;
  }
  if (isOther("places") && !isGone("places")) {
    const places = written(after.places);
    if (places === null || !Number.isInteger(places) || places < 0) fault("places", words.expects.places);
    else fields.places = places;
  }
  if (isOther("equipment") && !isGone("equipment")) fields.equipment = after.equipment.trim();
  return { fields, wrong };
}
