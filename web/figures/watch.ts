// What is noted inside the page while it is measured. It runs in the page before the page's own scripts.

/** A question for zones: what was sent, when, and when its answer was read. */
export interface Question {
  body: string;
  asked: number;
  answered: number;
  status: number;
  answer: number;
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
  const noted: Noted = { moves: [], questions: [], marks: [], frames: [] };
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
  const fetched = globalThis.fetch;
  globalThis.fetch = async (to, init) => {
    if (to !== "/api/plan/zones" || typeof init?.body !== "string") return fetched(to, init);
    const question: Question = {
      body: init.body,
      asked: performance.now(),
      answered: 0,
      status: 0,
      answer: 0,
    };
    noted.questions.push(question);
    const response = await fetched(to, init);
    question.status = response.status;
    const text = response.text.bind(response);
    response.text = async () => {
      const read = await text();
      question.answered = performance.now();
      question.answer = read.length;
      return read;
    };
    return response;
  };
}
