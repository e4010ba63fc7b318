// What the answer of the server says of treatments, in the order and the words of the page.
import type { components } from "../../service/api";
import { efficacy as words } from "../../words/efficacy";

export type Efficacy = components["schemas"]["EfficacyJson"];
export type Treatment = Efficacy["treatments"][number];
export type Untold = Efficacy["untold"][number];
export type Resistance = Efficacy["resistance"][number];
export type Doubt = NonNullable<Treatment["interval_doubt"]>;

/** Whether it worked, in one word. */
export type Worked = "worked" | "perhaps" | "below" | "not-shown" | "more" | "untold";

export function workedOf(one: Treatment): Worked {
  if (one.finding === "increased") return "more";
  if (one.finding === "not-shown") return "not-shown";
  if (one.against_expected === "below") return "below";
  return one.against_expected === "perhaps-below" ? "perhaps" : "worked";
}

/** Whether the whole interval reaches what is expected, or the estimate alone. */
export function isSure(one: Treatment, expected: number): boolean {
  return one.interval[0]! >= expected;
}

/** A treatment is judged by the count nearest to so many days after it, as resistance is. Common practice, no source. */
const JUDGED_AFTER_DAYS = 7;

/** Days from a treatment to the count after it. */
export const daysAfter = (one: Treatment) =>
  Math.round((Date.parse(one.counted) - Date.parse(one.treated)) / 86_400_000);

/** Of several counts after one treatment the one that tells whether it worked: later ones see what came in since. */
export function judgedOf(counts: readonly Treatment[]): Treatment | undefined {
  const off = (one: Treatment) => Math.abs(daysAfter(one) - JUDGED_AFTER_DAYS);
  return [...counts].sort((one, other) => off(one) - off(other))[0];
}

/** A treatment with what every count after it tells, the newest treatment first. */
export interface Treated {
  key: string;
  pest: string;
  treated: string;
  group: string | null;
  products: string[];
  record: string | null;
  counts: Treatment[];
  untold: Untold | null;
}

export function byTreatment({ treatments, untold }: Efficacy): Treated[] {
  const all = new Map<string, Treated>();
  const of = (one: Treatment | Untold): Treated => {
    const key = `${one.pest}/${one.treated}/${one.property}`;
    const { pest, treated, products, group, record } = one;
    const known = all.get(key) ?? { key, pest, treated, group, products, record, counts: [], untold: null };
    all.set(key, known);
    return known;
  };
  for (const one of treatments) of(one).counts.push(one);
  for (const one of untold) of(one).untold = one;
  return [...all.values()].sort((one, other) => other.treated.localeCompare(one.treated));
}

/** The pests of which something was counted or treated. */
export function pestsOf({ treatments, untold }: Efficacy): string[] {
  return [...new Set([...treatments, ...untold].map(({ pest }) => pest))].sort();
}

/** What should be looked at, but for what stands beside the intervals that it is of. */
export function elsewhere({ treatments, resistance, problems }: Efficacy): Efficacy["problems"] {
  const beside = new Set([...treatments, ...resistance].map(({ interval_doubt }) => interval_doubt?.code));
  return problems.filter(({ code }) => !beside.has(code));
}

/** A share in whole per cent. */
export const percent = (share: number) => `${(share * 100).toFixed(0)} %`;

/** Whether it worked, as one sentence. */
export function says(one: Treatment, expected: number): string {
  const [low, high] = one.interval.map(percent) as [string, string];
  const told = words.control(percent(one.control), low, high, percent(expected));
  return `${words.worked[workedOf(one)]}. ${told}`;
}
