import type { components } from "../../service/api";
import { ask } from "../../service/client";
import type { VisitFields } from "./request";

export type Listed = components["schemas"]["ListedThing"];
export type LabelReading = components["schemas"]["LabelReadingJson"];
export type Piece = components["schemas"]["SprayerJson"];
export type Person = components["schemas"]["KeptPerson"];

/** How a visit names what the books keep, by the thing's own name. */
export const THING = "thing:";
export const BOOKS = "books:";

/** Whether the books have the text of a name themselves. */
export function isKept(name: string): boolean {
  return name.startsWith(THING) || name.startsWith(BOOKS);
}

/** A label that a visit may have at hand: by which name the visit calls it, and the label's id. */
export interface LabelChoice {
  name: string;
  id: string;
}

export type SurveyDocument = components["schemas"]["KeptSurvey"];
export type ListedPest = components["schemas"]["ListedPestJson"];
export type PestProfile = components["schemas"]["PestProfileJson"];

/** A kept survey that a finding may rest on: by which name the visit calls it, and what it says. */
export interface SurveyChoice {
  name: string;
  thing: string;
  document: SurveyDocument;
}

/** So many of a property's surveys are offered, the newest. */
const SURVEYS = 30;

/** The counts that are kept of a property, the newest first. */
export async function keptSurveys(property: string, title: string): Promise<SurveyChoice[]> {
  const { body } = await ask("get", "/api/surveys", { query: { property, limit: SURVEYS } });
  const found = await Promise.all(
    body.entries.map(async ({ thing }) => ({
      thing,
      document: (await ask("get", "/api/surveys/{thing}", { in: { thing } })).body,
    })),
  );
  const called = ({ document }: { document: SurveyDocument }) =>
    `${BOOKS}survey/${title}/${document.pest} ${document.date}`;
  const isOnly = (name: string) =>
    found.filter((one) => called(one).toLowerCase() === name.toLowerCase()).length === 1;
  return found.map((one) => {
    const name = called(one);
    // Of several that are called so each goes by its own name.
    return { ...one, name: isOnly(name) ? name : THING + one.thing };
  });
}

/** The pests that have a profile. */
export async function knownPests(): Promise<ListedPest[]> {
  return (await ask("get", "/api/pests")).body.pests;
}

/** What is known of a pest, by the id of its profile. */
export async function profileOf(profile: string): Promise<PestProfile> {
  return (await ask("get", "/api/pests/{profile}", { in: { profile } })).body;
}

async function listed(path: "/api/labels" | "/api/equipment" | "/api/people"): Promise<Listed[]> {
  const all: Listed[] = [];
  let after: string | undefined;
  do {
    const { body } = await ask("get", path, { query: { limit: 200, after } });
    all.push(...body.entries);
    after = body.next ?? undefined;
  } while (after !== undefined);
  return all;
}

/** Labels of the shelf; of one id the one that was kept last comes first. */
export async function keptLabels(): Promise<LabelChoice[]> {
  const found = await listed("/api/labels");
  found.sort(
    (one, other) => one.title.localeCompare(other.title) || other.recorded_at.localeCompare(one.recorded_at),
  );
  return found.map((entry) => ({ name: THING + entry.thing, id: entry.title }));
}

export async function keptEquipment(): Promise<{ name: string; title: string }[]> {
  const found = await listed("/api/equipment");
  return found.map((entry) => ({ name: THING + entry.thing, title: entry.title }));
}

export async function keptPeople(): Promise<Person[]> {
  const found = await listed("/api/people");
  return Promise.all(
    found.map(async ({ thing }) => (await ask("get", "/api/people/{thing}", { in: { thing } })).body),
  );
}

/** So many labels a new visit has at hand without being asked; of a fuller shelf those that were used here last. */
export const FEW_LABELS = 8;

/** One label of each id. */
export function oneOfEach(labels: readonly LabelChoice[]): LabelChoice[] {
  const seen = new Set<string>();
  return labels.filter(({ id }) => !seen.has(id) && seen.add(id));
}

/** The ids of the labels that the tasks of a property's newest visit use. */
export async function labelsUsedLast(property: string): Promise<ReadonlySet<string>> {
  const { body } = await ask("get", "/api/visits", { query: { property, limit: 1 } });
  const thing = body.entries[0]?.thing;
  if (thing === undefined) return new Set();
  const { request } = (await ask("get", "/api/visits/{thing}", { in: { thing } })).body;
  const { fields } = (await ask("post", "/api/plan/form", { body: { visit: request } })).body;
  const { task = [] } = fields as Partial<VisitFields>;
  return new Set(task.flatMap(({ label, partner = [] }) => [label, ...partner.map((one) => one.label)]));
}

/** What a label says, read out; `files` has the texts that came with the visit. */
export async function readLabel(name: string, files: Record<string, string>): Promise<LabelReading | null> {
  const label = name.startsWith(THING)
    ? (await ask("get", "/api/labels/{thing}", { in: { thing: name.slice(THING.length) } })).body.label
    : files[name];
  if (label === undefined) return null;
  return (await ask("post", "/api/label/check", { body: { label } })).body;
}

/** The files of equipment that a visit names; null where its pieces stand in the request itself. */
export function equipmentNames(equipment: unknown): string[] | null {
  const names = Array.isArray(equipment) ? equipment : [equipment];
  if (!names.every((name) => typeof name === "string")) return null;
  return names.filter((name) => name !== "");
}

/** What a visit says that names these files: one name, or a list. */
export function equipmentOf(names: readonly string[]): string | string[] {
  return names.length > 1 ? [...names] : (names[0] ?? "");
}

/** Sprayers and spreaders of the files that a visit names, read out. */
export async function readEquipment(equipment: unknown, files: Record<string, string>): Promise<Piece[]> {
  const read = async (name: string): Promise<Piece[]> => {
    const text = name.startsWith(THING)
      ? (await ask("get", "/api/equipment/{thing}", { in: { thing: name.slice(THING.length) } })).body
          .equipment
      : files[name];
    if (text === undefined) return [];
    return (await ask("post", "/api/equipment/check", { body: { equipment: text } })).body.equipment;
  };
  return (await Promise.all((equipmentNames(equipment) ?? []).map(read))).flat();
}
