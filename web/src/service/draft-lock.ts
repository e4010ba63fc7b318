/** The lock of something that somebody writes down in the yard. */
export const nameOfLock = (who: string, draft: string): string => `tussock.yard/${who}/${draft}`;

/**
 * Takes hold of a draft for this window. One window of a browser keeps a draft; two that wrote the same one would each
 * lose the other's. Without locks, over plain http, every window does.
 *
 * @returns what lets go of it; null where another window has it
 */
export async function holdDraft(name: string): Promise<(() => void) | null> {
  if (!("locks" in navigator)) return () => {};
  return new Promise((resolve) => {
    void navigator.locks.request(name, { ifAvailable: true }, (lock) => {
      if (lock === null) return resolve(null);
      return new Promise<void>((done) => resolve(() => done()));
    });
  });
}
