import { asApplied as words } from "../../words/yard";
import type { Wrong } from "./reading";

/** What is wrong with each field, in words, by the identifier of its control. */
export type Wrongs = Readonly<Record<string, string | undefined>>;

export const wrongsOf = (wrong: readonly Wrong[]): Wrongs =>
  Object.fromEntries(wrong.map(({ id, found, expected }) => [id, words.wrong(found, expected)]));

/** Goes to the control of a field. */
export function goTo(id: string): void {
  const control = document.getElementById(id);
  for (let fold = control?.closest("details"); fold; fold = fold.parentElement?.closest("details") ?? null)
    fold.open = true;
  control?.focus();
  control?.scrollIntoView({ block: "center" });
}

/** What is asked of a control for a time, and what it is called where a part of it is missing. */
const OF_TYPE: Record<string, { found: string; expected: string }> = {
  time: { found: words.halfTyped, expected: words.expects.time },
  date: { found: words.halfDay, expected: words.expects.day },
  "datetime-local": { found: words.halfMoment, expected: words.expects.moment },
};

/**
 * What keeps a form from being kept: all that is wrong with it, and the times of which a part is typed. The browser gives
 * those as nothing, so that they would be left out without a word.
 */
export function unreadOf(wrong: readonly Wrong[]): Wrong[] {
  const selector = Object.keys(OF_TYPE).map((type) => `main input[type=${type}]`);
  const half = [...document.querySelectorAll<HTMLInputElement>(selector.join())]
    .filter(({ validity }) => validity.badInput)
    .map(({ id, labels, type }) => ({
      id,
      name: labels?.[0]?.textContent?.trim() ?? id,
      ...OF_TYPE[type]!,
    }));
  // It is not missing: it is told once, as what it is.
  return [...wrong.filter(({ id }) => half.every((one) => one.id !== id)), ...half];
}
