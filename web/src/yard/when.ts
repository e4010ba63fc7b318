import { showDay } from "../house/settings.svelte";
import { yard as words } from "../words/yard";
import { deviceOffset, momentAt } from "./clock";

/** A moment of universal time by the clock of a place; by this device's, and it says so, where that is not known. */
export function when(moment: string, offset: string | null | undefined): string {
  const date = new Date(moment);
  const at = momentAt(offset ?? deviceOffset(date), date);
  return words.when(showDay(at.slice(0, 10)), at.slice(11, 16), offset ?? null);
}
