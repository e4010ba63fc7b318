// The key, reckoned on the device as the server reckons it (crates/pest/src/key.rs): where there is no reception.
import type { components } from "../service/api";

export type KeyDocument = components["schemas"]["KeyJson"];
export type Character = components["schemas"]["KeyCharacterJson"];
export type Pest = components["schemas"]["PestProfileJson"];

/** An answer: one state, several where it may be any of them, none where the person does not know. */
export interface Answer {
  character: string;
  states: string[];
}

export interface Candidate {
  pest: Pest;
  chance: number;
  /** Answers that its profile speaks against. */
  against: Answer[];
}

export interface Question {
  character: Character;
  /** By how much its answer is expected to lower the uncertainty, in bits. */
  gain: number;
}

export type Verdict =
  { kind: "named"; pest: Pest } | { kind: "group"; group: string; chance: number } | { kind: "refused" };

export interface Identification {
  verdict: Verdict;
  /** By falling chance. */
  candidates: Candidate[];
  /** The questions that tell most, best first; none that tells nothing. */
  next: Question[];
}

interface Reckoned {
  pest: Pest;
  /** The chance of each state, by character and state. */
  chances: number[][];
  /** The states that occur, by character; nothing where the profile does not say. */
  told: (readonly string[] | undefined)[];
}

/** What differs by less is alike: the last bits of a figure hang on the order in which it was added up. */
const ALIKE = 1e-9;

const sum = (numbers: readonly number[]): number => numbers.reduce((total, one) => total + one, 0);

export class Key {
  readonly #profiles: Reckoned[];

  constructor(readonly document: KeyDocument) {
    this.#profiles = document.profiles.map(({ pest, characters }) => {
      const told = new Map(characters.map((one) => [one.character, one]));
      return {
        pest,
        chances: document.characters.map(
          ({ id, states }) => told.get(id)?.chances ?? states.map(() => 1 / states.length),
        ),
        told: document.characters.map(({ id }) => told.get(id)?.states),
      };
    });
  }

  character(id: string): Character | undefined {
    return this.document.characters.find((one) => one.id === id);
  }

  pest(id: string): Pest | undefined {
    return this.document.profiles.find((one) => one.pest.id === id)?.pest;
  }

  /** How to tell two apart, where the profile of either says. */
  toldApart(one: Pest, other: Pest): string | undefined {
    const says = (pest: Pest, of: Pest) => pest.look_alikes.find(({ profile }) => profile === of.id)?.how;
    return says(one, other) ?? says(other, one);
  }

  /** What answers come to; `has` is what there is to answer with. */
  identify(
    answers: readonly Answer[],
    has: readonly string[],
    namedFrom = this.document.named_from,
  ): Identification {
    const read = answers.map(({ character, states }) => {
      const at = this.document.characters.findIndex(({ id }) => id === character);
      const known = this.document.characters[at]?.states ?? [];
      const places = [...new Set(states)].map((state) => known.findIndex(({ id }) => id === state));
      return { at, states: places.filter((place) => place >= 0) };
    });
    const posterior = this.#posterior(read);
    const candidates = this.#profiles.map(({ pest, told }, place): Candidate => {
      const speaksAgainst = ({ states }: Answer, index: number) => {
        const occurs = told[read[index]!.at];
        return occurs !== undefined && !states.some((state) => occurs.includes(state));
      };
      return { pest, chance: posterior[place]!, against: answers.filter(speaksAgainst) };
    });
    candidates.sort((one, other) => other.chance - one.chance || (one.pest.id < other.pest.id ? -1 : 1));
    return {
      verdict: this.#verdict(read, candidates, namedFrom),
      candidates,
      next: this.#questions(read, posterior, has),
    };
  }

  #posterior(read: readonly { at: number; states: number[] }[]): number[] {
    const logs = this.#profiles.map(({ chances }) =>
      sum(
        read.map(({ at, states }) =>
          states.length === 0 ? 0 : Math.log(sum(states.map((state) => chances[at]![state]!))),
        ),
      ),
    );
    const most = Math.max(...logs);
    const shares = logs.map((log) => Math.exp(log - most));
    const all = sum(shares);
    return shares.map((share) => share / all);
  }

  /** What is likely enough, and would alone stay the likeliest without any one of the answers. */
  #verdict(
    read: readonly { at: number; states: number[] }[],
    candidates: readonly Candidate[],
    namedFrom: number,
  ): Verdict {
    const first = candidates[0];
    if (first === undefined) return { kind: "refused" };
    const without = read.map((_, index) => this.#posterior(read.filter((_, other) => other !== index)));
    const stands = (isIt: (pest: Pest) => boolean) =>
      without.every((posterior) => {
        const most = Math.max(...posterior);
        return this.#profiles.every(
          ({ pest }, place) => posterior[place]! < most * (1 - ALIKE) || isIt(pest),
        );
      });
    if (first.chance >= namedFrom && stands(({ id }) => id === first.pest.id)) {
      return { kind: "named", pest: first.pest };
    }
    const group = first.pest.group;
    const chance = sum(candidates.filter(({ pest }) => pest.group === group).map((one) => one.chance));
    if (chance >= namedFrom && stands((pest) => pest.group === group))
      return { kind: "group", group, chance };
    return { kind: "refused" };
  }

  #questions(
    read: readonly { at: number }[],
    posterior: readonly number[],
    has: readonly string[],
  ): Question[] {
    const here = entropy(posterior);
    const questions = this.document.characters.flatMap((character, at): Question[] => {
      if (!has.includes(character.needs) || read.some((one) => one.at === at)) return [];
      const left = character.states.map((_, state) => {
        const joint = posterior.map((share, place) => share * this.#profiles[place]!.chances[at]![state]!);
        const chance = sum(joint);
        return chance > 0 ? chance * entropy(joint.map((one) => one / chance)) : 0;
      });
      const gain = here - sum(left);
      return gain > this.document.least_gain_bits ? [{ character, gain }] : [];
    });
    // Of questions that tell alike, the one that stands first.
    const rank = ({ gain }: Question) => Math.round(gain / ALIKE);
    return questions.sort((one, other) => rank(other) - rank(one));
  }
}

function entropy(chances: readonly number[]): number {
  return sum(chances.filter((chance) => chance > 0).map((chance) => -chance * Math.log2(chance)));
}
