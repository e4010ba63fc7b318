// A form as single answers, so that two people's are put together answer by answer.
import type { Part, Side } from "../../parts/meeting";
import { amend as words } from "../../words/amend";
import type { Amended } from "./amended";
import { groundSaid } from "./ground";

type Json = Record<string, unknown>;

/** What is held against another's: without what nobody answers, and the ground that holds as one answer. */
function answersOf({ against: _, ...all }: Amended) {
  const treated = all.treated.map(
    (one) => one && { ...one, recorded: undefined, ground: one.ground.trim() || (one.recorded ?? "") },
  );
  return { ...all, treated };
}

/** With its tasks in the order of another's: a rest that is told again stands behind all others. */
function inOrderOf(one: Amended, other: Amended): Amended {
  const places = other.tasks.map(({ id }) => one.tasks.findIndex((task) => task.id === id));
  const ordered = <Of>(all: readonly Of[]) => places.map((at) => all[at]) as Of[];
  return { ...one, tasks: ordered(one.tasks), treated: ordered(one.treated) };
}

const isGround = (path: string) => /^treated\[\d+\]\.ground$/.test(path);

const isOne = (value: unknown, path: string) =>
  typeof value !== "object" || value === null || path === "notices" || path === "unfit";

/** Each answer by its path; a list of notices is one, and so are counts. */
function leaves(value: unknown, path: string, found: Map<string, unknown>): Map<string, unknown> {
  const isList = Array.isArray(value);
  if (isOne(value, path)) found.set(path, value);
  else
    for (const [step, inner] of Object.entries(value as Json))
      leaves(inner, isList ? `${path}[${Number(step) + 1}]` : path === "" ? step : `${path}.${step}`, found);
  return found;
}

/** Where two people's answers differ, each held against what both began with. */
export function partsOf(base: Amended, mine: Amended, theirs: Amended): Part[] {
  const [was, here, there] = [base, mine, theirs].map((one) =>
    leaves(answersOf(inOrderOf(one, theirs)), "", new Map()),
  ) as [Map<string, unknown>, Map<string, unknown>, Map<string, unknown>];
  const parts: Part[] = [];
  for (const [path, value] of here) {
    const other = there.get(path);
    if (!there.has(path) || same(value, other)) continue;
    const before = was.get(path);
    const proposed: Side | null = same(before, other) ? "mine" : same(before, value) ? "theirs" : null;
    const told = (one: unknown) => {
      if (!isGround(path)) return said(one);
      const ground = groundSaid((one as string | undefined) ?? "", mine.units);
      const isOther = !same(one, before) && ground === groundSaid((before as string) ?? "", mine.units);
      return isOther ? words.drawnOtherwise(ground) : ground;
    };
    parts.push({
      key: path,
      legend: pathWords(path, theirs),
      before: told(before),
      mine: told(value),
      theirs: told(other),
      proposed,
    });
  }
  return parts;
}

/** The tasks that mine tells otherwise, and theirs has no more: nothing can be told of them. */
export function lostOf(base: Amended, mine: Amended, theirs: Amended): string[] {
  const isThere = (id: string) => theirs.tasks.some((task) => task.id === id);
  const toldOf = (all: Amended, id: string) => {
    const at = all.tasks.findIndex((task) => task.id === id);
    return [all.tasks[at], all.treated[at]];
  };
  return mine.tasks
    .map(({ id }) => id)
    .filter((id) => !isThere(id) && !same(toldOf(base, id), toldOf(mine, id)));
}

/** Theirs, but for the answers that are to be mine. */
export function joinedOf(mine: Amended, theirs: Amended, isMine: ReadonlySet<string>): Amended {
  const put = (own: unknown, other: unknown, path: string): unknown => {
    if (isOne(other, path)) return isMine.has(path) ? own : other;
    if (Array.isArray(other))
      return other.map((one, at) => put((own as unknown[] | undefined)?.[at], one, `${path}[${at + 1}]`));
    return Object.fromEntries(
      Object.entries(other as Json).map(([step, one]) => [
        step,
        put((own as Json | undefined)?.[step], one, path === "" ? step : `${path}.${step}`),
      ]),
    );
  };
  const joined = put(answersOf(inOrderOf(mine, theirs)), answersOf(theirs), "") as Amended;
  const treated = joined.treated.map((one, at) => {
    const { recorded } = theirs.treated[at]!;
    // Where the record's holds, none is told.
    return { ...one, recorded, ground: one.ground === recorded ? "" : one.ground };
  });
  return { ...joined, treated, against: theirs.against };
}

const same = (one: unknown, other: unknown) => shownOf(one) === shownOf(other);

/** Without the moment behind a field, which nobody sees. */
const shownOf = (value: unknown) =>
  JSON.stringify(value, (key, one: unknown) => (key === "told" ? undefined : one));

function said(value: unknown): string {
  if (value === "" || value === undefined) return words.empty;
  if (typeof value === "boolean") return value ? "✓" : "–";
  return typeof value === "string" ? value : shownOf(value);
}

/** A path in words: `tasks[1].tanks[2].covered` is `lawn, tank 2: covered`. */
function pathWords(path: string, of: Amended): string {
  const [, task, tank, rest] = /^(?:tasks|treated)\[(\d+)\](?:\.tanks\[(\d+)\])?\.(.*)$/.exec(path) ?? [];
  const spaced = (text: string) =>
    text
      .replace(/([A-Z])/g, " $1")
      .toLowerCase()
      .replaceAll(".", ", ");
  if (task === undefined) return spaced(path.replace(/^people\./, ""));
  const place = `${of.tasks[Number(task) - 1]?.id ?? task}${tank === undefined ? "" : `, tank ${tank}`}`;
  return `${place}: ${spaced((rest ?? "").replace(/^rest\./, ""))}`;
}
