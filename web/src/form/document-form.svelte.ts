// A document of the books in a form of its own: on the device at every stroke until it is in the books.
import { tick } from "svelte";
import type { components } from "../service/api";
import type { Answered } from "../service/client";
import { DraftKeeper, type Deed } from "../service/draft-keeper.svelte";
import { Refused, problemsIn, type Problem } from "../service/problem";
import { shelfWords as words } from "../words/shelf";
import { joined, type Entered } from "./merge";
import { isSame } from "./value";

type Version = components["schemas"]["KeptVersion"];

/** What kind of document a form keeps, and how the books are asked about it. */
export interface DocumentTrade<Fields, Document> {
  /** What drafts of it are called. */
  readonly kind: string;
  /** What a new one begins with. */
  readonly blank: Fields;
  /**
   * What becomes of the form of a new one that is kept: another is begun in it, where what was typed meanwhile has a form
   * of its own to go on in (`another`) or stays until it is kept, too (`last`); or it goes on as the form of what was kept.
   */
  readonly after: "another" | "last" | "same";
  /** Whether a new one is another thing than what was sent before, and no change of it; never where nothing is said. */
  isOther?(sent: Document, now: Document): boolean;
  fieldsOf(document: Document): Fields;
  documentOf(fields: Fields): Document;
  read(thing: string): Promise<Answered<Document>>;
  versions(thing: string): Promise<Answered<Version[]>>;
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
}

/** What the books have, as of a tag. */
interface Known<Fields> {
  readonly fields: Fields;
  readonly tag: string | null;
}

/** Two versions that began with the same one. */
export interface Sides {
  readonly base: Entered;
  readonly mine: Entered;
  readonly theirs: Entered;
  /** Who kept theirs, as which version. */
  readonly who: string;
  readonly version: number;
}

const entered = (fields: object): Entered => ({ fields: fields as Record<string, unknown>, beside: {} });

export class DocumentForm<Fields extends object, Document> {
  /** Before that nobody knows what was typed here last time. */
  isReady = $state(false);
  fields = $state() as Fields;
  problems = $state.raw<readonly Problem[]>([]);
  busy = $state(false);
  /** Versions that meet; null while none do. */
  sides = $state.raw<Sides | null>(null);
  /** What else is to be known while it is not kept. */
  hint = $state("");
  draft = $state.raw() as DraftKeeper<Draft<Fields>>;
  #base = $state.raw() as Fields;
  #thing = $state.raw<string | null>(null);
  #seen = $state.raw<string | null>(null);
  /** What the books have, as this page last heard; null of a new one. */
  #newest: Known<Fields> | null;
  #isGone = false;

