// On what counts are made, and on what thresholds are told, where the server cannot be asked.
import { areaM2 } from "./area";

/** So much of one kind: square metres, metres of a drag, trap nights; one flush, trap or plant. */
export interface Basis {
  kind: "area" | "drag" | "trap night" | "flush" | "trap" | "plant";
  size: number;
}

const FOOT_M = 0.3048;
const LENGTHS: readonly (readonly [RegExp, number])[] = [
  [/^(ft\.?|foot|feet)$/, FOOT_M],
  [/^(yd\.?|yards?)$/, 3 * FOOT_M],
  [/^(m|metres?|meters?)$/, 1],
];

/** A basis such as `1 sq yd`, `100 ft of drag`, `3 trap nights`, `flush`; `null` for what is none. */
export function basisOf(text: string): Basis | null {
  const words = text.trim().toLowerCase();
  if (words === "flush" || words === "trap" || words === "plant") return { kind: words, size: 1 };
  const nights = /^(\d+)?\s*trap nights?$/.exec(words);
  if (nights !== null) {
    const size = Number(nights[1] ?? 1);
    return size > 0 ? { kind: "trap night", size } : null;
  }
  const drag = /^(\d+(?:\.\d+)?|\.\d+)?\s*(\S+) of drag$/.exec(words);
  if (drag !== null) {
    const unit = LENGTHS.find(([word]) => word.test(drag[2]!));
    const size = unit === undefined ? 0 : Number(drag[1] ?? 1) * unit[1];
    return size > 0 ? { kind: "drag", size } : null;
  }
  const area = areaM2(text);
  return area === null ? null : { kind: "area", size: area };
}
