/**
 * Drafts on this device: what was begun and not yet kept in the books. Photos that are drawn over stay here alone.
 * One store, a name for each draft of a person; what is put is held as the browser holds files and pictures.
 */
const DATABASE = "tussock.drafts";
const STORE = "drafts";

/** The way to the store, which stays open: what is put while a page is being left has no time to open it. */
let way: IDBDatabase | null = null;
let opening: Promise<IDBDatabase> | null = null;

function opened(): Promise<IDBDatabase> {
  opening ??= new Promise<IDBDatabase>((resolve, reject) => {
    const asked = indexedDB.open(DATABASE, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
    asked.onsuccess = () => {
      const found = (way = asked.result);
      const shut = () => {
        found.close();
        if (way === found) way = null;
      };
      found.onversionchange = found.onclose = shut;
      resolve(found);
    };
    asked.onerror = () => reject(asked.error ?? new Error("no store"));
  }).finally(() => (opening = null));
  return opening;
}

function once<Result>(
  database: IDBDatabase,
  mode: IDBTransactionMode,
  deed: (store: IDBObjectStore) => IDBRequest<Result>,
): Promise<Result> {
  return new Promise<Result>((resolve, reject) => {
    const transaction = database.transaction(STORE, mode, { durability: "strict" });
    const asked = deed(transaction.objectStore(STORE));
    transaction.oncomplete = () => resolve(asked.result);
    transaction.onerror = transaction.onabort = () => reject(transaction.error ?? new Error("not stored"));
    // Nothing else is asked of it: a page that is left now is not there to say so.
    if (mode === "readwrite") transaction.commit();
  });
}

async function within<Result>(
  mode: IDBTransactionMode,
  deed: (store: IDBObjectStore) => IDBRequest<Result>,
): Promise<Result> {
  const open = way;
  if (open === null) return once(await opened(), mode, deed);
  try {
    return await once(open, mode, deed);
  } catch {
    // A browser may shut a way that was open without a word.
    if (way === open) way = null;
    open.close();
    return once(await opened(), mode, deed);
  }
}

let person = "";

/** Whose drafts they are: nobody finds those of another who signs in on the same device. */
export function draftsAreOf(who: string): void {
  person = who;
}

/** Whose drafts they are now. What is written later is still theirs, though nobody is signed in any more. */
export const whoseDrafts = (): string => person;

/** The draft of a name; undefined where there is none. */
export async function draftOf<Draft>(name: string, whose = person): Promise<Draft | undefined> {
  return (await within("readonly", (store) => store.get([whose, name]))) as Draft | undefined;
}

/** Puts a draft in the place of the one before. */
export async function putDraft(name: string, draft: unknown, whose = person): Promise<void> {
  await within("readwrite", (store) => store.put(draft, [whose, name]));
}

export async function dropDraft(name: string, whose = person): Promise<void> {
  await within("readwrite", (store) => store.delete([whose, name]));
}

/** The names of all drafts that begin so. */
export async function draftNames(begin: string): Promise<string[]> {
  const keys = await within("readonly", (store) => store.getAllKeys());
  const own = keys.flatMap((key) => (Array.isArray(key) && key[0] === person ? [String(key[1])] : []));
  return own.filter((name) => name.startsWith(begin));
}

/** All drafts that begin so, with their names; what cannot be read is left out. */
export async function draftsNamed<Draft>(begin: string): Promise<[name: string, draft: Draft][]> {
  const names = await draftNames(begin);
  const found = await Promise.all(names.map(async (name) => [name, await draftOf<Draft>(name)] as const));
  return found.flatMap(([name, draft]) => (draft === undefined ? [] : [[name, draft] as [string, Draft]]));
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
