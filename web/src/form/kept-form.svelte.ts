import { tick } from "svelte";
import { fromHere } from "../house/address.svelte";
import type { components } from "../service/api";
import type { Answered } from "../service/client";
import { DraftKeeper, type Deed } from "../service/draft-keeper.svelte";
import { freshName } from "../service/name";
import { Refused, problemsIn, type Problem } from "../service/problem";
import { shelfWords as words } from "../words/shelf";
import { FileEditor, type Form, type Reading, type Written } from "./file-editor.svelte";
import { joined, type Entered } from "./merge";
import { filledIn, isSame } from "./value";

type Version = components["schemas"]["KeptVersion"];
type Told = Record<string, string>;

/** What the books have of it, as of a tag. */
export type Base<Beside> = Entered<Beside> & { readonly tag: string };

/** What is begun and not yet in the books. */
export interface FormDraft<Beside> extends Entered<Beside> {
  /** The file as a person wrote it, where it was taken in. */
  written: Written | null;
  base: Base<Beside> | null;
}

/** Two versions that began with the same one. */
export interface Sides<Beside> {
  readonly base: Entered<Beside>;
  readonly mine: Entered<Beside>;
  readonly theirs: Base<Beside>;
  /** Their file as it was kept. */
  readonly written: Written;
  /** Who kept theirs, as which version. */
  readonly who: string;
  readonly version: number;
}

/** What kind of file a form keeps, and how the books are asked about it. */
export interface Trade<R extends Reading, Beside extends Told, Document> {
  /** What drafts of it are called. */
  readonly kind: string;
  /** What a new one begins with. */
  readonly blank: Entered<Beside>;
  /** The file as text, as fields and as it was read. */
  form(file: string | Record<string, unknown>): Promise<Form<R>>;
  /** The page of a kept one. */
  addressOf(thing: string): string;
  read(thing: string): Promise<Answered<Document>>;
  versions(thing: string): Promise<Answered<Version[]>>;
  make(body: Document, key: string): Promise<Answered<Version>>;
  change(thing: string, seen: string, body: Document, key: string): Promise<Answered<Version>>;
  /** The file of a document. */
  textOf(document: Document): string;
  besideOf(document: Document): Beside;
  documentOf(text: string, entered: Entered<Beside>): Document;
}

/** A file of the books under the pen: opened or begun, kept on the device at every stroke, and kept in the books. */
export class KeptForm<R extends Reading, Beside extends Told, Document> {
  stage = $state<"reading" | "ready" | "gone">("reading");
  problems = $state.raw<readonly Problem[]>([]);
  beside = $state<Beside>({} as Beside);
  base = $state.raw<Base<Beside> | null>(null);
  busy = $state(false);
  /** Versions that meet; null while none do. */
  sides = $state.raw<Sides<Beside> | null>(null);
  /** What else is to be known while it is not kept. */
  hint = $state("");
  readonly editor: FileEditor<R>;
  readonly draft: DraftKeeper<FormDraft<Beside>>;
  readonly #blank: Entered<Beside>;
  readonly #goOn = fromHere();
  #isGone = false;

