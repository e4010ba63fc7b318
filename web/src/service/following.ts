/** The longest that a value waits for a frame: a page that is not seen draws none. */
const NO_FRAME_MS = 250;

/**
 * Hands on the newest of the values that come, no sooner than the next frame is drawn and no more often than the pace:
 * what takes long to show stays behind what must be seen at once. The last value is always handed on.
 */
export class Following<Value> {
  #waiting: { value: Value } | null = null;
  #handedAt = -Infinity;
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    private readonly hand: (value: Value) => void,
    private readonly paceMs: number,
  ) {}

  /** Takes a value, in place of one that still waits. */
  give(value: Value): void {
    const isAwaited = this.#waiting !== null;
    this.#waiting = { value };
    if (isAwaited) return;
    const rest = this.#handedAt + this.paceMs - performance.now();
    this.#timer = setTimeout(() => this.#afterFrame(), Math.max(0, rest));
  }

  stop(): void {
    this.#waiting = null;
    clearTimeout(this.#timer);
  }

  #afterFrame(): void {
    const hand = () => {
      clearTimeout(this.#timer);
      if (this.#waiting === null) return;
      const { value } = this.#waiting;
      this.#waiting = null;
      this.#handedAt = performance.now();
      this.hand(value);
    };
    this.#timer = setTimeout(hand, NO_FRAME_MS);
    requestAnimationFrame(() => setTimeout(hand));
  }
}
