const two = (number: number) => String(number).padStart(2, "0");

/** The day on this device's clock. */
export function today(now = new Date()): string {
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** Hours and minutes on this device's clock. */
export function clock(now = new Date()): string {
  return `${two(now.getHours())}:${two(now.getMinutes())}`;
}