  /** Whether the books have what stands in the form. */
  readonly isKept = $derived(this.base !== null && this.#isAs(this.base));
  /** Whether nothing was typed that is not in the books. */
  readonly isClean = $derived.by(() => this.#isAs(this.base ?? this.#blank));

  constructor(
    private readonly trade: Trade<R, Beside, Document>,
    readonly thing: string | null,
  ) {
    this.editor = new FileEditor<R>((file) => trade.form(file));
    this.draft = new DraftKeeper(this.#draftName(thing ?? "new"));
    this.#blank = { fields: filledIn(trade.blank.fields), beside: trade.blank.beside };
    this.beside = { ...trade.blank.beside };
  }

  #draftName(of: string): string {
    return `${this.trade.kind}/${of}`;
  }

  /** What stands in the form, as it is kept; also for an answer that comes when the page is left already. */
  #stands(): Entered<Beside> {
    return { fields: this.editor.stands(), beside: $state.snapshot(this.beside) as Beside };
  }

  #isAs({ fields, beside }: Entered<Beside>): boolean {
    return isSame({ fields, beside }, this.#stands());
  }

  /** Opens what is kept, or an empty form, and what was typed there and not kept. */
  async open(): Promise<void> {
    const found = await this.draft.open();
    try {
      await this.#read();
    } catch (error) {
      this.problems = problemsIn(error);
      if (error instanceof Refused && (error.status === 404 || error.status === 410)) this.stage = "gone";
      // What was typed is not lost with the way to the server.
      if (this.stage === "gone" || !found) return;
    }
    if (found) {
      this.base = found.base ?? this.base;
      this.beside = { ...found.beside };
      this.editor.begin(found.fields, found.written);
    }
    this.stage = "ready";
  }

  /** Shows what the books have, or an empty form. */
  async #read(): Promise<void> {
    if (this.thing === null) {
      this.editor.begin(this.trade.blank.fields);
      this.beside = { ...this.trade.blank.beside };
      return;
    }
    const { body, tag } = await this.trade.read(this.thing);
    await this.editor.take(this.trade.textOf(body));
    this.beside = this.trade.besideOf(body);
    this.base = { ...this.#stands(), tag: tag ?? "" };
  }

  /** What is typed is on the device at every stroke, and is gone from there when it is in the books. */
  follow(): void {
    if (this.stage !== "ready") return;
    const content = this.#content();
    this.draft.follow(() => content, this.isClean);
  }

  #content(): FormDraft<Beside> {
    return { ...this.#stands(), written: this.editor.written, base: this.base };
  }

  /** Takes up a file in the place of what stands here. */
  async take(file: File): Promise<void> {
    this.problems = [];
    try {
      await this.editor.take(await file.text());
    } catch (error) {
      this.problems = problemsIn(error);
    }
  }

  /** Drops what was typed. */
  async back(): Promise<void> {
    this.problems = [];
    this.hint = "";
    this.stage = "reading";
    await this.draft.end();
    try {
      await this.#read();
      this.stage = "ready";
    } catch (error) {
      this.problems = problemsIn(error);
    }
  }

  async keep(): Promise<void> {
    this.busy = true;
    this.problems = [];
    const { trade, draft, thing } = this;
    try {
      const content = this.#content();
      const body = trade.documentOf(await this.editor.text(), content);
      const lost = draft.unanswered(body);
      if (lost && (await this.#catchUp(lost))) return;
      const key = await draft.keyOf(body, content);
      if (thing === null) {
        const { body: kept, tag } = await draft.hear(trade.make(body, key));
        const base = { fields: content.fields, beside: content.beside, tag: tag ?? "" };
        if (this.#isAs(content)) await draft.leave();
        else await this.#handOn(kept.thing, base);
        this.#goOn(trade.addressOf(kept.thing));
        return;
      }
      const { tag } = await draft.hear(trade.change(thing, this.base?.tag ?? "", body, key));
      this.base = { fields: content.fields, beside: content.beside, tag: tag ?? "" };
      this.hint = "";
      if (this.#isAs(content)) await draft.end();
      else {
        draft.answered();
        // A page that was left follows no more what was typed there last.
        if (this.#isGone) await draft.copyTo(this.#draftName(thing), this.#content());
      }
    } catch (error) {
      if (error instanceof Refused && error.status === 412 && thing !== null) await this.#meet(thing);
      else this.problems = problemsIn(error);
    } finally {
      this.busy = false;
    }
  }

  /**
   * What was sent before may be in the books, though its answer was lost: that is asked for first, so that what was
   * changed since becomes the next version of the same thing, and no thing of its own.
   *
   * @returns whether the page of the kept thing goes on with it
   */
  async #catchUp({ key, body: text }: Deed): Promise<boolean> {
    const { trade, draft, thing } = this;
    const body = JSON.parse(text) as Document;
    try {
      if (thing !== null) {
        const { tag } = await draft.hear(trade.change(thing, this.base?.tag ?? "", body, key));
        this.base = { ...(await this.#enteredOf(body)), tag: tag ?? "" };
        return false;
      }
      const kept = await draft.hear(trade.make(body, key));
      const to = kept.body.thing;
      await this.#handOn(to, { ...(await this.#enteredOf(body)), tag: kept.tag ?? "" });
      this.#goOn(trade.addressOf(to));
      return true;
    } catch (error) {
      // What was refused is in no book.
      if (draft.deed !== null) throw error;
      return false;
    }
  }

  /** What stands here goes on as a change of what was kept; where the device takes no draft, as its next version. */
  async #handOn(to: string, base: Base<Beside>): Promise<void> {
    const content = this.#content();
    if (await this.draft.handOn(this.#draftName(to), { ...content, base })) return;
    const newer = this.trade.documentOf(await this.editor.text(), content);
    await this.trade.change(to, base.tag, newer, freshName());
  }

  async #enteredOf(document: Document): Promise<Entered<Beside>> {
    const { fields } = await this.trade.form(this.trade.textOf(document));
    return { fields: filledIn(fields), beside: this.trade.besideOf(document) };
  }

  /** Somebody kept another version: both are shown, and a person decides. */
  async #meet(thing: string): Promise<void> {
    if (!this.base) return;
    try {
      const [{ body, tag }, { body: versions }] = await Promise.all([
        this.trade.read(thing),
        this.trade.versions(thing),
      ]);
      const theirs = await this.#enteredOf(body);
      const newest = versions[versions.length - 1];
      // The button has the focus back before the dialog takes it, and has it again behind it.
      this.busy = false;
      await tick();
      this.sides = {
        base: this.base,
        mine: this.#stands(),
        theirs: { ...theirs, tag: tag ?? "" },
        written: { text: this.trade.textOf(body), fields: theirs.fields },
        who: newest?.actor ?? "",
        version: newest?.version ?? 0,
      };
    } catch (error) {
      this.problems = problemsIn(error);
    }
  }

  /** Goes on with both put together, on the version that they kept. */
  join({ base, mine, theirs, written }: Sides<Beside>, isMine: ReadonlySet<string>): void {
    const { fields, beside } = joined(base, mine, theirs, isMine);
    // A file as one of them wrote it stays so, remarks and all, where the other changed nothing of it.
    const own = this.editor.written;
    const kept = [written, own].find((one) => one !== null && isSame(filledIn(one.fields), fields)) ?? null;
    this.base = theirs;
    this.beside = beside;
    this.editor.begin(fields, kept);
    this.sides = null;
    this.draft.foundOf = "";
    this.hint = words.joined;
  }

  later(): void {
    this.sides = null;
  }

  stop(): void {
    this.#isGone = true;
    this.editor.stop();
    this.draft.stop();
  }
}
