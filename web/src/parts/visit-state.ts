// What became of a visit, as a list says it.
import type { components } from "../service/api";
import type { Waiting } from "../yard/database";

type Listed = components["schemas"]["ListedThing"];

/**
 * `waits`: it is recorded on this device, and the books do not have it yet; `past`: its day is over, and no record of it is
 * kept.
 */
export type VisitState = "recorded" | "waits" | "past" | "planned";

/** @param today the day at which it is asked, `2026-07-07` */
export function stateOf(
  { thing, date, records }: Pick<Listed, "thing" | "date" | "records">,
  waiting: readonly Pick<Waiting, "what" | "body">[],
  today: string,
): VisitState {
  if ((records ?? []).length > 0) return "recorded";
  const isOfIt = ({ what, body }: Pick<Waiting, "what" | "body">) =>
    what === "record" && (body as { kept?: string } | null)?.kept === thing;
  if (waiting.some(isOfIt)) return "waits";
  return date && date < today ? "past" : "planned";
}
