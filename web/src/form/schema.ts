// What a form asks, out of the JSON Schema of the file that it fills in: one description for files and forms.

/** A field of a form. */
export interface Field {
  readonly name: string;
  readonly node: Node;
  readonly isRequired: boolean;
}

/** What a field holds. */
export type Node = { readonly hint: string } & (
  | { readonly kind: "text" | "number" | "flag" | "day" | "texts" }
  | { readonly kind: "word" | "words"; readonly words: readonly string[] }
  | Group
  | { readonly kind: "groups"; readonly of: GroupNode }
);

interface Group {
  readonly kind: "group";
  readonly fields: readonly Field[];
  /** Which fields do not arise, by what a word of the group says. */
  readonly cases: readonly Case[];
}
export type GroupNode = { readonly hint: string } & Group;

interface Case {
  readonly field: string;
  readonly says: string;
  readonly hidden: readonly string[];
  readonly required: readonly string[];
}

type Json = Record<string, unknown>;

function isJson(value: unknown): value is Json {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** Reads a schema into what a form asks. `at` names a definition; without it the whole file is asked. */
export function readSchema(text: string, at?: string): GroupNode {
  const root = JSON.parse(text) as Json;
  const definitions = (root.$defs ?? {}) as Record<string, Json>;
  const node = nodeOf(at === undefined ? root : definitions[at]!, definitions);
  if (node.kind !== "group") throw new Error("the schema describes no form");
  return node;
}

function resolved(schema: Json, definitions: Record<string, Json>): Json {
  const name = typeof schema.$ref === "string" ? schema.$ref.replace("#/$defs/", "") : null;
  if (name !== null) return { ...resolved(definitions[name]!, definitions), ...without(schema, "$ref") };
  // A subject is told, or does not arise; the form has a mark for the second.
  const first = Array.isArray(schema.oneOf)
    ? (schema.oneOf as Json[]).find((one) => one.required !== undefined || one.type !== undefined)
    : undefined;
  if (first && schema.type === undefined)
    return { ...resolved(first, definitions), ...without(schema, "oneOf") };
  return schema;
}

function without(json: Json, name: string): Json {
  const { [name]: _, ...rest } = json;
  return rest;
}

function nodeOf(raw: Json, definitions: Record<string, Json>): Node {
  const schema = resolved(raw, definitions);
  const hint = typeof schema.description === "string" ? schema.description : "";
  const words = Array.isArray(schema.enum) ? schema.enum.map(String) : null;
  if (words) return { kind: "word", words, hint };
  if (schema.const === true || schema.const === false || schema.type === "boolean")
    return { kind: "flag", hint };
  if (schema.type === "integer" || schema.type === "number") return { kind: "number", hint };
  if (schema.type === "array") {
    const items = nodeOf(schema.items as Json, definitions);
    if (items.kind === "group") return { kind: "groups", of: items, hint };
    if (items.kind === "word") return { kind: "words", words: items.words, hint };
    return { kind: "texts", hint: hint || items.hint };
  }
  if (isJson(schema.properties)) {
    const required = (schema.required ?? []) as string[];
    const fields = Object.entries(schema.properties)
      .filter(([, of]) => !(isJson(of) && typeof of.const === "string"))
      .map(([name, of]) => ({
        name,
        node: nodeOf(of as Json, definitions),
        isRequired: required.includes(name),
      }));
    return { kind: "group", fields, cases: casesOf(schema), hint };
  }
  return { kind: String(schema.pattern).startsWith("^\\d{4}-") ? "day" : "text", hint };
}

function casesOf(schema: Json): Case[] {
  return ((schema.allOf ?? []) as Json[]).flatMap((rule) => {
    const [field, says] =
      Object.entries(((rule.if as Json)?.properties ?? {}) as Record<string, Json>)[0] ?? [];
    const then = rule.then as Json | undefined;
    if (field === undefined || typeof says?.const !== "string" || !then) return [];
    const hidden = Object.entries((then.properties ?? {}) as Json)
      .filter(([, one]) => one === false)
      .map(([name]) => name);
    return [{ field, says: says.const, hidden, required: (then.required ?? []) as string[] }];
  });
}

/** The fields of a group that arise for what it says so far. */
export function arising(group: GroupNode, value: Json): Field[] {
  const met = group.cases.filter(({ field, says }) => value[field] === says);
  // What belongs to a word that was not said yet waits until it is.
  const waits = new Set(
    group.cases.length > 0 && met.length === 0
      ? group.cases.flatMap(({ hidden }) => hidden)
      : met.flatMap(({ hidden }) => hidden),
  );
  const required = new Set(met.flatMap((one) => one.required));
  return group.fields
    .filter(({ name }) => !waits.has(name))
    .map((field) => (required.has(field.name) ? { ...field, isRequired: true } : field));
}

/** An empty group: what must be there is there, and blank. */
export function blank(group: GroupNode): Json {
  const value: Json = {};
  for (const { name, node, isRequired } of group.fields) {
    if (!isRequired) continue;
    if (node.kind === "group") value[name] = blank(node);
    else if (node.kind === "groups") value[name] = [blank(node.of)];
  }
  return value;
}
