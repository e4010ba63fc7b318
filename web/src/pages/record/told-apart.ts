// Two versions of a record held against each other, as each is told.
import type { components } from "../../service/api";

export type Told = components["schemas"]["RecordTold"];

/** Something that the two tell otherwise; null where one of them does not tell it. */
export interface Apart {
  subject: string;
  was: string | null;
  is: string | null;
}

/** Every version has an entry and a hash of its own: that is no difference of what they tell. */
const OF_THE_BOOKS = "Versions in the books";

const sectionsOf = ({ sections }: Told) => sections.filter(({ heading }) => heading !== OF_THE_BOOKS);

/** What a record tells, by what it is told of, in order; sentences of a list are told by themselves. */
function saidOf(told: Told): Map<string, string> {
  const said = new Map<string, string>();
  const put = (subject: string, text: string) => {
    let name = subject;
    for (let more = 2; said.has(name); more += 1) name = `${subject} (${more})`;
    said.set(name, text);
  };
  for (const { heading, parts } of sectionsOf(told))
    for (const part of parts) {
      if (part.kind === "facts") for (const { asked, said } of part.facts) put(`${heading}: ${asked}`, said);
      else if (part.kind === "table")
        for (const [first = "", ...cells] of part.rows) {
          const row = [heading, [part.head[0], first].filter(Boolean).join(" ")].join(": ");
          for (const [at, cell] of cells.entries()) put(`${row}, ${part.head[at + 1] ?? ""}`, cell);
        }
    }
  return said;
}

function sentencesOf(told: Told): { subject: string; text: string }[] {
  return sectionsOf(told).flatMap(({ heading, parts }) =>
    parts.flatMap((part) =>
      part.kind === "points" ? part.points.map((text) => ({ subject: heading, text })) : [],
    ),
  );
}

/** What the second tells otherwise than the first. */
export function toldApart(before: Told, after: Told): Apart[] {
  const [was, is] = [saidOf(before), saidOf(after)];
  const apart: Apart[] = [];
  for (const subject of new Set([...is.keys(), ...was.keys()])) {
    const [old, now] = [was.get(subject) ?? null, is.get(subject) ?? null];
    if (old !== now) apart.push({ subject, was: old, is: now });
  }
  const [told, tells] = [sentencesOf(before), sentencesOf(after)];
  const isIn = (all: typeof told, one: (typeof told)[number]) =>
    all.some(({ subject, text }) => subject === one.subject && text === one.text);
  for (const one of told)
    if (!isIn(tells, one)) apart.push({ subject: one.subject, was: one.text, is: null });
  for (const one of tells)
    if (!isIn(told, one)) apart.push({ subject: one.subject, was: null, is: one.text });
  return apart;
}
