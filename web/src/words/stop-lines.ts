/** How sure, and how many counts, as they were written. */
interface Aimed {
  inVainAt: string;
  treatInVain: string;
  leaveWrongly: string;
  least: string;
  most: string;
}

/** How often lines err, and at how many times the threshold. */
type ErrsMore = Record<"found" | "stated" | "k" | "times", string> & { most: number };

/** What the lines of a picture are told by. */
type LineFigure = "slope" | "above" | "below" | "cleanSlope" | "cleanBelow";

/** Words of stop lines, and of what counts call for. */
export const stopLines = {
  title: "What the counts call for",
  stations: "Stations counted",
  total: "Found in all",
  stops: {
    treat: "treat",
    "do-not-treat": "do not treat",
    "count-on": "count on",
  },
  statuses: {
    treat: "Treat",
    "do-not-treat": "Do not treat",
    "count-on": "Count on",
    "most-reached-treat": "Treat",
    "most-reached-do-not-treat": "Do not treat",
  },
  more: (more: number) => `about ${more} more on average`,
  says: {
    treat: (at: number) => `The counts reach the upper line at station ${at}.`,
    "do-not-treat": (at: number) => `The counts fall to the lower line at station ${at}.`,
    "count-on": () => "It is not decided yet.",
    "most-reached-treat": () =>
      "The most counts are made, between the lines, and their mean is at the threshold or above.",
    "most-reached-do-not-treat": () =>
      "The most counts are made, between the lines, and their mean is below the threshold.",
  },
  inPicture: (
    counts: number,
    total: number,
    { slope, above, below, cleanSlope, cleanBelow }: Record<LineFigure, string>,
  ) =>
    `After ${counts} ${counts === 1 ? "count" : "counts"} ${total} were found. Upper line: ${slope} for each count plus ${above}; lower line: ${slope} for each count less ${below}, and where there is next to nothing ${cleanSlope} for each count less ${cleanBelow}.`,
  scatter: {
    ground: (area: string, place: string, host: string) => `of counts on ${area} (${place}, ${host})`,
    told: (k: string, ground: string) =>
      `The lines go by the k of the pest's profile, as the counts are too few to fit it: k = ${k}, ${ground}. On other ground it is another.`,
    leftOut: (k: string, ground: string) => `the k of the profile, ${k}, is ${ground} and is left out`,
    counted: (k: string) => `The lines go by the clumped end of what these counts make likely: k = ${k}.`,
    believed: (counts: number, k: string, leftOut: string | null) =>
      `${counts === 1 ? "One count does" : `${counts} counts do`} not tell how clumped the pests are, and ${leftOut ?? "no profile does"}: the lines go by the clumped end of what is likely, k = ${k}.`,
    errs: (
      here: readonly [string, string],
      [low, high]: readonly [string, string],
      k: string,
      more: readonly [string, string],
    ) =>
      `There they treat in vain in ${here[0]} of cases at ${low} of the threshold and leave wrongly in ${here[1]} at ${high} times it; were k ${k}, in ${more[0]} and ${more[1]}. From 15 counts on the counts tell it.`,
  },
  errsMore: {
    inVain: ({ found, stated, most, k, times }: ErrsMore) =>
      `With ${most} counts at most and k ${k} the lines treat in vain in ${found} of cases at ${times} of the threshold, where ${stated} is stated.`,
    wrongly: ({ found, stated, most, k, times }: ErrsMore) =>
      `With ${most} counts at most and k ${k} the lines leave wrongly in ${found} of cases at ${times} times the threshold, where ${stated} is stated.`,
    kept: (most: number) => `With ${most} counts at most they keep what is stated.`,
    never: (most: number) => `No number of counts up to ${most} keeps what is stated.`,
  },
  aim: "How sure, and how many counts",
  aimTold: (aim: Aimed) =>
    `${aim.treatInVain} % and ${aim.leaveWrongly} % wrong at most, ${aim.least} to ${aim.most} counts`,
  aims: {
    inVainAt: "Treating is in vain at so many per cent of it, and leaving wrong as far above it",
    treatInVain: "Per cent of cases in which it may be treated in vain there (alpha)",
    leaveWrongly: "Per cent of cases in which it may be left wrongly as far above (beta)",
    least: "Fewest counts before anything is decided",
    most: "Most counts",
  },
  aimWrong: {
    inVainAt: "A number above 0 and below 100, such as 70.7.",
    treatInVain: "A number above 0 and below 50, such as 10.",
    leaveWrongly: "A number above 0 and below 50, such as 10.",
    least: "A whole number from 1 to 500, such as 5.",
    most: "A whole number up to 500, and not below the fewest, such as 50.",
  },
  aimUsual: "Back to the usual",
  judged: (aim: Aimed, wrongAt: string) =>
    `Treating is in vain at ${aim.inVainAt} % of the threshold, and it may be treated there in ${aim.treatInVain} % of cases; leaving is wrong at ${wrongAt} % of it, and it may be left there in ${aim.leaveWrongly} %. Near the threshold itself either answer is right. ${aim.least} to ${aim.most} counts.`,
  level: (level: string, area: string) => `The threshold is ${level} on ${area}.`,
  levelEach: (level: string, per: string) => `The threshold is ${level} per ${per}.`,
  profile: "Profile",
  noProfile: "None, or not told yet",
  ask: "I do not know: what is it?",
  known: "What is known of it",
  threshold: "Threshold",
  none: "None: count without",
  own: "Another one, stated here",
  offered: (count: string, per: string, place: string) => `${count} per ${per}: ${place}`,
  taken: (low: string, high: string) => `${low} to ${high} (the lower is taken)`,
  count: "How many",
  per: "On what",
  perHint: "An area with its unit, such as 1 sq yd; or flush, trap, trap night, 100 ft of drag, plant",
  source: "Where it was published, and for which place",
  from: (source: string) => `From: ${source}`,
  forStage: (stage: string) => `It holds for this stage: ${stage}.`,
  mounds: {
    count: (count: string) => `${count} mounds`,
    calls: {
      "leave-be": "Do not treat",
      "mounds-alone": "Treat the mounds alone",
      broadcast: "Broadcast, then single mounds",
    },
    says: {
      "leave-be": () => "No live mound was found.",
      "mounds-alone": (found: string, level: string, mounds: number) =>
        `${mounds} live ${mounds === 1 ? "mound" : "mounds"}, ${found} per acre, not more than ${level}: one by one, and nothing beside them.`,
      broadcast: (found: string, level: string, mounds: number) =>
        `${mounds} live mounds, ${found} per acre, more than ${level}: over the whole lawn, then those that stay.`,
    },
    whole: "Walk the whole lawn, and write its area as that of one count; or walk several parts of one size.",
  },
  lacks: {
    mounds: "This threshold counts live mounds: choose mounds as what it was sampled with, and count them.",
    animals: "Mounds are held against a threshold of mounds. Choose one, or state your own.",
    stage:
      "The threshold holds for another stage than was counted. Choose one for this stage, or correct the stage below.",
    threshold: "Choose a threshold: then the counts say when to stop.",
    count: "Write how many the threshold is: a number above nothing.",
    per: "Write on what the threshold counts: an area such as 1 sq yd; or flush, trap, trap night, 100 ft of drag, plant.",
    source: "Write where the threshold was published: thresholds differ by place.",
    area: "Write the area of one count with its unit, such as 1 sq ft.",
    wide: "The lines lie too far apart to be reckoned with. Take less ground for a count, or look for a slip in the threshold.",
    aim: "See to how sure it is to be, and to how many counts: a number there is out of bounds.",
    basis:
      "Counts on ground, in flushes, traps, on drags and on plants are not held against each other. Choose a threshold told on what was counted, or count in its way.",
  },
  local: "Thresholds hold where their source found them, and may not hold here.",
  care: "Below the threshold treating is in vain, and does harm. A name is no reason to treat, and neither is a client's wish.",
};

/** Words of where the pests are. */
export const ground = {
  title: "Where they are",
  few: (places: number, least: number) =>
    `With counts at ${least} places or more, where the pests are is drawn here; ${places} ${places === 1 ? "is" : "are"} noted.`,
  away: "It is reckoned by the server: there is no reception now.",
  needsThreshold: "Choose a threshold first.",
  needsPest: "Say which pest was counted first.",
  look: "Look where they are",
  looking: "Being reckoned.",
  stale: "Counts were changed since: look again.",
  treat: (treat: string, turf: string, share: string) =>
    `${treat} of ${turf} of turf would be treated (${share}), inside the heavy dashed line.`,
  infested: (infested: string, stays: string) =>
    `${infested} are expected to be at the threshold or above; ${stays} of them would stay untreated.`,
  notMet: "More stays than a tenth: the rest lies on ground where it is unlikely.",
  nothing: "Nowhere is it likely enough to treat.",
  next: "Where to count next",
  place: (number: number, latitude: string, longitude: string) => `${number}: ${latitude}, ${longitude}`,
  use: "Count there",
  useOf: (number: number) => `Count there: place ${number}`,
  none: "No place is left that would tell more.",
};
