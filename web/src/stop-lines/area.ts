// Areas as people write them, where the server cannot be asked.

const FOOT_M = 0.3048;

/** Exact by definition (NIST Handbook 44, appendix C), in square metres. */
const UNITS: readonly (readonly [RegExp, number])[] = [
  [/^(sq\.? ?ft\.?|ft²|ft2|square (foot|feet))$/, FOOT_M ** 2],
  [/^(sq\.? ?yd\.?|yd²|yd2|square yards?)$/, 9 * FOOT_M ** 2],
  [/^(sq\.? ?in\.?|in²|in2|square inch(es)?)$/, (FOOT_M / 12) ** 2],
  [/^(m²|m2|sq\.? ?m|square (metre|meter)s?)$/, 1],
  [/^acres?$/, 43_560 * FOOT_M ** 2],
  [/^(ha|hectares?)$/, 10_000],
];

/** An area such as `1 sq ft`, `sq yd`, `6,320 sq ft` or `0.25 acre`, in square metres; `null` for what is none. */
export function areaM2(text: string): number | null {
  const found = /^(\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?|\.\d+)?\s*(\D.*)$/.exec(
    text.trim().toLowerCase(),
  );
  if (found === null) return null;
  const unit = UNITS.find(([word]) => word.test(found[2]!.trim()));
  const number = found[1] === undefined ? 1 : Number(found[1].replaceAll(",", ""));
  return unit === undefined || !(number > 0) ? null : number * unit[1];
}
