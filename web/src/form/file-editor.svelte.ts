import { Latest } from "../service/latest";
import type { Problem } from "../service/problem";
import { toldOf, type Told } from "./told";
import { filledIn, isSame } from "./value";

/** What the server says of a file: whether plans can use it, what is wrong, what is open. */
export interface Reading {
  readonly usable: boolean;
  readonly problems: readonly unknown[];
  readonly questions: readonly unknown[];
}

/** A file as text and as fields, and as the server read it. */
export interface Form<R extends Reading> {
  readonly text: string;
  readonly fields: Record<string, unknown>;
  readonly reading: R;
}

/** A file as a person wrote it, comments and all, and what its fields were. */
export interface Written {
  readonly text: string;
  readonly fields: Record<string, unknown>;
}

/** A file that is filled in as a form, and checked as it is. */
export class FileEditor<R extends Reading> {
  fields = $state<Record<string, unknown>>({});
  reading = $state.raw<R | null>(null);
  problems = $state.raw<readonly Problem[]>([]);
  isBusy = $state(false);
  /** The file as it was taken in; what is kept until a field is changed. */
  #written = $state.raw<Written | null>(null);
  readonly #checks: Latest<string | Record<string, unknown>, Form<R>>;

  readonly told: readonly Told[] = $derived(toldOf((this.reading?.problems ?? []) as Problem[]));
  readonly questions: readonly Told[] = $derived(toldOf((this.reading?.questions ?? []) as Problem[]));
  readonly sent: Record<string, unknown> = $derived(this.stands());

  constructor(private readonly form: (file: string | Record<string, unknown>) => Promise<Form<R>>) {
    this.#checks = new Latest(form, (outcome, _, isLast) => {
      this.isBusy = !isLast;
      this.problems = outcome.problems;
      if (outcome.answer) this.reading = outcome.answer.reading;
    });
  }

  /** What is filled in, also for an answer that comes when the page is left already. */
  stands(): Record<string, unknown> {
    return filledIn($state.snapshot(this.fields));
  }

  /** Checks what is filled in; called whenever it changes. */
  check(fields: Record<string, unknown>): void {
    this.isBusy = true;
    this.#checks.ask(fields, 300);
  }

  begin(fields: Record<string, unknown>, written: Written | null = null): void {
    this.#written = written;
    this.fields = structuredClone(fields);
  }

  get written(): Written | null {
    return this.#written;
  }

  /** Takes a file up as text. */
  async take(text: string): Promise<void> {
    const { fields, reading } = await this.form(text);
    this.reading = reading;
    this.begin(fields, { text, fields });
  }

  /** The file as it is to be kept. */
  async text(): Promise<string> {
    const fields = this.stands();
    if (this.#written && isSame(this.#written.fields, fields)) return this.#written.text;
    return (await this.form(fields)).text;
  }

  stop(): void {
    this.#checks.stop();
  }
}
