// Reads what a person typed, and tells of each field that cannot be read what was found and what is expected.
import { asApplied as words } from "../../words/yard";
import { written } from "../../yard/units";

/** A field that cannot be read as it stands, or that is missing. */
export interface Wrong {
  /** The identifier of its control. */
  id: string;
  /** As the page calls it, with the task and the tank that it belongs to. */
  name: string;
  /** What stands there; nothing where it is missing. */
  found: string;
  expected: string;
}

/** Reads the fields of one form, and gathers what is wrong with them. */
export class Reading {
  readonly wrong: Wrong[] = [];

  /** A figure in a unit, not below nothing; `undefined` where nothing stands there, or nothing that can be read. */
  figure(id: string, name: string, text: string, unit: string): string | undefined {
    const number = written(text);
    const isRead = number === null || number >= 0;
    return this.#read(id, name, text, isRead, words.expects.figure(unit), `${number} ${unit}`);
  }

  /** As {@link figure}, for a temperature: it may be below nothing. */
  temperature(id: string, name: string, text: string, unit: string): string | undefined {
    const number = written(text);
    return this.#read(id, name, text, !Number.isNaN(number), words.expects.figure(unit), `${number} ${unit}`);
  }

  /** Degrees clockwise from north. */
  bearing(id: string, name: string, text: string): number | undefined {
    const number = written(text);
    const isRead = number === null || (number >= 0 && number <= 360);
    return this.#read(id, name, text, isRead, words.expects.bearing, number ?? 0);
  }

  /** A time on a day, by the clock of the place: with its offset where that is known. */
  time(id: string, name: string, text: string, day: string, offset: string | null): string | undefined {
    const [, hours, minutes] = /^(\d{1,2}):(\d{2})$/.exec(text.trim()) ?? [];
    const isRead = text.trim() === "" || (Number(hours) < 24 && Number(minutes) < 60);
    const time = text.trim().padStart(5, "0");
    const told = offset === null || day === "" ? time : `${day}T${time}:00${offset}`;
    return this.#read(id, name, text, isRead, words.expects.time, told);
  }

  #read<Value>(
    id: string,
    name: string,
    text: string,
    isRead: boolean,
    expected: string,
    value: Value,
  ): Value | undefined {
    if (text.trim() === "") return undefined;
    if (isRead) return value;
    this.wrong.push({ id, name, found: text.trim(), expected });
    return undefined;
  }

  /** Something that has to be told. */
  missing(id: string, name: string, expected: string): void {
    this.wrong.push({ id, name, found: "", expected });
  }
}
