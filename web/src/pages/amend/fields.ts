/** The controls in which what a record lacks is filled in, by the words of the rules. */
const CONTROLS: Record<string, string> = {
  client: "client",
  "client-address": "client-address",
  location: "location",
  date: "day",
  "start-time": "started",
  "end-time": "ended",
  lot: "task-1-lot-1",
  "total-amount": "task-1-tank-1-product-1",
  "carrier-total": "task-1-tank-1-spray",
  "wind-direction": "start-from",
  "wind-speed": "start-wind",
  temperature: "start-temperature",
  applicator: "applicator",
  "certification-number": "certification",
  supervisor: "supervisor",
  "noncertified-applicator": "noncertified",
  "notices-given": "no-notices",
  "target-counts": "counts-pest",
  "unexpected-occurrence": "unexpected",
  disposal: "disposal",
};

/** The control of a field; `null` for what no person fills in, since it comes from a label or a map. */
export const controlOfField = (field: string): string | null => CONTROLS[field] ?? null;
