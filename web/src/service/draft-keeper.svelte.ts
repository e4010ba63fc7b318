import { showMoment } from "../house/settings.svelte";
import { holdDraft } from "./draft-lock";
import { Writer, draftOf, dropDraft, putDraft, whoseDrafts } from "./drafts";
import { freshName } from "./name";
import { Refused } from "./problem";

/** What was sent and not answered yet: under its key it goes again, word for word, and is done once. */
export interface Deed {
  readonly key: string;
  readonly body: string;
}

/** A draft as it lies on the device. */
export type Kept<Content> = Content & {
  /** When it was last put, as a moment of ISO 8601. */
  at: string;
  /** When it was first put; what an earlier build of the pages put does not say. */
  begun?: string;
  deed: Deed | null;
};

/** Who is turned away at the door hears nothing of what was sent before. */
const TURNED_AWAY = [401, 403, 408, 429];

/** The draft of a page on this device, at every stroke until it is in the books. */
export class DraftKeeper<Content extends object> {
  /** Whether this window has the draft; another of the browser may have it. */
  isHeld = $state(true);
  /** Whether the device keeps nothing. */
  noStore = $state(false);
  /** When what was found on the device was typed, as people read it; empty where nothing was. */
  foundOf = $state("");
  /** What was sent and has no answer yet. */
  deed = $state.raw<Deed | null>(null);
  #release: (() => void) | null = null;
  #isOver = false;
  #whose = "";
  /** When what is a draft now was first put; null while nothing is. */
  #begun: string | null = null;
  #resting: ReturnType<typeof setTimeout> | undefined;
  /** What rests and is not on its way to the device yet. */
  #pending: (() => void) | null = null;
  readonly #writer = new Writer(() => (this.noStore = true));

  constructor(
    private readonly name: string,
    /** How long what is written rests before it goes to the device, where strokes come as fast as a pointer moves. */
    private readonly restMs = 0,
  ) {}

  /** Takes hold of the draft, and reads it. */
  async open(): Promise<Kept<Content> | undefined> {
    this.#release = await holdDraft(this.name);
    this.isHeld = this.#release !== null;
    if (this.#isOver) this.#release?.();
    if (!this.isHeld) return undefined;
    this.#whose = whoseDrafts();
    if (!this.#isOver) {
      addEventListener("pagehide", this.#flush);
      document.addEventListener("visibilitychange", this.#hidden);
    }
    try {
      const draft = await draftOf<Kept<Content>>(this.name, this.#whose);
      if (draft) {
        this.deed = draft.deed ?? null;
        this.#begun = draft.begun ?? draft.at;
        this.foundOf = showMoment(draft.at);
      }
      return draft;
    } catch {
      this.noStore = true;
      return undefined;
    }
  }

  /**
   * Follows what stands on the page. What the books have needs no draft, unless an answer is still to come.
   *
   * @param content what stands there; asked for when it is written, so that strokes that follow soon cost nothing
   */
  follow(content: () => Content, isClean: boolean): void {
    if (!this.isHeld || this.#isOver) return;
    const [at, deed] = [new Date().toISOString(), this.deed];
    const isOver = isClean && deed === null;
    const write = () => {
      if (isOver) this.#drop();
      else this.#put(content(), at, deed);
    };
    this.#forget();
    if (this.restMs === 0) return write();
    this.#pending = write;
    this.#resting = setTimeout(this.#flush, this.restMs);
  }

  #put(content: Content, at: string, deed: Deed | null): void {
    const begun = (this.#begun ??= at);
    const whole: Kept<Content> = { ...content, at, begun, deed };
    this.#writer.write(() => putDraft(this.name, whole, this.#whose));
  }

  #drop(): void {
    this.#begun = null;
    this.#writer.write(() => dropDraft(this.name, this.#whose));
  }

  /** What rests is not written any more. */
  #forget(): void {
    clearTimeout(this.#resting);
    this.#pending = null;
  }

  /** What rests goes to the device now. */
  readonly #flush = (): void => {
    const write = this.#pending;
    this.#forget();
    write?.();
  };

  /** A page that is out of sight may be ended without another word. */
  readonly #hidden = (): void => {
    if (document.visibilityState === "hidden") this.#flush();
  };

  /** Drops it for good, and settles when the device has done so. */
  async end(): Promise<void> {
    this.foundOf = "";
    this.deed = null;
    this.#forget();
    if (this.isHeld) this.#drop();
    await this.#writer.done();
  }

  /** The same, where the page is left: nothing that stands on it is written any more. */
  async leave(): Promise<void> {
    this.#isOver = true;
    await this.end();
  }

  /** What was sent is in the books, and what was typed while it was under way is not: that stays a draft. */
  answered(): void {
    this.foundOf = "";
    this.deed = null;
  }

  /** Lays a copy under another name: that of what was kept meanwhile. @returns whether the device took it */
  async copyTo(name: string, content: Content): Promise<boolean> {
    const at = new Date().toISOString();
    const whole: Kept<Content> = { ...content, at, begun: at, deed: null };
    try {
      await putDraft(name, whole, this.#whose);
      return true;
    } catch {
      this.noStore = true;
      return false;
    }
  }

  /** Hands the draft on to the page of what was kept meanwhile. @returns whether the device took it */
  async handOn(name: string, content: Content): Promise<boolean> {
    if (!(await this.copyTo(name, content))) return false;
    await this.leave();
    return true;
  }

  /** What was sent before without an answer, where something else is to be sent now. */
  unanswered(body: unknown): Deed | null {
    return this.deed !== null && this.deed.body !== JSON.stringify(body) ? this.deed : null;
  }

  /**
   * The key under which a body is sent: the same for the same body, however often it is sent. It lies on the device
   * before anything is sent, so that it outlives the page.
   */
  async keyOf(body: unknown, content: Content): Promise<string> {
    const text = JSON.stringify(body);
    const deed = this.deed?.body === text ? this.deed : { key: freshName(), body: text };
    this.deed = deed;
    if (this.isHeld) {
      this.#forget();
      this.#put(content, new Date().toISOString(), deed);
      await this.#writer.done();
    }
    return deed.key;
  }

  /** Hears the answer to what was sent. A no ends the deed; after a yes the page ends it. */
  async hear<Answer>(answer: Promise<Answer>): Promise<Answer> {
    try {
      return await answer;
    } catch (error) {
      const isNo = error instanceof Refused && error.status < 500 && !TURNED_AWAY.includes(error.status);
      if (isNo) this.deed = null;
      throw error;
    }
  }

  /** The page is left: what rests is written first, and then another window may have the draft. */
  stop(): void {
    this.#flush();
    this.#isOver = true;
    removeEventListener("pagehide", this.#flush);
    document.removeEventListener("visibilitychange", this.#hidden);
    const release = this.#release;
    if (release) void this.#writer.done().then(release);
  }
}
