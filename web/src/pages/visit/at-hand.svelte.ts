import {
  FEW_LABELS,
  THING,
  keptEquipment,
  keptLabels,
  keptPeople,
  keptSurveys,
  knownPests,
  labelsUsedLast,
  oneOfEach,
  profileOf,
  readEquipment,
  readLabel,
  type LabelChoice,
  type LabelReading,
  type ListedPest,
  type Person,
  type PestProfile,
  type Piece,
  type SurveyChoice,
} from "./choices";

/** What the shelf offers to a visit: labels, sprayers, people; each read out when it is asked for. */
export class AtHand {
  labels = $state.raw<LabelChoice[]>([]);
  equipment = $state.raw<{ name: string; title: string }[]>([]);
  people = $state.raw<Person[]>([]);
  /** Labels read out, by the name that the visit gives them. */
  readings = $state.raw<ReadonlyMap<string, LabelReading | null>>(new Map());
  pieces = $state.raw<readonly Piece[]>([]);
  /** The counts that are kept of the property, the newest first. */
  surveys = $state.raw<readonly SurveyChoice[]>([]);
  pests = $state.raw<readonly ListedPest[]>([]);
  /** Profiles read out, by id. */
  profiles = $state.raw<ReadonlyMap<string, PestProfile>>(new Map());
  #askedProfiles = new Set<string>();
  #asked = new Set<string>();
  #equipmentOf = "";

  async open(): Promise<void> {
    [this.labels, this.equipment, this.people, this.pests] = await Promise.all([
      keptLabels(),
      keptEquipment(),
      keptPeople(),
      knownPests(),
    ]);
  }

  /** The labels that a new visit begins with: one of each id where they are few, else those that were used there last. */
  async labelsAtFirst(property: string): Promise<string[]> {
    const all = oneOfEach(this.labels);
    const isFew = all.length <= FEW_LABELS;
    const used = isFew ? null : await labelsUsedLast(property);
    return all.filter(({ id }) => used === null || used.has(id)).map(({ name }) => name);
  }

  /** Looks up what was counted on the property. */
  async openSurveys(property: string, title: string): Promise<void> {
    this.surveys = await keptSurveys(property, title);
  }

  /** The survey of a name, or of a thing. */
  survey(name: string | undefined): SurveyChoice | undefined {
    if (!name) return undefined;
    const isIt = (one: SurveyChoice) =>
      one.name.toLowerCase() === name.toLowerCase() || THING + one.thing === name;
    return this.surveys.find(isIt);
  }

  /** Reads a profile out, once. */
  async readProfile(id: string | undefined): Promise<void> {
    if (!id || this.#askedProfiles.has(id) || !this.pests.some((pest) => pest.id === id)) return;
    this.#askedProfiles.add(id);
    const profile = await profileOf(id).catch(() => null);
    if (profile) this.profiles = new Map(this.profiles).set(id, profile);
  }

  /** Reads out the labels that a visit names, each once. */
  async readLabels(names: readonly unknown[], files: Record<string, string>): Promise<void> {
    const fresh = names.filter((name): name is string => typeof name === "string" && !this.#asked.has(name));
    const read = async (name: string) => {
      this.#asked.add(name);
      const reading = await readLabel(name, files).catch(() => null);
      this.readings = new Map(this.readings).set(name, reading);
    };
    await Promise.all([...new Set(fresh)].map(read));
  }

  async readPieces(equipment: unknown, files: Record<string, string>): Promise<void> {
    const of = JSON.stringify(equipment);
    if (of === this.#equipmentOf) return;
    this.#equipmentOf = of;
    const pieces = await readEquipment(equipment, files).catch(() => []);
    if (of === this.#equipmentOf) this.pieces = pieces;
  }

  /** The id of a label by the name that the visit gives it. */
  idOf(name: unknown): string {
    const kept = this.labels.find((label) => label.name === name)?.id;
    return kept ?? this.readings.get(String(name))?.label?.id ?? "";
  }

  /** What a label of this id says, of those that the visit has at hand. */
  readingOf(id: string, names: readonly unknown[]): LabelReading | null {
    const name = names.find((one) => this.idOf(one) === id);
    return this.readings.get(String(name)) ?? null;
  }
}
