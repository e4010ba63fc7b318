// What went out of each tank, as far as what was written tells.
import type { Settings } from "../../house/settings.svelte";
import { UNITS, written as read } from "../../yard/units";
import type { PlannedTank } from "./planned";
import type { TankWritten } from "./written";

/**
 * The spray that went out of a tank, in litres: what was filled and what had stayed in it of the tank before, less what
 * was left. `null` where a figure cannot be read.
 */
export function sprayOut(
  planned: readonly PlannedTank[],
  tanks: readonly TankWritten[],
  index: number,
  units: Settings["units"],
): number | null {
  const litres = (text: string) => (read(text) ?? 0) * UNITS.spray[units].per;
  const own = tanks[index];
  const before = tanks
    .slice(0, index)
    .filter(({ fill }) => fill !== "none")
    .at(-1);
  if (own === undefined) return null;
  const typed = own.fill === "otherwise" && own.spray.trim() !== "";
  const filled = typed ? litres(own.spray) : (planned[index]?.spray_l ?? 0);
  const stayed = before?.way === "stayed" ? litres(before.left) : 0;
  const out = filled + stayed - litres(own.left);
  return Number.isNaN(out) ? null : out;
}
