/**
 * Work that another thread does, so that the page is free meanwhile, and what comes of it comes at once. Where threads
 * cannot be had, `here` does it.
 */
export class Apart<Question, Answer> {
  #thread: Worker | null = null;
  #isBroken = false;
  #asked = 0;
  readonly #waiting = new Map<
    number,
    { question: Question; told: (answer: Promise<Answer> | Answer) => void }
  >();

  constructor(
    private readonly start: () => Worker,
    private readonly here: (question: Question) => Promise<Answer>,
  ) {}

  ask(question: Question): Promise<Answer> {
    const thread = this.#isBroken ? null : (this.#thread ??= this.#started());
    if (thread === null) return this.here(question);
    const number = (this.#asked += 1);
    return new Promise((told) => {
      this.#waiting.set(number, { question, told });
      thread.postMessage({ number, question });
    });
  }

  stop(): void {
    this.#thread?.terminate();
    this.#isBroken = true;
    this.#waiting.clear();
  }

  #started(): Worker | null {
    try {
      const thread = this.start();
      thread.onmessage = ({ data }: MessageEvent<Told<Answer>>) => {
        const asked = this.#waiting.get(data.number);
        this.#waiting.delete(data.number);
        // What failed there is tried here, where whoever asked is told of it.
        asked?.told("answer" in data ? data.answer : this.here(asked.question));
      };
      thread.onerror = () => this.#break();
      return thread;
    } catch {
      this.#break();
      return null;
    }
  }

  /** What was asked is done here. */
  #break(): void {
    this.#isBroken = true;
    for (const { question, told } of this.#waiting.values()) told(this.here(question));
    this.#waiting.clear();
  }
}

/** What a thread sends back: the answer, or nothing where it could not be made. */
type Told<Answer> = { number: number; answer: Answer } | { number: number };

/** To be called in the thread: answers what is asked, in turn. */
export function answerApart<Question, Answer>(answer: (question: Question) => Promise<Answer>): void {
  const thread = self as unknown as {
    onmessage: (event: MessageEvent<{ number: number; question: Question }>) => void;
    postMessage: (message: Told<Answer>) => void;
  };
  thread.onmessage = ({ data: { number, question } }) =>
    void answer(question).then(
      (told) => thread.postMessage({ number, answer: told }),
      () => thread.postMessage({ number }),
    );
}
