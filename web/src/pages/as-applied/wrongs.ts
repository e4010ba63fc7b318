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
