import { freshName } from "../service/name";
import { holdDraft } from "../service/draft-lock";
import { Writer, draftOf, dropDraft, putDraft } from "../service/drafts";
import { shelfWords as words } from "../words/shelf";
import type { Written } from "./file-editor.svelte";

/** What stands in a form of the shelf: the file as fields, and what is kept beside it. */
export interface Entered<Beside> {
  readonly fields: Record<string, unknown>;
  readonly beside: Beside;
}

/** What the books have of it, as of a tag. */
export type Base<Beside> = Entered<Beside> & { readonly tag: string };

/** What is begun and not yet in the books. */
export interface FormDraft<Beside> extends Entered<Beside> {
  /** When it was last put, as a moment of ISO 8601. */
  at: string;
  /** The file as a person wrote it, where it was taken in. */
  written: Written | null;
  base: Base<Beside> | null;
  /** The key under which it was last sent, so that what is sent again is kept once. */
  deed: { key: string; body: string } | null;
}

/** The draft of a form on this device, at every stroke until it is in the books. */
export class DraftKeeper<Beside> {
  /** Whether this window has the draft; another of the browser may have it. */
  isHeld = $state(true);
  /** Whether the device keeps nothing. */
  noStore = $state(false);
  /** When what was found on the device was typed; empty where nothing was. */
  restored = $state("");
  /** What was sent last. */
  deed = $state.raw<FormDraft<Beside>["deed"]>(null);
  #release: (() => void) | null = null;
  #isOver = false;
  readonly #writer = new Writer(() => (this.noStore = true));

  constructor(private readonly name: string) {}

  /** Takes hold of the draft, and reads it. */
  async open(): Promise<FormDraft<Beside> | undefined> {
    this.#release = await holdDraft(this.name);
    this.isHeld = this.#release !== null;
    if (this.#isOver) this.#release?.();
    if (!this.isHeld) return undefined;
    try {
      const draft = await draftOf<FormDraft<Beside>>(this.name);
      if (draft) {
        this.deed = draft.deed;
        this.restored = words.restored(
          new Date(draft.at).toLocaleString("en-US", { dateStyle: "medium", timeStyle: "short" }),
        );
      }
      return draft;
    } catch {
      this.noStore = true;
      return undefined;
    }
  }

  /** Writes down what stands in the form. */
  write(draft: Omit<FormDraft<Beside>, "at" | "deed">): void {
    if (!this.isHeld || this.#isOver) return;
    const whole = { ...draft, at: new Date().toISOString(), deed: this.deed };
    this.#writer.write(() => putDraft(this.name, whole));
  }

  /** There is nothing that the books do not have. */
  drop(): void {
    if (this.isHeld) this.#writer.write(() => dropDraft(this.name));
  }

  /** Drops it for good, and settles when the device has done so. */
  async end(): Promise<void> {
    this.restored = "";
    this.deed = null;
    this.drop();
    await this.#writer.done();
  }

  /** The key of a deed: the same for the same body, however often it is sent. */
  keyOf(body: unknown): string {
    const text = JSON.stringify(body);
    if (this.deed?.body !== text) this.deed = { key: freshName(), body: text };
    return this.deed.key;
  }

  stop(): void {
    this.#isOver = true;
    this.#release?.();
  }
}
