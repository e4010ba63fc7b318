// Two people's versions of one visit, held against the one that both began with, and put together part by part.
import { filledIn, isSame } from "../../form/value";
import type { Side } from "../../parts/meeting";
import { isKept } from "./choices";
import type { State } from "./editor.svelte";
import type { TaskFields, VisitFields } from "./request";

/** A part in which two versions differ. */
export interface Difference {
  /** The field of the request, or `task/` and the task's name. */
  part: string;
  base: unknown;
  mine: unknown;
  theirs: unknown;
  /** Whose it is where only one of them changed it; null where both did. */
  proposed: Side | null;
}

const TASK = "task/";

/** The name of the task of a part; null for any other part. */
export function taskOf(part: string): string | null {
  return part.startsWith(TASK) ? part.slice(TASK.length) : null;
}

/** Tasks are parts of their own as long as each has a name of its own. */
function areNamed(state: State): boolean {
  const names = state.fields.task.map((task) => task.id);
  return names.every((name, at) => name && names.indexOf(name) === at);
}

/** The parts of a visit, each with what it says and with the texts that go along under its names. */
function partsOf(state: State, byTask: boolean): Map<string, { says: unknown; texts: [string, string][] }> {
  const parts = new Map<string, { says: unknown; texts: [string, string][] }>();
  for (const [name, says] of Object.entries(filledIn(state.fields) as Record<string, unknown>)) {
    if (name === "task" && byTask) continue;
    const named = (Array.isArray(says) ? says : [says]).filter((one) => typeof one === "string");
    const texts = named.flatMap((one): [string, string][] => {
      const text = isKept(one) ? undefined : state.files[one];
      return text === undefined ? [] : [[one, text]];
    });
    parts.set(name, { says, texts });
  }
  if (byTask)
    for (const task of state.fields.task) parts.set(TASK + task.id, { says: filledIn(task), texts: [] });
  return parts;
}

/** Where two versions differ that began with the same one. */
export function differences(base: State, mine: State, theirs: State): Difference[] {
  const byTask = [base, mine, theirs].every(areNamed);
  const [began, my, their] = [base, mine, theirs].map((state) => partsOf(state, byTask)) as [
    ReturnType<typeof partsOf>,
    ReturnType<typeof partsOf>,
    ReturnType<typeof partsOf>,
  ];
  return [...new Set([...my.keys(), ...their.keys()])]
    .filter((part) => !isSame(my.get(part), their.get(part)))
    .map((part) => ({
      part,
      base: began.get(part)?.says,
      mine: my.get(part)?.says,
      theirs: their.get(part)?.says,
      proposed: isSame(began.get(part), their.get(part))
        ? "mine"
        : isSame(began.get(part), my.get(part))
          ? "theirs"
          : null,
    }));
}

/** Puts two versions together: theirs, but for the parts that are to be mine. */
export function joined(mine: State, theirs: State, isMine: ReadonlySet<string>): State {
  const fields = structuredClone(theirs.fields) as VisitFields;
  const files = { ...theirs.files };
  const byTask = areNamed(mine) && areNamed(theirs);
  const my = partsOf(mine, byTask);
  for (const part of isMine) {
    const task = byTask ? taskOf(part) : null;
    const told = my.get(part);
    if (task !== null) fields.task = withTask(fields.task, mine.fields.task, task);
    else if (told === undefined) delete fields[part];
    else fields[part] = structuredClone(told.says);
    for (const [name, text] of told?.texts ?? []) files[name] = text;
  }
  const { drawnOn } = isMine.has("property") ? mine : theirs;
  return { fields, files, ...(drawnOn === undefined ? {} : { drawnOn }) };
}

/** Tasks in their order, one of them as it stands among mine: changed, added behind, or gone. */
function withTask(theirs: readonly TaskFields[], mine: readonly TaskFields[], id: string): TaskFields[] {
  const wanted = mine.find((task) => task.id === id);
  const rest = theirs.filter((task) => wanted !== undefined || task.id !== id);
  if (wanted === undefined) return rest;
  const put = structuredClone(wanted);
  const there = rest.some((task) => task.id === id);
  return there ? rest.map((task) => (task.id === id ? put : task)) : [...rest, put];
}
