import { expect, test } from "vitest";
import { Apart } from "./apart";

/** A thread that says what it is told to. */
class Thread {
  onmessage: ((event: { data: unknown }) => void) | null = null;
  onerror: (() => void) | null = null;
  readonly asked: { number: number; question: string }[] = [];
  postMessage(message: { number: number; question: string }): void {
    this.asked.push(message);
  }
  terminate(): void {}
}

function apart() {
  const thread = new Thread();
  const asks = new Apart<string, string>(
    () => thread as unknown as Worker,
    async (question) => `here: ${question}`,
  );
  return { thread, asks };
}

test("each answer of the thread goes to its question", async () => {
  const { thread, asks } = apart();
  const [one, other] = [asks.ask("one"), asks.ask("other")];
  for (const { number, question } of [...thread.asked].reverse()) {
    thread.onmessage?.({ data: { number, answer: `there: ${question}` } });
  }
  expect(await Promise.all([one, other])).toEqual(["there: one", "there: other"]);
});

test("what fails in the thread is done here", async () => {
  const { thread, asks } = apart();
  const waiting = asks.ask("one");
  thread.onmessage?.({ data: { number: thread.asked[0]!.number } });
  expect(await waiting).toBe("here: one");
});

test("where the thread breaks, or there is none, it is done here", async () => {
  const { thread, asks } = apart();
  const waiting = asks.ask("one");
  thread.onerror?.();
  expect([await waiting, await asks.ask("two")]).toEqual(["here: one", "here: two"]);
  expect(thread.asked).toHaveLength(1);
  const none = new Apart<string, string>(
    () => {
      throw new Error("no threads");
    },
    async (question) => `here: ${question}`,
  );
  expect(await none.ask("three")).toBe("here: three");
});
