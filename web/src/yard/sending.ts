// How a deed goes over the wire.
import { whoIsThere } from "../house/session.svelte";
import { sendDeed } from "../service/client";
import { Refused, TooLong, Unanswered } from "../service/problem";
import { yard as words } from "../words/yard";
import type { Waiting } from "./database";
import type { Outcome } from "./outbox";

/** Answers after which the same request may well succeed, and before which no other would. */
const LATER = new Set([401, 408, 425, 429, 503]);

interface Told {
  thing?: string;
  kept?: { thing: string };
  warnings?: { found: string }[];
  breaches?: { text: string; task: string }[];
}

/** What a record passed, each sentence once with the tasks that passed it. */
function passed(breaches: readonly { text: string; task: string }[]): string[] {
  const tasks = new Map<string, Set<string>>();
  for (const { text, task } of breaches) tasks.set(text, (tasks.get(text) ?? new Set()).add(task));
  return [...tasks].map(([text, of]) => words.passedBy(text, [...of].join(", ")));
}

/** So long the answer is waited for, beside what is sent going out at the slowest pace that is waited for at first. */
const ANSWER_MS = 20_000;
const SLOWEST_BYTES_PER_MS = 8;
/** After each try whose time ran out the next has twice as long, so often: a line that is slower delivers in the end. */
const MOST_DOUBLINGS = 4;

/** How many milliseconds a deed may take: as long as it is sent, no other is. */
export function limitOf({ body, picture, slow = 0 }: Pick<Waiting, "body" | "picture" | "slow">): number {
  const bytes = picture?.bytes.byteLength ?? JSON.stringify(body)?.length ?? 0;
  return (ANSWER_MS + bytes / SLOWEST_BYTES_PER_MS) * 2 ** Math.min(slow, MOST_DOUBLINGS);
}

/** Sends a deed, and says what became of it. */
export async function send(deed: Waiting): Promise<Outcome> {
  try {
    const told = (await sendDeed(deed, limitOf(deed))) as Told;
    const said = new Set([...passed(told.breaches ?? []), ...(told.warnings ?? []).map((one) => one.found)]);
    return { kind: "delivered", thing: told.kept?.thing ?? told.thing ?? "", told: [...said] };
  } catch (error) {
    if (!(error instanceof Unanswered || error instanceof Refused)) throw error;
    const isOver =
      error instanceof Refused && error.problems.some((problem) => problem.code === "server::form-token");
    if (error instanceof Refused && !isOver && !LATER.has(error.status)) {
      // From 500 on the server is at fault, and not the deed.
      return { kind: error.status >= 500 ? "broken" : "refused", problems: [...error.problems] };
    }
    // The session may be over, or the server out of reach: the house says so. A server that is busy is there.
    if (error instanceof Unanswered || isOver || error.status === 401) void whoIsThere();
    return { kind: "later", isSlow: error instanceof TooLong };
  }
}
