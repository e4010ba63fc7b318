/** A frame that took longer than this is followed by a rest. */
const SLOW_MS = 25;
/** The rest, in parts of what the frame took. */
const REST = 3;
/** No rest is longer. */
const LONGEST_MS = 150;

/**
 * Does the newest of what is asked for, and draws, once a frame. Behind a slow frame it rests, until there is an answer to
 * be drawn: answers are taken in then, which else wait behind one frame after another for as long as the pointer moves.
 * With an answer the newest is done at once; the frame that shows both does it again only where frames are quick.
 */
export class OnceAFrame<Value> {
  #newest: { value: Value } | null = null;
  #frame: number | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #restUntil = 0;
  #isSlow = false;
  #isSettled = false;

  constructor(
    private readonly work: (value: Value) => void,
    private readonly draw: () => void,
  ) {}

  ask(value: Value): void {
    this.#newest = { value };
    if (this.#frame !== undefined || this.#timer !== undefined) return;
    const rest = this.#restUntil - performance.now();
    if (rest > 0) this.#timer = setTimeout(() => this.soon(), rest);
    else this.soon();
  }

  /** Draws in the next frame, with what waits. To be called before whatever is to be drawn asks for a frame of its own. */
  soon(): void {
    clearTimeout(this.#timer);
    this.#timer = undefined;
    this.#frame ??= requestAnimationFrame(() => this.#draw(this.#isSettled && this.#isSlow));
  }

  /** Does what waits at once, and draws it in the next frame. */
  settle(): void {
    this.soon();
    // Where nothing waited, nothing is asked either, and a move must not wait for an answer.
    this.#isSettled = this.#newest !== null;
    this.#work();
  }

  /** Does what still waits, and draws, at once. */
  now(): void {
    this.#draw(false);
  }

  #work(): void {
    if (this.#newest !== null) this.work(this.#newest.value);
    this.#newest = null;
  }

  #draw(alone: boolean): void {
    this.stop();
    const begun = performance.now();
    if (!alone) this.#work();
    this.#isSettled = false;
    this.draw();
    // Timers run when the frame is painted.
    setTimeout(() => {
      const now = performance.now();
      this.#isSlow = now - begun > SLOW_MS;
      if (this.#isSlow) this.#restUntil = now + Math.min((now - begun) * REST, LONGEST_MS);
      if (this.#newest !== null) this.ask(this.#newest.value);
    });
  }

  stop(): void {
    clearTimeout(this.#timer);
    if (this.#frame !== undefined) cancelAnimationFrame(this.#frame);
    this.#timer = this.#frame = undefined;
  }
}
