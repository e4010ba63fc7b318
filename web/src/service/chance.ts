/** Letters and digits that nobody mixes up when they are read out or copied by hand: 32 of them, so that each is as likely. */
const LETTERS = "abcdefghijkmnpqrstuvwxyz23456789";

/** A password by chance: 24 of 32 letters in groups of four, 120 bits. */
export function freshPassword(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(24));
  const letters = Array.from(bytes, (byte) => LETTERS[byte % 32]!);
  return Array.from({ length: 6 }, (_, at) => letters.slice(at * 4, at * 4 + 4).join("")).join("-");
}
