// Taking things of the books along.
import { ask } from "../service/client";
import { database, type Taken } from "./database";
import { takeKey } from "./key";
import { take, whose } from "./yard.svelte";

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

/** Takes a property along, and the key: whoever counts may ask what it is. */
export async function takeProperty(thing: string): Promise<void> {
  const document = (await ask("get", "/api/properties/{thing}", { in: { thing } }))
    .body as unknown as PropertyDocument;
  await take({ name: `property/${thing}`, title: document.name, day: null, thing, document });
  // The property is taken along in any case.
  await takeKey().catch(() => {});
}

/** Takes a visit along, with what the server plans of it now, and its property. */
export async function takeVisit(thing: string): Promise<void> {
  const document = (await ask("get", "/api/visits/{thing}", { in: { thing } }))
    .body as unknown as VisitDocument;
  const order = { visit: document.request, files: document.files ?? {} };
  const planned = (await ask("post", "/api/plan", { body: order })).body;
  await take({ name: `visit/${thing}`, title: document.name, day: document.date, thing, document, planned });
  if (document.property) await takeProperty(document.property);
}

/** Takes the visits of a day along. @returns how many there were */
export async function takeDay(day: string): Promise<number> {
  let after: string | undefined;
  let count = 0;
  do {
    const query = { from: day, until: day, limit: 100, after };
    const { entries, next } = (await ask("get", "/api/visits", { query })).body;
    for (const entry of entries) await takeVisit(entry.thing);
    count += entries.length;
    after = next ?? undefined;
  } while (after !== undefined);
  return count;
}

/** What was taken along under a name; fetched where it was not and there is reception. */
export async function along(kind: "property" | "visit", thing: string): Promise<Taken | undefined> {
  const find = async () => (await database()).get("taken", [whose(), `${kind}/${thing}`]);
  const found = await find();
  if (found !== undefined) return found;
  await (kind === "property" ? takeProperty(thing) : takeVisit(thing));
  return find();
}
