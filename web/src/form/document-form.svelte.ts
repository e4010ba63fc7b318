// A document of the books in a form of its own: on the device at every stroke until it is in the books.
import type { Answered } from "../service/client";
import { DraftKeeper, type Deed } from "../service/draft-keeper.svelte";
import { putDraft } from "../service/drafts";
import { Refused, problemsIn, type Problem } from "../service/problem";
import { isSame } from "./value";

/** What kind of document a form keeps, and how the books are asked about it. */
export interface DocumentTrade<Fields, Document> {
  /** What drafts of it are called. */
  readonly kind: string;
  /** What a new one begins with. */
  readonly blank: Fields;
  fieldsOf(document: Document): Fields;
  documentOf(fields: Fields): Document;
  make(body: Document, key: string): Promise<Answered<{ thing: string }>>;
  change(thing: string, seen: string, body: Document, key: string): Promise<Answered<{ thing: string }>>;
}

/** What is begun and not yet in the books. */
interface Draft<Fields> {
  fields: Fields;
  /** As the books had it when it was begun. */
  base: Fields;
  thing: string | null;
  /** The version that it came of. */
  seen: string | null;
  /** Whether somebody kept another version since, and that was told. */
  isMet: boolean;
}

export class DocumentForm<Fields extends object, Document> {
  /** Before that nobody knows what was typed here last time. */
  isReady = $state(false);
  fields = $state() as Fields;
  problems = $state.raw<readonly Problem[]>([]);
  busy = $state(false);
  /** Whether somebody kept another version, which is read and not overwritten. */
  isMet = $state(false);
  readonly draft: DraftKeeper<Draft<Fields>>;
  #base = $state.raw() as Fields;
  #thing = $state.raw<string | null>(null);
  #seen = $state.raw<string | null>(null);

  readonly #now: Fields = $derived.by(() => $state.snapshot(this.fields) as Fields);
  /** Whether nothing was typed that is not in the books. */
  readonly isClean = $derived.by(() => isSame(this.#now, this.#base));
  /** Whether the books have what stands here. */
  readonly isKept = $derived.by(() => this.#thing !== null && this.isClean);

  constructor(
    private readonly trade: DocumentTrade<Fields, Document>,
    private readonly thing: string | null,
    document: Document | null,
    tag: string | null,
  ) {
    this.draft = new DraftKeeper(`${trade.kind}/${thing ?? "new"}`);
    this.#show(document, tag);
  }

  #show(document: Document | null, tag: string | null): void {
    const fields = document === null ? this.trade.blank : this.trade.fieldsOf(document);
    this.#thing = this.thing;
    this.#seen = tag;
    this.#base = fields;
    this.fields = structuredClone(fields);
    this.isMet = false;
  }

  /** Takes up what was typed here and not kept. @returns whether there was anything */
  async open(): Promise<boolean> {
    const found = await this.draft.open();
    if (found) {
      this.fields = found.fields;
      this.#base = found.base;
      this.#thing = found.thing;
      this.#seen = found.seen;
      this.isMet = found.isMet;
    }
    this.isReady = true;
    return found !== undefined;
  }

  #content(): Draft<Fields> {
    const { isMet } = this;
    return { fields: this.#now, base: this.#base, thing: this.#thing, seen: this.#seen, isMet };
  }

  follow(): void {
    if (this.isReady) this.draft.follow(() => this.#content(), this.isClean);
  }

  #send(body: Document, key: string): Promise<Answered<{ thing: string }>> {
    const { trade } = this;
    if (this.#thing === null) return this.draft.hear(trade.make(body, key));
    return this.draft.hear(trade.change(this.#thing, this.#seen ?? "", body, key));
  }

  /** @returns whether it is kept, as what; or that somebody kept another version, which is to be read ({@link meet}) */
  async keep(): Promise<{ thing: string } | "met" | null> {
    this.busy = true;
    this.problems = [];
    try {
      const sent = this.#now;
      const body = this.trade.documentOf(sent);
      const lost = this.draft.unanswered(body);
      if (lost) await this.#catchUp(lost);
      const { body: kept, tag } = await this.#send(body, await this.draft.keyOf(body, this.#content()));
      this.#base = sent;
      this.#thing = kept.thing;
      this.#seen = tag;
      this.isMet = false;
      // What was typed meanwhile is a change of what was kept.
      const isLeft = !this.isClean && (this.thing !== null || !(await this.#handOn(kept.thing)));
      if (isLeft) this.draft.answered();
      else {
        if (this.thing === null) this.#show(null, null);
        await this.draft.end();
      }
      return { thing: kept.thing };
    } catch (error) {
      if (error instanceof Refused && error.status === 412) return "met";
      this.problems = problemsIn(error);
      return null;
    } finally {
      this.busy = false;
    }
  }

  /** Leaves what stands here to the form of what was kept. @returns whether the device took it */
  async #handOn(to: string): Promise<boolean> {
    const draft = { ...this.#content(), at: new Date().toISOString(), deed: null };
    return putDraft(`${this.trade.kind}/${to}`, draft).then(
      () => true,
      () => false,
    );
  }

  /** What was sent before may be in the books, though its answer was lost: what was changed since is its next version. */
  async #catchUp({ key, body }: Deed): Promise<void> {
    try {
      const { body: kept, tag } = await this.#send(JSON.parse(body) as Document, key);
      this.#thing = kept.thing;
      this.#seen = tag;
      this.draft.answered();
    } catch (error) {
      // What was refused is in no book.
      if (this.draft.deed !== null) throw error;
    }
  }

  /** Somebody's version was read: keeping again puts what stands here on top of it. */
  meet(document: Document, tag: string | null): void {
    this.#base = this.trade.fieldsOf(document);
    this.#seen = tag;
    this.isMet = true;
  }

  /** Drops what was typed, and shows what the books have. */
  async drop(document: Document | null, tag: string | null): Promise<void> {
    this.problems = [];
    const isOver = this.draft.end();
    this.#show(document, tag);
    await isOver;
  }

  stop(): void {
    this.draft.stop();
  }
}
