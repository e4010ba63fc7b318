/** Whose of two versions holds, as who chooses sees it. */
export type Side = "mine" | "theirs";

/** A part in which two people's versions differ. */
export interface Part {
  key: string;
  legend: string;
  /** Under which heading it stands; parts of one heading follow each other. */
  heading?: string;
  /** What it said before either changed it. */
  before?: string;
  /** What each side says, where that can be told in a line. */
  mine?: string;
  theirs?: string;
  /** Whose it is where only one of them changed it; null where both did, and a person chooses. */
  proposed: Side | null;
}
