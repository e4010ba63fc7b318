// A rest of a tank that was put down on other ground, which made a task of its own in the record.
import { idOf } from "../as-applied/as-applied";
import type { RecordJson } from "./amended";

/** Where a rest was put down, as the record has it. */
export interface PutDown {
  /** The task that it made. */
  task: string;
  /** For whom it was made. */
  of: string;
  ground: unknown;
  site: string;
}

/** The identifier of what was left in a tank, counted from nothing; below it, of a task without tanks. */
export const restId = (task: number, tank: number): string =>
  tank < 0 ? `${idOf(task)}-rest` : idOf(task, tank);

/** Every rest that made a task, by the identifier of that in which it was left. */
export function putDownOf(record: RecordJson): Readonly<Record<string, PutDown>> {
  const all = typeof record.leftover === "object" ? record.leftover.recorded : [];
  const found = all.flatMap(({ task, tank, became }): [string, PutDown][] => {
    const made = typeof became === "object" ? became.recorded : {};
    if (!("applied_as_task" in made)) return [];
    const at = record.tasks.findIndex(({ id }) => id === task);
    const own = record.tasks.find(({ id }) => id === made.applied_as_task);
    const ground = own?.zones[0]?.ground;
    const site = typeof own?.sites === "object" ? own.sites.recorded[0] : undefined;
    if (at < 0 || own === undefined || ground === undefined || site === undefined) return [];
    const last = record.tasks[at]!.tanks.map(({ filled }) => filled !== null).lastIndexOf(true);
    return [[restId(at, tank == null ? last : tank - 1), { task: own.id, of: task, ground, site }]];
  });
  return Object.fromEntries(found);
}
