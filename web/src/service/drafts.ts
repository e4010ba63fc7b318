/**
 * Drafts on this device: what was begun and not yet kept in the books. Photos that are drawn over stay here alone.
 * One store, a name for each draft of a person; what is put is held as the browser holds files and pictures.
 */
const DATABASE = "tussock.drafts";
const STORE = "drafts";

function opened(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(DATABASE, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error ?? new Error("no store"));
  });
}

async function within<Result>(
  mode: IDBTransactionMode,
  deed: (store: IDBObjectStore) => IDBRequest<Result>,
): Promise<Result> {
  const database = await opened();
  try {
    return await new Promise<Result>((resolve, reject) => {
      const transaction = database.transaction(STORE, mode, { durability: "strict" });
      const asked = deed(transaction.objectStore(STORE));
      transaction.oncomplete = () => resolve(asked.result);
      transaction.onerror = transaction.onabort = () => reject(transaction.error ?? new Error("not stored"));
    });
  } finally {
    database.close();
  }
}

let person = "";

/** Whose drafts they are: nobody finds those of another who signs in on the same device. */
export function draftsAreOf(who: string): void {
  person = who;
}

/** The draft of a name; undefined where there is none. */
export async function draftOf<Draft>(name: string): Promise<Draft | undefined> {
  return (await within("readonly", (store) => store.get([person, name]))) as Draft | undefined;
}

/** Puts a draft in the place of the one before. */
export async function putDraft(name: string, draft: unknown): Promise<void> {
  await within("readwrite", (store) => store.put(draft, [person, name]));
}

export async function dropDraft(name: string): Promise<void> {
  await within("readwrite", (store) => store.delete([person, name]));
}

/** The names of all drafts that begin so. */
export async function draftNames(begin: string): Promise<string[]> {
  const keys = await within("readonly", (store) => store.getAllKeys());
  const own = keys.flatMap((key) => (Array.isArray(key) && key[0] === person ? [String(key[1])] : []));
  return own.filter((name) => name.startsWith(begin));
}

/** Does one thing after the other; of what waits only the newest is done. */
export class Writer {
  #next: (() => Promise<void>) | null = null;
  #busy: Promise<void> | null = null;

  constructor(private readonly failed: (error: unknown) => void) {}

  write(deed: () => Promise<void>): void {
    this.#next = deed;
    this.#busy ??= this.#work();
  }

  /** Settles when nothing waits any more. */
  async done(): Promise<void> {
    await this.#busy;
  }

  async #work(): Promise<void> {
    while (this.#next) {
      const deed = this.#next;
      this.#next = null;
      try {
        await deed();
      } catch (error) {
        this.failed(error);
      }
    }
    this.#busy = null;
  }
}
