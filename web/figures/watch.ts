// What is noted inside the page while it is measured. It runs in the page before the page's own scripts.

/** A question for zones: what was sent, when, and when the page had its answer. */
export interface Question {
  body: string;
  asked: number;
  answered: number;
  status: number;
}

/** All times are milliseconds of the page's clock. */
export interface Noted {
  /** Moves of the pressed pointer: when the browser made them, and where. */
  moves: { at: number; x: number; y: number }[];
  questions: Question[];
  /** What the page says of itself (`service/marks.ts`). */
  marks: { name: string; at: number }[];
  /** When the browser began each frame that comes behind a drawing of the map. */
  frames: number[];
}

/** Notes what happens in the page; to be given to `addInitScript`. */
export function watch(): void {
  const questions: Question[] = [];
  const noted: Noted = { moves: [], questions, marks: [], frames: [] };
  Object.assign(globalThis, { noted });
  addEventListener(
    "pointermove",
    (event) => {
      if (event.buttons !== 0) noted.moves.push({ at: event.timeStamp, x: event.clientX, y: event.clientY });
    },
    { capture: true },
  );
  addEventListener("mark", (event) => {
    const name = String((event as CustomEvent).detail);
    noted.marks.push({ name, at: performance.now() });
    if (name === "map drawn") requestAnimationFrame(() => noted.frames.push(performance.now()));
  });
  // A question for zones goes to a thread of its own; it is answered when the page has what the thread read.
  const Thread = globalThis.Worker;
  globalThis.Worker = class extends Thread {
    readonly #asked = new Map<number, Question>();

    constructor(address: string | URL, options?: WorkerOptions) {
      super(address, options);
      this.addEventListener("message", ({ data }: MessageEvent) => {
        const { number, answer } = data as { number: number; answer: { status?: number } | null };
        const question = this.#asked.get(number);
        if (question === undefined) return;
        question.answered = performance.now();
        question.status = answer === null ? 0 : (answer.status ?? 200);
      });
    }

    override postMessage(message: unknown): void {
      const { number, question } = message as {
        number: number;
        question: { address: string; init: RequestInit };
      };
      if (question.address === "/api/plan/zones" && typeof question.init.body === "string") {
        const noted: Question = {
          body: question.init.body,
          asked: performance.now(),
          answered: 0,
          status: 0,
        };
        this.#asked.set(number, noted);
        questions.push(noted);
      }
      super.postMessage(message);
    }
  };
}
