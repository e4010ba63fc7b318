import { Refused, Unanswered, problemsIn, type Problem } from "./problem";

/** What a question ended with: an answer, or the problems that stood in its way. */
export type Outcome<Answer> =
  | { readonly answer: Answer; readonly problems: readonly [] }
  | { readonly answer: null; readonly problems: readonly Problem[] };

const RETRY_MS = 4000;

/**
 * Asks one question at a time. While one is under way only the newest of the next is kept, so that the last answer is
 * always that of the last question, and what is shown stays until something better comes.
 */
export class Latest<Question, Answer> {
  #waiting: { question: Question; due: number } | null = null;
  #busy = false;
  #stopped = false;
  #timer: ReturnType<typeof setTimeout> | undefined;

  /** `told` gets each answer with its question, and whether no newer question waits. */
  constructor(
    private readonly answered: (question: Question) => Promise<Answer>,
    private readonly told: (outcome: Outcome<Answer>, question: Question, isLast: boolean) => void,
    /** The least time between two questions. */
    private readonly paceMs = 90,
  ) {}

  /** Asks; `waitMs` later, if nothing newer is asked until then. */
  ask(question: Question, waitMs = 0): void {
    if (this.#stopped) return;
    this.#waiting = { question, due: performance.now() + waitMs };
    clearTimeout(this.#timer);
    if (this.#busy) return;
    if (waitMs === 0) void this.#work();
    else this.#timer = setTimeout(() => void this.#work(), waitMs);
  }

  /** What waits, waits so long from now. */
  putOff(waitMs: number): void {
    if (this.#waiting !== null) this.ask(this.#waiting.question, waitMs);
  }

  stop(): void {
    this.#stopped = true;
    clearTimeout(this.#timer);
  }

  async #work(): Promise<void> {
    if (this.#busy) return;
    this.#busy = true;
    while (this.#waiting !== null && !this.#stopped) {
      const rest = this.#waiting.due - performance.now();
      if (rest > 0) {
        await new Promise((resolve) => setTimeout(resolve, rest));
        continue;
      }
      const { question } = this.#waiting;
      this.#waiting = null;
      const begun = performance.now();
      let outcome: Outcome<Answer>;
      let again = false;
      try {
        outcome = { answer: await this.answered(question), problems: [] };
      } catch (error) {
        outcome = { answer: null, problems: problemsIn(error) };
        again = error instanceof Unanswered || (error instanceof Refused && error.retryAfterSeconds !== null);
      }
      if (this.#stopped) break;
      const isLast = this.#waiting === null;
      this.told(outcome, question, isLast);
      if (again && isLast) this.#timer = setTimeout(() => this.ask(question), RETRY_MS);
      const pause = this.paceMs - (performance.now() - begun);
      if (pause > 0) await new Promise((resolve) => setTimeout(resolve, pause));
    }
    this.#busy = false;
  }
}
