// Two people's versions of one document, told part by part in the words of its form.
import type { Part } from "../parts/meeting";
import { showDay } from "../house/settings.svelte";
import { shelfWords as words } from "../words/shelf";
import { apart, keyOf, type Difference } from "./merge";

/** What the fields of a form are called, and what its choices stand for. */
export interface Called {
  readonly fields: Record<string, string>;
  readonly choices?: Record<string, string>;
}

function said(value: unknown, { fields, choices = {} }: Called): string {
  const tell = (one: unknown): string => {
    if (one === undefined || one === null || one === "") return words.nothing;
    if (typeof one === "boolean") return one ? words.yes : words.no;
    if (Array.isArray(one)) {
      if (one.length === 0) return words.noneOfThis;
      return one.map(tell).join(one.some((part) => typeof part === "object") ? "\n" : ", ");
    }
    if (typeof one === "object") {
      const told = Object.entries(one).filter(([, part]) => part !== "" && part !== undefined);
      return told.map(([name, part]) => `${fields[name] ?? name}: ${tell(part)}`).join("; ");
    }
    const text = String(one as string | number);
    return /^\d{4}-\d\d-\d\d$/.test(text) ? showDay(text) : (choices[text] ?? text);
  };
  return tell(value);
}

/** Texts of several lines, where only lines differ. */
const isLong = (side: unknown) => typeof side === "string" && side.includes("\n");
const linesOf = (side: unknown) => (typeof side === "string" ? side.split("\n") : []);

/** A part in which two versions differ, as who chooses reads it: of lists and long texts only what differs. */
export function partOf(found: Difference, called: Called): Part {
  const { base, mine, theirs, path, proposed } = found;
  const legend = path.map((step) => /^\[(.*)\]$/.exec(step)?.[1] ?? called.fields[step] ?? step).join(": ");
  const tell = (sides: Pick<Difference, "base" | "mine" | "theirs">, say: (side: unknown) => string) => ({
    before: say(sides.base),
    mine: say(sides.mine),
    theirs: say(sides.theirs),
  });
  if ([base, mine, theirs].some(isLong)) {
    const lines = apart({ ...found, base: linesOf(base), mine: linesOf(mine), theirs: linesOf(theirs) });
    const told = tell(lines, (side) => (side as string[]).join("\n").trim() || words.noneOfThis);
    // The same lines in another order differ all the same.
    const isTold = told.mine !== told.theirs;
    return {
      key: keyOf(path),
      legend,
      proposed,
      ...(isTold ? told : tell(found, (side) => said(side, called))),
    };
  }
  return { key: keyOf(path), legend, proposed, ...tell(apart(found), (side) => said(side, called)) };
}