  /** Whether nothing was typed that is not in the books. */
  readonly isClean = $derived.by(() => isSame(this.#stands(), this.#base));
  /** Whether the books have what stands here. */
  readonly isKept = $derived.by(() => this.#thing !== null && this.isClean);

  constructor(
    private readonly trade: DocumentTrade<Fields, Document>,
    private thing: string | null,
    document: Document | null,
    tag: string | null,
  ) {
    this.draft = new DraftKeeper(this.#draftName(thing));
    this.#newest = document === null ? null : { fields: trade.fieldsOf(document), tag };
    this.#show();
  }

  #draftName(of: string | null): string {
    return `${this.trade.kind}/${of ?? "new"}`;
  }

  /** Shows what the books have, or an empty form. */
  #show(): void {
    const of = this.thing === null ? null : this.#newest;
    const fields = of?.fields ?? this.trade.blank;
    this.#thing = this.thing;
    this.#seen = of?.tag ?? null;
    this.#base = fields;
    this.fields = structuredClone(fields);
    this.hint = "";
  }

  /** What stands in the form, also for an answer that comes when the page is left already. */
  #stands(): Fields {
    return $state.snapshot(this.fields) as Fields;
  }

  /** Takes up what was typed here and not kept. @returns whether there was anything */
  async open(): Promise<boolean> {
    const found = await this.draft.open();
    if (found) {
      this.fields = found.fields;
      this.#base = found.base;
      this.#thing = found.thing;
      this.#seen = found.seen;
    }
    this.isReady = true;
    return found !== undefined;
  }

  #content(): Draft<Fields> {
    return { fields: this.#stands(), base: this.#base, thing: this.#thing, seen: this.#seen };
  }

  follow(): void {
    if (!this.isReady) return;
    const content = this.#content();
    this.draft.follow(() => content, this.isClean);
  }

  #send(body: Document, key: string): Promise<Answered<{ thing: string }>> {
    const { trade } = this;
    if (this.#thing === null) return this.draft.hear(trade.make(body, key));
    return this.draft.hear(trade.change(this.#thing, this.#seen ?? "", body, key));
  }

  /** @returns whether it is kept, as what; or that somebody kept another version, which is shown beside this one */
  async keep(): Promise<{ thing: string } | "met" | null> {
    this.busy = true;
    this.problems = [];
    try {
      const sent = this.#stands();
      const body = this.trade.documentOf(sent);
      const lost = this.draft.unanswered(body);
      if (lost) await this.#catchUp(lost);
      this.#partFrom(body);
      const { body: kept, tag } = await this.#send(body, await this.draft.keyOf(body, this.#content()));
      this.#base = sent;
      this.#thing = kept.thing;
      this.#seen = tag;
      this.hint = "";
      // What was typed meanwhile is a change of what was kept.
      const isTyped = !isSame(this.#stands(), sent);
      if (this.thing === null) await this.#made(kept.thing, { fields: sent, tag }, isTyped);
      else {
        this.#newest = { fields: sent, tag };
        if (isTyped) this.draft.answered();
        else await this.draft.end();
      }
      return { thing: kept.thing };
    } catch (error) {
      if (error instanceof Refused && error.status === 412) return (await this.#meet()) ? "met" : null;
      this.problems = problemsIn(error);
      return null;
    } finally {
      this.busy = false;
    }
  }

  /** A new one is in the books. */
  async #made(thing: string, kept: Known<Fields>, isTyped: boolean): Promise<void> {
    const { draft, trade } = this;
    if (isTyped && trade.after === "last") {
      this.hint = words.changeOfSent;
      return draft.answered();
    }
    // A device that takes no draft leaves the form as it is.
    if (isTyped && !(await draft.copyTo(this.#draftName(thing), this.#content()))) return draft.answered();
    if (trade.after === "same" && !this.#isGone) return this.#goOnAs(thing, kept);
    if (trade.after !== "same") this.#show();
    await draft.end();
  }

  /** The form goes on as that of what was kept. */
  async #goOnAs(thing: string, kept: Known<Fields>): Promise<void> {
    this.thing = thing;
    this.#newest = kept;
    const own = new DraftKeeper<Draft<Fields>>(this.#draftName(thing));
    await Promise.all([this.draft.leave(), own.open()]);
    this.draft.stop();
    own.answered();
    if (this.#isGone) own.stop();
    else this.draft = own;
  }

  /** What was sent before may be in the books, though its answer was lost: what was changed since is its next version. */
  async #catchUp({ key, body }: Deed): Promise<void> {
    try {
      const document = JSON.parse(body) as Document;
      const { body: kept, tag } = await this.#send(document, key);
      this.#base = this.trade.fieldsOf(document);
      this.#thing = kept.thing;
      this.#seen = tag;
      this.draft.answered();
    } catch (error) {
      // What was refused is in no book.
      if (this.draft.deed !== null) throw error;
    }
  }

  /** What is another thing than what was kept of this form is a new one. */
  #partFrom(body: Document): void {
    if (this.thing !== null || this.#thing === null) return;
    if (this.trade.isOther?.(this.trade.documentOf(this.#base), body)) this.#thing = this.#seen = null;
  }

  /** Somebody kept another version: both are shown, and a person decides. @returns whether theirs could be read */
  async #meet(): Promise<boolean> {
    const { trade } = this;
    const thing = this.#thing;
    if (thing === null || this.#isGone) return false;
    try {
      const [{ body, tag }, { body: versions }] = await Promise.all([
        trade.read(thing),
        trade.versions(thing),
      ]);
      const newest = versions[versions.length - 1];
      this.#newest = { fields: trade.fieldsOf(body), tag };
      // The button has the focus back before the dialog takes it, and has it again behind it.
      this.busy = false;
      await tick();
      this.sides = {
        base: entered(this.#base),
        mine: entered(this.#stands()),
        theirs: entered(this.#newest.fields),
        who: newest?.actor ?? "",
        version: newest?.version ?? 0,
      };
      return true;
    } catch (error) {
      this.problems = problemsIn(error);
      return false;
    }
  }

  /** Goes on with both put together, on the version that they kept. */
  join({ base, mine, theirs }: Sides, isMine: ReadonlySet<string>): void {
    if (this.#newest === null) return;
    const fields = joined(base, mine, theirs, isMine).fields as Fields;
    this.fields = fields;
    this.#base = this.#newest.fields;
    this.#seen = this.#newest.tag;
    this.sides = null;
    this.draft.foundOf = "";
    this.hint = isSame(fields, this.#base) ? "" : words.joined;
  }

  later(): void {
    this.sides = null;
  }

  /** Drops what was typed, and shows what the books have. */
  async drop(): Promise<void> {
    this.problems = [];
    const isOver = this.draft.end();
    this.#show();
    await isOver;
  }

  stop(): void {
    this.#isGone = true;
    this.draft.stop();
  }
}
