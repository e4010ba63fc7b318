/**
 * A name that nothing had before: a UUID of version 7 (RFC 9562, 5.7), the time first, so that what is made
 * later is listed later. Made on the device, which may have no reception and no secure context.
 */
export function freshName(now = Date.now()): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let index = 0; index < 6; index += 1) bytes[index] = Math.floor(now / 256 ** (5 - index)) % 256;
  bytes[6] = 0x70 | (bytes[6]! & 0x0f);
  bytes[8] = 0x80 | (bytes[8]! & 0x3f);
  const digits = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [
    digits.slice(0, 8),
    digits.slice(8, 12),
    digits.slice(12, 16),
    digits.slice(16, 20),
    digits.slice(20),
  ].join("-");
}
