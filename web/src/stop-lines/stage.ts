// Whether counts are of the stage that a threshold holds for, where the server cannot be asked.

/** The words of each stage, the stage first. Grubs, caterpillars and maggots are larvae. */
const WORDS: readonly (readonly string[])[] = [
  ["egg", "eggs"],
  ["nymph", "nymphs"],
  ["larva", "larvae", "larval", "grub", "grubs", "caterpillar", "caterpillars", "maggot", "maggots"],
  ["pupa", "pupae", "pupal"],
  ["adult", "adults"],
];

/** The stages that words name; none where they name none that is known, such as `crawler`. */
function stagesIn(words: string): Set<string> {
  const each = words.toLowerCase().split(/[^\p{L}\p{N}]+/u);
  return new Set(each.flatMap((word) => WORDS.find((stage) => stage.includes(word))?.slice(0, 1) ?? []));
}

/** Whether none of what was counted is of the stage that something holds for; words that leave it open are none of it. */
export function isOtherStage(counted: string, wanted: string): boolean {
  const [here, there] = [stagesIn(counted), stagesIn(wanted)];
  return here.size > 0 && there.size > 0 && ![...here].some((stage) => there.has(stage));
}
