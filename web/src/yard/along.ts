// Taking things of the books along.
import { isSame } from "../form/value";
import { settings } from "../house/settings.svelte";
import type { components } from "../service/api";
import { ask } from "../service/client";
import { Refused, Unanswered, problemsIn, type Problem } from "../service/problem";
import { changesOf, changesOfProperty } from "./changes";
import { database, type Anew, type Taken } from "./database";
import { takeKey } from "./key";
import { change, take, whose } from "./yard.svelte";

type Planned = components["schemas"]["Planned"];

export interface PropertyDocument {
  name: string;
  map: string;
}

export interface VisitDocument {
  name: string;
  date: string;
  property?: string | null;
  request: string;
  files?: Record<string, string>;
}

/**
 * Takes a property along, and the key: whoever counts may ask what it is. Where it was taken along before, what changed
 * since is told with it.
 */
export async function takeProperty(thing: string): Promise<void> {
  const name = `property/${thing}`;
  const before = await onDevice(name);
  if (before === undefined) {
    const { body, tag } = await ask("get", "/api/properties/{thing}", { in: { thing } });
    const document = body as unknown as PropertyDocument;
    await take({ name, title: document.name, day: null, thing, document, tag });
  } else {
    const newer = await newerPropertyOf(before);
    await take(newer === null ? bare(before) : newer.row);
  }
  // The property is taken along in any case.
  await takeKey().catch(() => {});
}

/** Looks whether a property is newer on the server than what was taken along; `null` where it is not. */
export async function newerPropertyOf(taken: Taken): Promise<Newer | null> {
  const { thing } = taken;
  const along = taken.tag ? { in: { thing }, have: taken.tag } : { in: { thing } };
  const answer = await ask("get", "/api/properties/{thing}", along);
  if (answer.status === 304) return null;
  const document = answer.body as unknown as PropertyDocument;
  const before = taken.document as PropertyDocument;
  const row = { ...bare(taken), title: document.name, document, tag: answer.tag };
  const changes = changesOfProperty(before, document);
  // Another version of which nothing is seen in the yard, or the first answer that tells its tag.
  if (changes.length === 0) return { row, changes };
  return { row: { ...row, anew: anewOf(taken, changes) }, changes };
}

/** What was taken along, to be taken once more. */
function bare({ who: _, takenAt: __, ...same }: Taken): Omit<Taken, "who" | "takenAt"> {
  return same;
}

/** What nobody has seen yet is told with what came since. */
function anewOf(taken: Taken, changes: readonly string[]): Anew {
  const since = taken.anew?.since ?? taken.takenAt;
  return { since, changes: [...new Set([...(taken.anew?.changes ?? []), ...changes])] };
}

/** Asks for a visit, and for what the server plans of it now. `have` is the tag of the version that is here. */
async function visitNow(
  thing: string,
  have?: Taken,
): Promise<{ document: VisitDocument; planned: Planned; tag: string | null }> {
  const along = have?.tag ? { in: { thing }, have: have.tag } : { in: { thing } };
  const answer = await ask("get", "/api/visits/{thing}", along);
  const isHere = answer.status === 304 && have !== undefined;
  const document = (isHere ? have.document : answer.body) as VisitDocument;
  // A visit that is the same may be planned otherwise: by a label, a property or records that are newer.
  const order = { visit: document.request, files: document.files ?? {} };
  const planned = (await ask("post", "/api/plan", { body: order })).body;
  return { document, planned, tag: isHere ? (have.tag ?? null) : answer.tag };
}

/** What lies on this device of somebody under a name. */
const onDevice = async (name: string): Promise<Taken | undefined> =>
  (await database()).get("taken", [whose(), name]);

/**
 * Takes a visit along, with what the server plans of it now, and its property. Where it was taken along before, what changed
 * since is told with it.
 */
export async function takeVisit(thing: string): Promise<void> {
  const before = await onDevice(`visit/${thing}`);
  if (before !== undefined) {
    const newer = await newerOf(before);
    return takeNewer(newer ?? { row: bare(before), changes: [] });
  }
  const { document, planned, tag } = await visitNow(thing);
  await take({
    name: `visit/${thing}`,
    title: document.name,
    day: document.date,
    thing,
    document,
    planned,
    tag,
  });
  if (document.property) await takeProperty(document.property);
}

/** A visit or a property that is newer on the server than what was taken along. */
export interface Newer {
  row: Omit<Taken, "who" | "takenAt">;
  changes: string[];
}

/** Looks whether a visit, or its plan, is newer than what was taken along; `null` where it is not. */
export async function newerOf(taken: Taken): Promise<Newer | null> {
  const { document, planned, tag } = await visitNow(taken.thing, taken);
  const before = { document: taken.document as VisitDocument, planned: taken.planned as Planned };
  if (isSame(before.document, document) && isSame(before.planned, planned)) return null;
  const changes = changesOf(before, { document, planned }, settings.units);
  const anew = anewOf(taken, changes);
  const { name, thing } = taken;
  return {
    row: { name, thing, title: document.name, day: document.date, document, planned, tag, anew },
    changes,
  };
}

/** Takes what is newer; a visit with its property. */
export async function takeNewer({ row }: Newer): Promise<void> {
  await take(row);
  if (!row.name.startsWith("visit/")) return;
  const { property } = row.document as VisitDocument;
  if (property) await takeProperty(property);
}

/** Somebody has seen what changed. */
export async function seen(taken: Taken): Promise<void> {
  await change(taken.name, ({ anew: _, ...rest }) => rest);
}

/** A visit that could not be taken along, and why. */
export interface NotTaken {
  thing: string;
  title: string;
  problems: readonly Problem[];
}

/** Takes the visits of a day along; one that cannot be planned keeps no other back. */
export async function takeDay(day: string): Promise<{ taken: number; not: readonly NotTaken[] }> {
  const not: NotTaken[] = [];
  let after: string | undefined;
  let taken = 0;
  do {
    const query = { from: day, until: day, limit: 100, after };
    const { entries, next } = (await ask("get", "/api/visits", { query })).body;
    for (const { thing, title } of entries) {
      try {
        await takeVisit(thing);
        taken += 1;
      } catch (error) {
        // A device that keeps nothing keeps none of the others either.
        if (!(error instanceof Refused || error instanceof Unanswered)) throw error;
        not.push({ thing, title, problems: problemsIn(error) });
      }
    }
    after = next ?? undefined;
  } while (after !== undefined);
  return { taken, not };
}

/** What was taken along under a name; fetched where it was not and there is reception. */
export async function along(kind: "property" | "visit", thing: string): Promise<Taken | undefined> {
  const find = () => onDevice(`${kind}/${thing}`);
  const found = await find();
  if (found !== undefined) return found;
  await (kind === "property" ? takeProperty(thing) : takeVisit(thing));
  return find();
}
