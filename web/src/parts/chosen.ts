// What a list to choose from offers, and what is chosen.
import type { components } from "../service/api";
import { ask } from "../service/client";
import { Refused, Unanswered } from "../service/problem";
import { choosing as words } from "../words/choosing";

export type Listed = components["schemas"]["ListedThing"];
/** Kinds of things of which the books may keep hundreds. */
export type Many = "properties" | "clients" | "labels";

/** So many are offered at once; whoever wants another types of its name. */
export const OFFERED = 50;

/** The things whose name has these words, or the first by name; and whether there are more. */
export async function offered(of: Many, text: string): Promise<{ entries: Listed[]; isAll: boolean }> {
  const query = { limit: OFFERED, text: text.trim() || undefined };
  const { body } = await ask("get", `/api/${of}`, { query });
  return { entries: body.entries, isAll: body.next == null };
}

/** What a thing is called; in words why that cannot be told. */
export async function titleOf(of: Many | "equipment", thing: string): Promise<string> {
  try {
    const at = { in: { thing } };
    if (of === "labels") return (await ask("get", "/api/labels/{thing}", at)).body.id;
    if (of === "equipment") return (await ask("get", "/api/equipment/{thing}", at)).body.name;
    if (of === "clients") return (await ask("get", "/api/clients/{thing}", at)).body.name;
    return (await ask("get", "/api/properties/{thing}", at)).body.name;
  } catch (error) {
    if (error instanceof Refused) return words.lost;
    if (error instanceof Unanswered) return words.unknown;
    throw error;
  }
}

/** Choices with the one that is chosen, and each but once. */
export function choicesOf(
  lead: readonly (readonly [value: string, words: string])[],
  listed: readonly (readonly [value: string, words: string])[],
  value: string,
  title: string | undefined,
): (readonly [value: string, words: string])[] {
  const seen = new Set<string>();
  const all = [...lead, ...listed].filter(([one]) => !seen.has(one) && seen.add(one));
  return seen.has(value) ? all : [[value, title ?? ""], ...all];
}
