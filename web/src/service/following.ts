/** The longest that a value waits for a frame: a page that is not seen draws none. */
const NO_FRAME_MS = 250;
/** Where showing a value takes longer than this, it waits until no newer one has come for a while. */
const SLOW_MS = 15;
const QUIET_MS = 250;

/**
 * Hands on the newest of the values that come, no sooner than the next frame is drawn and no more often than the pace:
 * what takes long to show stays behind what must be seen at once, and where it takes very long it comes when there is
 * rest. The last value is always handed on.
 */
export class Following<Value> {
  #waiting: { value: Value } | null = null;
  #notBefore = -Infinity;
  #isSlow = false;
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    /** Shows a value: all that it takes, until it is done. */
    private readonly hand: (value: Value) => void,
    private readonly paceMs: number,
  ) {}

  /** Takes a value, in place of one that still waits. */
  give(value: Value): void {
    const isAwaited = this.#waiting !== null;
    this.#waiting = { value };
    if (isAwaited && !this.#isSlow) return;
    clearTimeout(this.#timer);
    const rest = this.#isSlow ? QUIET_MS : this.#notBefore - performance.now();
    this.#timer = setTimeout(() => this.#afterFrame(), Math.max(0, rest));
  }

  stop(): void {
    this.#waiting = null;
    clearTimeout(this.#timer);
  }

  #afterFrame(): void {
    const given = this.#waiting;
    const hand = () => {
      // A newer one may have begun to wait anew.
      if (this.#waiting === null || (this.#isSlow && this.#waiting !== given)) return;
      clearTimeout(this.#timer);
      const { value } = this.#waiting;
      this.#waiting = null;
      const begun = performance.now();
      this.hand(value);
      this.#isSlow = performance.now() - begun > SLOW_MS;
      this.#notBefore = begun + this.paceMs;
    };
    this.#timer = setTimeout(hand, NO_FRAME_MS);
    requestAnimationFrame(() => setTimeout(hand));
  }
}
