// How a deed goes over the wire.
import { whoIsThere } from "../house/session.svelte";
import { sendDeed } from "../service/client";
import { Refused, Unanswered } from "../service/problem";
import type { Waiting } from "./database";
import type { Outcome } from "./outbox";

/** Answers after which the same request may well succeed. */
const LATER = new Set([401, 408, 425, 429, 500, 502, 503, 504]);

interface Told {
  thing?: string;
  kept?: { thing: string };
  warnings?: { found: string }[];
  breaches?: { text: string }[];
}

/** Sends a deed, and says what became of it. */
export async function send(deed: Waiting): Promise<Outcome> {
  try {
    const told = (await sendDeed(deed)) as Told;
    const said = [
      ...(told.breaches ?? []).map((one) => one.text),
      ...(told.warnings ?? []).map((one) => one.found),
    ];
    return { kind: "delivered", thing: told.kept?.thing ?? told.thing ?? "", told: said };
  } catch (error) {
    if (!(error instanceof Unanswered || error instanceof Refused)) throw error;
    const isOver =
      error instanceof Refused && error.problems.some((problem) => problem.code === "server::form-token");
    if (error instanceof Refused && !isOver && !LATER.has(error.status)) {
      return { kind: "refused", problems: [...error.problems] };
    }
    // The session may be over, or the server out of reach: the house says so.
    void whoIsThere();
    return { kind: "later" };
  }
}
