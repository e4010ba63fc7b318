import { house } from "../words/house";
import type { components } from "./api";

/** Something wrong, as the server tells it: what was found, what was expected, how to mend it, and where. */
export type Problem = components["schemas"]["ProblemEntry"];

/** The server said no, and why. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly problems: readonly Problem[],
    readonly retryAfterSeconds: number | null = null,
  ) {
    super(problems[0]?.found ?? `status ${status}`);
  }
}

/** No answer came: no network, or no server. */
export class Unanswered extends Error {}

/** No answer came in the time that it was given. */
export class TooLong extends Unanswered {}

/** The problems of a refusal's body; one made of the status where the body tells none. */
export function problemsOf(status: number, body: unknown): Problem[] {
  const told = (body as { problems?: unknown } | null)?.problems;
  if (Array.isArray(told) && told.length > 0) return told as Problem[];
  const found = `the server answered with status ${status} and no reason`;
  return [{ code: "pages::no-reason", severity: "error", found } as Problem];
}

/** What to tell of whatever a request ended with; what is no answer of the server is thrown on. */
export function problemsIn(thrown: unknown): readonly Problem[] {
  if (thrown instanceof Refused) return thrown.problems;
  if (!(thrown instanceof Unanswered)) throw thrown;
  const told = { code: "pages::no-answer", found: house.noServer, mend: house.noServerMend };
  return [{ severity: "error", ...told } as Problem];
}
