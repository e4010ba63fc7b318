import type { components } from "../../service/api";

export type KeptProperty = components["schemas"]["KeptProperty"];

/** What is told of a property beside its map; an empty text is left out of the document. */
export const FIELD_NAMES = [
  "name",
  "address",
  "client",
  "jurisdiction",
  "complete_since",
  "note",
] as const satisfies readonly (keyof KeptProperty)[];

export type Fields = Record<(typeof FIELD_NAMES)[number], string>;

export const NO_FIELDS: Fields = {
  name: "",
  address: "",
  client: "",
  jurisdiction: "",
  complete_since: "",
  note: "",
};

export function fieldsOf(document: KeptProperty): Fields {
  const fields = { ...NO_FIELDS };
  for (const name of FIELD_NAMES) fields[name] = document[name] ?? "";
  return fields;
}

/** The document that is kept. */
export function documentOf(fields: Fields, map: string): KeptProperty {
  const document: KeptProperty = { format: "tussock.kept-property/1", name: fields.name.trim(), map };
  for (const name of FIELD_NAMES) {
    const text = fields[name].trim();
    if (name !== "name" && text !== "") document[name] = text;
  }
  return document;
}
