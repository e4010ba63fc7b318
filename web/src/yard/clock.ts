// Clocks: that of this device, and that of the place where the work is done.

const two = (number: number) => String(number).padStart(2, "0");

/** An offset from universal time such as `-05:00`, of so many minutes. */
function offsetOf(minutes: number): string {
  const whole = Math.abs(minutes);
  return `${minutes < 0 ? "-" : "+"}${two(Math.floor(whole / 60))}:${two(whole % 60)}`;
}

/** How far this device's clock is from universal time at a moment. */
export const deviceOffset = (now = new Date()): string => offsetOf(-now.getTimezoneOffset());

/** A moment by the clock that stands at an offset: `2026-07-07T07:05:00-05:00`. */
export function momentAt(offset: string, now = new Date()): string {
  const [, sign, hours, minutes] = /^([+-])(\d\d):(\d\d)$/.exec(offset) ?? [];
  const ahead = (Number(hours) * 60 + Number(minutes)) * (sign === "-" ? -1 : 1);
  return `${new Date(now.getTime() + ahead * 60_000).toISOString().slice(0, 19)}${offset}`;
}

/** The day by a clock; by this device's where none is told. */
export const today = (offset = deviceOffset(), now = new Date()): string =>
  momentAt(offset, now).slice(0, 10);

/** Hours and minutes by a clock; by this device's where none is told. */
export const clock = (offset = deviceOffset(), now = new Date()): string =>
  momentAt(offset, now).slice(11, 16);

/** What a plan tells of the clock of its place. */
interface Planned {
  visit: { hours: readonly { start: string }[]; start_windows: readonly { first: string }[] };
}

/** The clock of a planned visit, which is that of its forecast; `null` where the plan has no hour. */
export function offsetOfPlan(planned: unknown): string | null {
  const visit = (planned as Planned | null | undefined)?.visit;
  const moment = visit?.hours[0]?.start ?? visit?.start_windows[0]?.first ?? "";
  return moment.endsWith("Z") ? "+00:00" : (/[+-]\d\d:\d\d$/.exec(moment)?.[0] ?? null);
}

interface Along {
  name: string;
  document: unknown;
  planned?: unknown;
}

/** The clock of the place of a visit or a property (`visit/…`, `property/…`), as far as what is taken along tells it. */
export function offsetOfPlace(taken: readonly Along[], name: string): string | null {
  const isOn = ({ document }: Along) =>
    `property/${(document as { property?: string | null } | null)?.property}` === name;
  const found = taken.find((one) => one.planned !== undefined && (one.name === name || isOn(one)));
  return offsetOfPlan(found?.planned);
}
