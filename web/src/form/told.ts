import type { Problem } from "../service/problem";
import { shelfWords as words } from "../words/shelf";

/** The code of a field that is not there. */
export const MISSING = "toml::missing-field";

/** A problem of a file that is filled in as a form, and the field that it means. */
export interface Told {
  readonly problem: Problem;
  /** The field's path, such as `use[1].rate.highest`; a group's where no field is meant. */
  readonly path: string;
}

/** Where each problem belongs. A field that is missing is meant by its group and its name. */
export function toldOf(problems: readonly Problem[]): Told[] {
  return problems.map((problem) => {
    const path = problem.path ?? "";
    const missing = problem.code === MISSING ? /^`([a-z_]+)`/.exec(problem.found)?.[1] : undefined;
    return { problem, path: missing ? (path ? `${path}.${missing}` : missing) : path };
  });
}

/** What is wanted where a field is missing: files speak of fields and tables, a form of what stands in them. */
export function wantedOf(problem: Problem): string {
  const rest = (problem.expected ?? "").replace(/^a (field|table) `[a-z_]+`(, )?|^a table for each /, "");
  return rest === "" ? words.wanted : `${words.wanted}: ${rest}`;
}

/** What is told of a field, in words: what was found, and how to mend it. */
export function tell(told: readonly Told[]): string {
  return told
    .map(({ problem }) =>
      problem.code === MISSING
        ? wantedOf(problem)
        : [problem.found, problem.mend ?? problem.expected].filter((part) => part).join(": "),
    )
    .join("; ");
}

/** The identifier of the control of a field. */
export function controlOf(path: string): string {
  return `f-${path}`;
}

/** Goes to what a problem means: its field, else the first field of its group; folds are opened on the way. */
export function goTo(path: string): void {
  let at = path;
  for (;;) {
    const element = document.getElementById(controlOf(at));
    if (element) {
      for (
        let fold = element.closest("details");
        fold;
        fold = fold.parentElement?.closest("details") ?? null
      ) {
        fold.open = true;
      }
      const isControl = element.matches("input, select, textarea, button, summary");
      const control = isControl
        ? element
        : element.querySelector<HTMLElement>("input, select, textarea, summary");
      control?.focus();
      element.scrollIntoView({ block: "center" });
      return;
    }
    const cut = Math.max(at.lastIndexOf("."), at.lastIndexOf("["));
    if (cut < 0) return;
    at = at.slice(0, cut);
  }
}
