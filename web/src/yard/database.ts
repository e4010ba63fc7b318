// What this device keeps for the yard: what was taken along, what waits to be delivered, what was.
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import type { Problem } from "../service/problem";

/** A deed done in the yard, kept until the server says that it has it. */
export interface Waiting {
  /** Its name, by which the server knows it however often it is sent. */
  key: string;
  /** In whose hands: another person's session does not deliver it. */
  who: string;
  what: "counts" | "record" | "photo";
  title: string;
  /** When it was done, by the device's clock. */
  madeAt: string;
  /** The clock of the place where it was done, such as `-05:00`; nothing where nobody knew it. */
  offset?: string | null;
  path: string;
  query: Record<string, string>;
  /** What is sent: a document, or a picture. */
  body: unknown;
  picture?: { kind: string; bytes: ArrayBuffer };
  /** The key of the deed to whose thing it belongs: it goes after that one. */
  after?: string;
  /** What a person wrote, and the address of the page where it is mended. */
  written?: { draft: string; page: string; content: unknown };
  /** The server refused it: a person has to look. */
  problems: Problem[];
  /** The server broke off on it, so often in a row, and last for this reason. */
  broken?: { times: number; problems: Problem[] } | undefined;
  tries: number;
  /** How many of the tries ran out of their time. */
  slow?: number;
}

/** A deed that the server has. */
export interface Delivered {
  key: string;
  who: string;
  what: Waiting["what"];
  title: string;
  deliveredAt: string;
  /** As in {@link Waiting}. */
  offset?: string | null;
  /** What the server calls it. */
  thing: string;
  /** What the server said should be looked at. */
  told: string[];
}

/** Something of the books, as it was when it was taken along. */
export interface Taken {
  /** `property/…` or `visit/…`. */
  name: string;
  who: string;
  takenAt: string;
  title: string;
  day: string | null;
  thing: string;
  document: unknown;
  /** Of a visit: what the server planned of it. */
  planned?: unknown;
  /** The tag of the version in the books. */
  tag?: string | null;
  /** What changed when it was taken anew, until somebody has seen it. */
  anew?: Anew;
}

/** What changed since something was taken along. */
export interface Anew {
  /** When it had been taken along before. */
  since: string;
  changes: string[];
}

/** What is being written down and not yet done. */
export interface Draft {
  name: string;
  who: string;
  written: unknown;
}

interface Yard extends DBSchema {
  waiting: { key: string; value: Waiting; indexes: { after: string } };
  delivered: { key: string; value: Delivered };
  taken: { key: [string, string]; value: Taken };
  drafts: { key: [string, string]; value: Draft };
}

let opened: Promise<IDBPDatabase<Yard>> | undefined;

/** The database of this device. */
export function database(): Promise<IDBPDatabase<Yard>> {
  opened ??= openDB<Yard>("tussock.yard", 1, {
    upgrade(db) {
      db.createObjectStore("waiting", { keyPath: "key" }).createIndex("after", "after");
      db.createObjectStore("delivered", { keyPath: "key" });
      db.createObjectStore("taken", { keyPath: ["who", "name"] });
      db.createObjectStore("drafts", { keyPath: ["who", "name"] });
    },
    // Another tab opens a newer one: this tab lets go of the old one, and asks again when it needs it.
    blocking() {
      void opened?.then((db) => db.close());
      opened = undefined;
    },
    terminated() {
      opened = undefined;
    },
  });
  // What could not be opened once is not lost for good.
  opened.catch(() => (opened = undefined));
  return opened;
}

let isHeld = false;

/** Asks the browser, once, to keep what is here also when it wants room for something else. */
export function holdFast(): void {
  if (isHeld || !("storage" in navigator)) return;
  isHeld = true;
  void navigator.storage.persist().catch(() => {});
}

/** What is written survives a loss of power: the browser may not answer before the disk has it. */
export const STRICT = { durability: "strict" } as const;
