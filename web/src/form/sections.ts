// The sections of a form: what each is called, how much of it is to be mended, and which there are.
import { called } from "../words/shelf";
import type { GroupNode } from "./schema";
import type { Told } from "./told";

type Json = Record<string, unknown>;

/** A section, by its path in the file. */
export interface Section {
  readonly path: string;
  readonly title: string;
  /** How many fields of it are wrong or missing. */
  readonly toMend: number;
}

/** How much is told of a field or of what stands in it. */
export const countAt = (told: readonly Told[], where: string): number =>
  told.filter(({ path }) => path === where || path.startsWith(`${where}.`) || path.startsWith(`${where}[`))
    .length;

/** What an entry of a list is called: by what it says itself, else by its number. */
export function entryOf(name: string, one: Json, index: number): string {
  const own = [one.id, one.name, one.item, one.feature].find(
    (word) => typeof word === "string" && word !== "",
  );
  return `${called(name)} ${index + 1}${typeof own === "string" ? `: ${own}` : ""}`;
}

/** Whether anything was answered in it. */
export function hasAnswer(value: unknown): boolean {
  if (typeof value === "string") return value.trim() !== "";
  if (typeof value === "object" && value !== null) return Object.values(value).some(hasAnswer);
  return value !== undefined && value !== null && value !== false;
}

/** The sections that stand in a file, in the order of its form. */
export function sectionsOf(group: GroupNode, value: Json, told: readonly Told[]): Section[] {
  return group.fields.flatMap(({ name, node }): Section[] => {
    const own = value[name];
    if (node.kind === "group")
      return own === undefined ? [] : [{ path: name, title: called(name), toMend: countAt(told, name) }];
    if (node.kind !== "groups" || !Array.isArray(own)) return [];
    return (own as Json[]).map((one, index) => {
      const path = `${name}[${index + 1}]`;
      return { path, title: entryOf(name, one, index), toMend: countAt(told, path) };
    });
  });
}
