// Whose certificate a record names.
import type { Amended } from "./amended";

/** Whether another person is told as the one who applied. */
const isAnother = (before: Amended, after: Amended): boolean =>
  after.people.applicator.trim() !== before.people.applicator.trim();

/** Whether somebody said of just the person who is told whose the certificate is, or that they have none. */
const isSaidOfThem = ({ certificateOf, people }: Amended): boolean =>
  certificateOf === people.applicator.trim();

/** Whether who applied has no certificate: that one person has none says nothing of another who is named afterwards. */
export const hasNone = (before: Amended, after: Amended): boolean =>
  after.people.noCertification && (!isAnother(before, after) || isSaidOfThem(after));

/**
 * Whether another person is told as the one who applied, and the number of the certificate stands as it was: it may be that
 * of the person before, or, where a name was only misspelt, the right one.
 */
export function keepsCertificate(before: Amended, after: Amended): boolean {
  const number = after.people.certification.trim();
  const isAsBefore = number !== "" && number === before.people.certification.trim();
  return isAsBefore && !hasNone(before, after) && isAnother(before, after);
}

/** What is not told yet of the certificate of another person; `null` where nothing is open. */
export function openCertificate(before: Amended, after: Amended): "number" | "none" | null {
  if (keepsCertificate(before, after)) return isSaidOfThem(after) ? null : "number";
  const isOpen = after.people.noCertification && !hasNone(before, after);
  return isOpen && after.people.certification.trim() === "" ? "none" : null;
}
