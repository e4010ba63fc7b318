// A form as single answers, so that two people's are put together answer by answer.
import type { Part, Side } from "../../parts/meeting";
import { amend as words } from "../../words/amend";
import type { Amended } from "./amended";

type Json = Record<string, unknown>;

/** Each answer by its path; a list of notices is one, and so are counts. */
function leaves(value: unknown, path: string, found: Map<string, unknown>): Map<string, unknown> {
  const isList = Array.isArray(value);
  const isOne = typeof value !== "object" || value === null || path === "notices" || path === "unfit";
  if (isOne) found.set(path, value);
  else
    for (const [step, inner] of Object.entries(value as Json))
      leaves(inner, isList ? `${path}[${Number(step) + 1}]` : path === "" ? step : `${path}.${step}`, found);
  return found;
}

/** Where two people's answers differ, each held against what both began with. */
export function partsOf(base: Amended, mine: Amended, theirs: Amended): Part[] {
  const [was, here, there] = [base, mine, theirs].map((one) => leaves(one, "", new Map())) as [
    Map<string, unknown>,
    Map<string, unknown>,
    Map<string, unknown>,
  ];
  const parts: Part[] = [];
  for (const [path, value] of here) {
    const other = there.get(path);
    if (!there.has(path) || same(value, other)) continue;
    const before = was.get(path);
    const proposed: Side | null = same(before, other) ? "mine" : same(before, value) ? "theirs" : null;
    parts.push({
      key: path,
      legend: pathWords(path, mine),
      before: said(before),
      mine: said(value),
      theirs: said(other),
      proposed,
    });
  }
  return parts;
}

/** Theirs, but for the answers that are to be mine. */
export function joinedOf(mine: Amended, theirs: Amended, isMine: ReadonlySet<string>): Amended {
  const put = (own: unknown, other: unknown, path: string): unknown => {
    const isOne = typeof other !== "object" || other === null || path === "notices" || path === "unfit";
    if (isOne) return isMine.has(path) ? own : other;
    if (Array.isArray(other))
      return other.map((one, at) => put((own as unknown[] | undefined)?.[at], one, `${path}[${at + 1}]`));
    return Object.fromEntries(
      Object.entries(other).map(([step, one]) => [
        step,
        put((own as Json | undefined)?.[step], one, path === "" ? step : `${path}.${step}`),
      ]),
    );
  };
  return put(mine, theirs, "") as Amended;
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
  return `${place}: ${spaced(rest ?? "")}`;
}
