// Thresholds as the profiles of pests publish them.
import type { Pest } from "../key/reckon";
import { stopLines as words } from "../words/stop-lines";

/** Of a published range the range, with its lower figure taken: that of the ground which stands least. Nothing of one figure. */
export function rangeTaken({ low, high }: Pick<Pest["thresholds"][number], "low" | "high">): string {
  return low === high ? "" : words.taken(String(low), String(high));
}
