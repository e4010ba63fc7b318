import type { components } from "../service/api";
import { ask } from "../service/client";
import { Refused, Unanswered, type Problem, problemsIn } from "../service/problem";

/** A map, measured by the server as it is drawn. */
export type Measured = components["schemas"]["DrawingJson"];
export type MeasuredFeature = Measured["features"][number];
export type MapProblem = Measured["problems"][number];

/** What a measuring ended with. */
export interface Outcome {
  readonly measured: Measured | null;
  readonly problems: readonly Problem[];
}

/** A request at most this often, so that a drag does not spend what the server grants in a minute. */
const PACE_MS = 90;
const RETRY_MS = 4000;

/**
 * Measures what is drawn, one question at a time: while one is under way only the newest of the next is kept, so that
 * the last answer is always that of the last question, and figures stay until better ones come.
 */
export class Measuring<Subject> {
  #waiting: { text: string; subject: Subject } | null = null;
  #busy = false;
  #stopped = false;
  #retry: ReturnType<typeof setTimeout> | undefined;

  /** `told` gets each answer with what it is an answer to. */
  constructor(private readonly told: (outcome: Outcome, subject: Subject) => void) {}

  /** Asks for the measures of a map; `subject` comes back with the answer. */
  ask(text: string, subject: Subject): void {
    if (this.#stopped) return;
    clearTimeout(this.#retry);
    this.#waiting = { text, subject };
    if (!this.#busy) void this.#work();
  }

  stop(): void {
    this.#stopped = true;
    clearTimeout(this.#retry);
  }

  async #work(): Promise<void> {
    this.#busy = true;
    while (this.#waiting !== null && !this.#stopped) {
      const { text, subject } = this.#waiting;
      this.#waiting = null;
      const begun = performance.now();
      try {
        const { body } = await ask("post", "/api/map/measure", {
          body: { map: text, repair: false, distances: false },
        });
        if (!this.#stopped) this.told({ measured: body, problems: [] }, subject);
      } catch (error) {
        if (this.#stopped) break;
        this.told({ measured: null, problems: problemsIn(error) }, subject);
        if (error instanceof Unanswered || (error instanceof Refused && error.retryAfterSeconds !== null)) {
          this.#retry = setTimeout(() => this.ask(text, subject), RETRY_MS);
        }
      }
      const rest = PACE_MS - (performance.now() - begun);
      if (rest > 0) await new Promise((resolve) => setTimeout(resolve, rest));
    }
    this.#busy = false;
  }
}

/** Measures once, with a mended copy where there is one. */
export async function measureOnce(text: string, repair = false): Promise<Outcome> {
  try {
    const { body } = await ask("post", "/api/map/measure", { body: { map: text, repair, distances: false } });
    return { measured: body, problems: [] };
  } catch (error) {
    return { measured: null, problems: problemsIn(error) };
  }
}
