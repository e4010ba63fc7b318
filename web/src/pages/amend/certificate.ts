// Whose certificate a record names.
import type { Amended } from "./amended";

/**
 * Whether another person is told as the one who applied, and the number of the certificate stands as it was: it may be that
 * of the person before, or, where a name was only misspelt, the right one.
 */
export function keepsCertificate(before: Amended, after: Amended): boolean {
  const [was, is] = [before.people, after.people];
  const number = is.certification.trim();
  return (
    !is.noCertification &&
    number !== "" &&
    number === was.certification.trim() &&
    is.applicator.trim() !== was.applicator.trim()
  );
}
