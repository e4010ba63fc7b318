/** A chance as it is told; never as certain. */
export function percent(chance: number): string {
  if (chance > 0.995) return "over 99 %";
  if (chance < 0.01) return "under 1 %";
  return `${(chance * 100).toFixed(0)} %`;
}
