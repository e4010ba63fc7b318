// Two people's versions of one file, held against the one that both began with, and put together part by part.
import type { Side } from "../parts/meeting";
import { isSame } from "./value";

/** What stands in a form: the file as fields, and what is kept beside it. */
export interface Entered<Beside = Record<string, string>> {
  readonly fields: Record<string, unknown>;
  readonly beside: Beside;
}

/** A part in which two versions differ. */
export interface Difference {
  /** Where it stands: fields of groups, and entries of lists by their own names in brackets. */
  readonly path: readonly string[];
  readonly base: unknown;
  readonly mine: unknown;
  readonly theirs: unknown;
  /** Whose it is where only one of them changed it; null where both did. */
  readonly proposed: Side | null;
}

type Json = Record<string, unknown>;
/** A part within another: the step to it, and what each side says there. */
interface Branch {
  step: string;
  base: unknown;
  mine: unknown;
  theirs: unknown;
}

/** Whose entries belong together as they are: runs that were measured at once, what one ingredient is. */
const WHOLE = ["calibration", "active_ingredient"];

function isGroup(value: unknown): value is Json {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** A sentence and the figures that were read from it are one. */
function isSentence(group: Json): boolean {
  return typeof group.text === "string" && group.id === undefined;
}

/** The own names of the entries of a list; null where they have none, or share one. */
function namesOf(list: readonly unknown[]): string[] | null {
  const names = list.map((one) => (isGroup(one) ? (one.id ?? one.name) : undefined));
  return names.every((name, at) => typeof name === "string" && name !== "" && names.indexOf(name) === at)
    ? (names as string[])
    : null;
}

/** The parts that a part is made of; null where it is one that holds or does not as a whole. */
function branches(base: unknown, mine: unknown, theirs: unknown, isWhole: boolean): Branch[] | null {
  if (isWhole) return null;
  if (isGroup(mine) && isGroup(theirs)) {
    if (isSentence(mine) || isSentence(theirs)) return null;
    const was = isGroup(base) ? base : {};
    return [...new Set([...Object.keys(theirs), ...Object.keys(mine)])].map((step) => ({
      step,
      base: was[step],
      mine: mine[step],
      theirs: theirs[step],
    }));
  }
  if (!Array.isArray(mine) || !Array.isArray(theirs)) return null;
  const began = Array.isArray(base) ? base : [];
  const names = [began, mine, theirs].map(namesOf);
  const [was, here, there] = names;
  if (!was || !here || !there) return null;
  // Another order is another list.
  const common = here.filter((name) => there.includes(name));
  if (
    !isSame(
      common,
      there.filter((name) => here.includes(name)),
    )
  )
    return null;
  return [...there, ...here.filter((name) => !there.includes(name))].map((name) => ({
    step: `[${name}]`,
    base: began[was.indexOf(name)],
    mine: mine[here.indexOf(name)],
    theirs: theirs[there.indexOf(name)],
  }));
}

/** Goes through what differs, down to the smallest parts that hold or do not. */
function walk(
  path: readonly string[],
  { base, mine, theirs }: Omit<Branch, "step">,
  decide: (found: Difference) => Side,
): unknown {
  if (isSame(mine, theirs)) return theirs;
  const isWhole = WHOLE.includes(path.at(-2) ?? "");
  const inner = branches(base, mine, theirs, isWhole);
  if (inner === null) {
    const proposed = isSame(base, theirs) ? "mine" : isSame(base, mine) ? "theirs" : null;
    const found: Difference = { path, base, mine, theirs, proposed };
    return decide(found) === "mine" ? mine : theirs;
  }
  const put = inner
    .map((one) => [one.step, walk([...path, one.step], one, decide)] as const)
    .filter(([, value]) => value !== undefined);
  return Array.isArray(theirs) ? put.map(([, value]) => value) : Object.fromEntries(put);
}

const whole = <Beside>(base: Entered<Beside>, mine: Entered<Beside>, theirs: Entered<Beside>) => ({
  base: { ...base.fields, beside: base.beside },
  mine: { ...mine.fields, beside: mine.beside },
  theirs: { ...theirs.fields, beside: theirs.beside },
});

/** What a part is told apart by. */
export const keyOf = (path: readonly string[]) => JSON.stringify(path);

/** Where two versions differ that began with the same one. */
export function differences<Beside>(
  base: Entered<Beside>,
  mine: Entered<Beside>,
  theirs: Entered<Beside>,
): Difference[] {
  const found: Difference[] = [];
  walk([], whole(base, mine, theirs), (one) => {
    found.push(one);
    return "theirs";
  });
  return found;
}

/** Puts two versions together: theirs, but for the parts that are to be mine. */
export function joined<Beside>(
  base: Entered<Beside>,
  mine: Entered<Beside>,
  theirs: Entered<Beside>,
  isMine: ReadonlySet<string>,
): Entered<Beside> {
  const put = walk([], whole(base, mine, theirs), ({ path }) =>
    isMine.has(keyOf(path)) ? "mine" : "theirs",
  );
  const { beside, ...fields } = structuredClone(put) as Json & { beside: Beside };
  return { fields, beside };
}

/** What the sides say of a part, with only that of it in which they differ. */
export function apart({ base, mine, theirs }: Difference): { base: unknown; mine: unknown; theirs: unknown } {
  const sides = [base, mine, theirs].filter((side) => side !== undefined);
  if (sides.length > 1 && sides.every(isGroup)) {
    const differs = (name: string) => !sides.every((side) => isSame(side[name], sides[0]![name]));
    const cut = (side: unknown) =>
      side && Object.fromEntries(Object.entries(side).filter(([name]) => differs(name)));
    return { base: cut(base), mine: cut(mine), theirs: cut(theirs) };
  }
  if (sides.length > 1 && sides.every(Array.isArray)) {
    const isEverywhere = (one: unknown) =>
      sides.every((side: unknown[]) => side.some((other) => isSame(one, other)));
    const cut = (side: unknown) => side && (side as unknown[]).filter((one) => !isEverywhere(one));
    return { base: cut(base), mine: cut(mine), theirs: cut(theirs) };
  }
  return { base, mine, theirs };
}
