// What the books have already of a deed that they refuse, as their reasons tell it.
import type { Waiting } from "./database";

const NAME = /\b[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}\b/;

/** The record of the same visit that is kept; null where the books have none. */
export function recordKept({ problems }: Pick<Waiting, "problems">): string | null {
  const told = problems.find(({ code }) => code === "trade::recorded-already");
  // The way to mend it names the record.
  return NAME.exec(told?.mend ?? "")?.[0] ?? null;
}

/** Whether something came under the same key before: keys are made here, so that it was this, from another hand. */
export const isInBooks = ({ problems }: Pick<Waiting, "problems">): boolean =>
  problems.some(({ code }) => code === "ledger::key-reused");

/** The page of the books where it can be looked up. */
export function pageOf({ what, body, title }: Pick<Waiting, "what" | "body" | "title">): string {
  const property = (body as { property?: string } | null)?.property;
  if (what === "counts" && property) return `/properties/${encodeURIComponent(property)}/efficacy`;
  return what === "record" ? `/records?text=${encodeURIComponent(title)}` : "/records";
}
