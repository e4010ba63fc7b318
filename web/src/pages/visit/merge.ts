// Two people's versions of one visit, held against the one that both began with, and put together part by part.
import { filledIn, isSame } from "../../form/value";
import type { Side } from "../../parts/meeting";
import { isKept } from "./choices";
import type { State } from "./editor.svelte";
import { findingFrom, findingsOf, type Finding, type TaskFields, type VisitFields } from "./request";

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
const FINDING = "finding/";

/** The name of the task of a part; null for any other part. */
export function taskOf(part: string): string | null {
  return part.startsWith(TASK) ? part.slice(TASK.length) : null;
}

/** The name of the finding of a part; null for any other part. */
export function findingOf(part: string): string | null {
  return part.startsWith(FINDING) ? part.slice(FINDING.length) : null;
}

const areApart = (names: readonly string[]) => names.every((name, at) => name && names.indexOf(name) === at);

/** A finding without a name of its own is called as its pest. */
const nameOf = ({ id, pest }: Finding) => id || (pest?.trim() ?? "");

/** What is told part by part: tasks and findings, as long as each has a name that no other has. */
interface Apart {
  tasks: boolean;
  findings: boolean;
}

function apartIn(states: readonly State[]): Apart {
  const found = states.map(({ fields }) => findingsOf(fields));
  return {
    tasks: states.every(({ fields }) => areApart(fields.task.map(({ id }) => id))),
    // One finding is one part, whatever its pest becomes.
    findings: found.some((all) => all.length > 1) && found.every((all) => areApart(all.map(nameOf))),
  };
}

interface Part {
  says: unknown;
  /** The texts that go along under its names. */
  texts: [string, string][];
}

/** The parts of a visit, each with what it says. */
function partsOf(state: State, apart: Apart): Map<string, Part> {
  const parts = new Map<string, Part>();
  const textsOf = (names: readonly unknown[]) =>
    names.flatMap((one): [string, string][] => {
      const text = typeof one !== "string" || isKept(one) ? undefined : state.files[one];
      return text === undefined ? [] : [[one as string, text]];
    });
  const ofFinding = ({ survey, profile }: Finding) => textsOf([survey, profile]);
  const found = findingsOf(state.fields);
  for (const [name, says] of Object.entries(filledIn(state.fields) as Record<string, unknown>)) {
    if ((name === "task" && apart.tasks) || (name === "finding" && apart.findings)) continue;
    const texts =
      name === "finding" ? found.flatMap(ofFinding) : textsOf(Array.isArray(says) ? says : [says]);
    parts.set(name, { says, texts });
  }
  if (apart.findings)
    for (const finding of found) {
      const { id, ...rest } = filledIn(finding);
      const says = id === undefined || id === rest.pest ? rest : { id, ...rest };
      parts.set(FINDING + nameOf(finding), { says, texts: ofFinding(finding) });
    }
  if (apart.tasks)
    for (const task of state.fields.task) parts.set(TASK + task.id, { says: filledIn(task), texts: [] });
  return parts;
}

/** Where two versions differ that began with the same one. */
export function differences(base: State, mine: State, theirs: State): Difference[] {
  const apart = apartIn([base, mine, theirs]);
  const [began, my, their] = [partsOf(base, apart), partsOf(mine, apart), partsOf(theirs, apart)];
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
  const apart = apartIn([mine, theirs]);
  // Parts by finding were told by three versions, of which two may not show it.
  const findings = [...isMine].some((part) => findingOf(part) !== null);
  const my = partsOf(mine, { ...apart, findings });
  for (const part of isMine) {
    const task = apart.tasks ? taskOf(part) : null;
    const finding = findingOf(part);
    const told = my.get(part);
    if (task !== null) fields.task = withTask(fields.task, mine.fields.task, task);
    else if (finding !== null) {
      const found = withFinding(fields, mine.fields, finding);
      if (found === undefined) delete fields.finding;
      else fields.finding = found;
    } else if (told === undefined) delete fields[part];
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

/** Findings in their order, one of them as it stands among mine: changed, added behind, or gone. */
function withFinding(theirs: VisitFields, mine: VisitFields, name: string): VisitFields["finding"] {
  const is = (finding: Finding) => nameOf(finding) === name;
  const wanted = findingsOf(mine).find(is);
  const there = findingsOf(theirs);
  if (wanted === undefined) return findingFrom(there.filter((finding) => !is(finding)));
  const put = structuredClone(wanted);
  return findingFrom(there.some(is) ? there.map((one) => (is(one) ? put : one)) : [...there, put]);
}
