// How certificates and training stand on a day.
import type { components } from "../../service/api";

export type Person = components["schemas"]["KeptPerson"];
export type Certificate = NonNullable<Person["certificates"]>[number];
export type Category = Certificate["categories"][number];
type Training = NonNullable<Person["training"]>[number];

/** Every kind of work, in the order of the form. */
export const CATEGORIES: readonly Category[] = [
  "ornamental-and-turf",
  "structural",
  "public-health",
  "right-of-way",
  "aquatic",
  "agricultural",
];
export const KINDS: readonly Training["kind"][] = ["noncertified-applicator", "handler", "other"];

/** Days before its end from which a certificate is told as due: time for a course and an examination. Common practice, no source. */
export const SOON_DAYS = 90;

const DAY_MS = 24 * 60 * 60 * 1000;

/** Days from one day of the calendar to another. */
export function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / DAY_MS);
}

export type Standing = { is: "over" | "soon" | "holds"; days: number } | { is: "not-yet" };

/** How a certificate stands; its last day counts. */
export function standing(
  certificate: Pick<Certificate, "valid_from" | "valid_until">,
  today: string,
): Standing {
  if (certificate.valid_from && today < certificate.valid_from) return { is: "not-yet" };
  const days = daysBetween(today, certificate.valid_until);
  return { is: days < 0 ? "over" : days <= SOON_DAYS ? "soon" : "holds", days: Math.abs(days) };
}

/** Whether training lies more than twelve months back, as the books count them (40 CFR 171.201(d)). */
export function isStale(date: string, today: string): boolean {
  const [year, month, day] = today.split("-").map(Number) as [number, number, number];
  // The last of February a year after a leap day is its twelve months.
  const last = new Date(Date.UTC(year - 1, month, 0)).getUTCDate();
  const first = new Date(Date.UTC(year - 1, month - 1, Math.min(day, last))).toISOString().slice(0, 10);
  return date < first;
}
