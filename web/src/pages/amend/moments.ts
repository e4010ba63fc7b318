// Moments of a record: each keeps its day, its clock and its seconds, which a form does not show.
import { idOf } from "../as-applied/as-applied";
import type { Amended, RecordedWork } from "./amended";

type Fields = Record<string, unknown>;

/** The clock of a moment, such as `-05:00`; `null` where it does not tell it. */
export function offsetOf(moment: string | undefined): string | null {
  const offset = /(?:Z|[+-]\d\d:\d\d)$/.exec(moment?.slice(10) ?? "")?.[0] ?? null;
  return offset === "Z" ? "+00:00" : offset;
}

/**
 * A moment as it is told.
 *
 * @param text day and time as they stand in the form, `2026-07-07T07:05`
 * @param told as the record has it, RFC 3339
 * @param offset the clock of the record, for what has none of its own
 */
export const momentOf = (text: string, told: string | undefined, offset: string | null): string =>
  told !== undefined && told.slice(0, 16) === text ? told : `${text}:00${offsetOf(told) ?? offset ?? ""}`;

const DAY = 86_400_000;

/** A day as far from one as another day is from a second: where the day of the work moves, its moments move along. */
function moved(day: string, from: string, to: string): string {
  const apart = Date.parse(to) - Date.parse(from);
  return new Date(Date.parse(day) + Math.round(apart / DAY) * DAY).toISOString().slice(0, 10);
}

/** The fields of an as-applied file with each moment by its own day and clock, where the record has one. */
export function ownMoments(fields: Fields, work: RecordedWork, all: Amended): Fields {
  const own = (id: string, text: string, said: unknown): unknown => {
    const told = work.moments[id];
    if (told === undefined || said === undefined || all.day === "") return said;
    const day = moved(told.slice(0, 10), work.date, all.day);
    return momentOf(`${day}T${text.trim().padStart(5, "0")}`, `${day}${told.slice(10)}`, work.offset);
  };
  const put = (of: Fields, key: string, id: string, text: string): Fields =>
    of[key] === undefined ? of : { ...of, [key]: own(id, text, of[key]) };
  const task = (fields.task as (Fields | undefined)[] | undefined)?.map((task, at) => {
    const tank = (task?.tank as Fields[] | undefined)?.map((tank) => {
      const index = Number(tank.number) - 1;
      const written = all.tasks[at]?.tanks[index];
      if (written === undefined) return tank;
      const id = idOf(at, index);
      const filled = put(tank, "filled_at", `${id}-filled`, written.filledAt);
      return put(filled, "emptied_at", `${id}-emptied`, written.emptiedAt);
    });
    return tank === undefined ? task : { ...task, tank };
  });
  const started = put(fields, "started", "started", all.started);
  const ended = put(started, "ended", "ended", all.ended);
  return task === undefined ? ended : { ...ended, task };
}
