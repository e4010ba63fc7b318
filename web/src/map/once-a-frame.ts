/** A frame that took longer than this is followed by a rest. */
const SLOW_MS = 25;
/** The rest, in parts of what the frame took. */
const REST = 3;
/** No rest is longer. */
const LONGEST_MS = 150;

/**
 * Does the newest of what is asked for, and draws, once a frame. Behind a slow frame it rests, until there is an answer to
 * be drawn: answers are taken in then, which else wait behind one frame after another for as long as the pointer moves.
 */
export class OnceAFrame<Value> {
  #newest: { value: Value } | null = null;
  #frame: number | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #restUntil = 0;

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
    this.#frame ??= requestAnimationFrame(() => this.now());
  }

  /** Does what waits at once, and draws it in the next frame. */
  settle(): void {
    this.soon();
    if (this.#newest !== null) this.work(this.#newest.value);
    this.#newest = null;
  }

  /** Does what still waits, and draws, at once. */
  now(): void {
    this.stop();
    const begun = performance.now();
    if (this.#newest !== null) this.work(this.#newest.value);
    this.#newest = null;
    this.draw();
    // Timers run when the frame is painted.
    setTimeout(() => {
      const now = performance.now();
      if (now - begun > SLOW_MS) this.#restUntil = now + Math.min((now - begun) * REST, LONGEST_MS);
    });
  }

  stop(): void {
    clearTimeout(this.#timer);
    if (this.#frame !== undefined) cancelAnimationFrame(this.#frame);
    this.#timer = this.#frame = undefined;
  }
}
