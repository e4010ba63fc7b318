// What is being written down in the yard: on the device at every stroke, by one window.
import { holdDraft, nameOfLock } from "../service/draft-lock";
import { dropWritten, draftOf, whose, writeDraft } from "./yard.svelte";

export class YardDraft<Written> {
  #release: (() => void) | null = null;
  #isOver = false;

  constructor(readonly name: string) {}

  /**
   * Takes hold of it. Two windows that wrote the same one would lose each other's strokes, and say twice that it is done.
   *
   * @returns what was written before; null where another window has it
   */
  async open(): Promise<{ written: Written | undefined } | null> {
    this.#release = await holdDraft(nameOfLock(whose(), this.name));
    if (this.#release === null) return null;
    if (this.#isOver) this.#release();
    return { written: (await draftOf(this.name)) as Written | undefined };
  }

  /** Keeps what is written. What says nothing needs no draft: found later, it would hold the day and the plan of today. */
  async write(written: Written, isBlank: boolean): Promise<void> {
    await (isBlank ? dropWritten(this.name) : writeDraft(this.name, written));
  }

  /** It is in the books, or given up. */
  async drop(): Promise<void> {
    await dropWritten(this.name);
  }

  /** Lets go of it, for the next window. */
  close(): void {
    this.#isOver = true;
    this.#release?.();
  }
}
