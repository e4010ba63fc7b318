// Values of forms on their way to the server.

/** A number where the text is one. */
export function numberOf(text: string): number | string {
  return text.trim() !== "" && Number.isFinite(Number(text)) ? Number(text) : text;
}

/** A request as it is sent: fields that were left blank are left out. */
export function filledIn<Value>(value: Value): Value {
  return trimmed(value) as Value;
}

function trimmed(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(trimmed).filter((one) => one !== undefined);
  if (typeof value === "object" && value !== null) {
    const kept = Object.entries(value)
      .map(([name, one]) => [name, trimmed(one)] as const)
      .filter(([, one]) => one !== undefined && !isHollow(one));
    return Object.fromEntries(kept);
  }
  return value === null || (typeof value === "string" && value.trim() === "") ? undefined : value;
}

function isHollow(value: unknown): boolean {
  return typeof value === "object" && value !== null && Object.keys(value).length === 0;
}

/** Whether two values say the same, whatever the order of their fields. */
export function isSame(one: unknown, other: unknown): boolean {
  return ordered(one) === ordered(other);
}

function ordered(value: unknown): string {
  return JSON.stringify(value, (_, one: unknown) =>
    typeof one === "object" && one !== null && !Array.isArray(one)
      ? Object.fromEntries(Object.entries(one).sort(([a], [b]) => (a < b ? -1 : 1)))
      : one,
  );
}
