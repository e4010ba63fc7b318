// From what was noted in the page to samples: how long each move took until its zones were on the screen.
import type { Noted, Question } from "./watch";

/** How a move became zones, milliseconds from the move each, but for `server`. */
export interface Sample {
  /** Until the question that has it, or a newer one, was sent. */
  asked: number;
  /** From question to answer, as the page has it. */
  server: number;
  /** Until the map was drawn with its zones. */
  drawn: number;
  /** Until the browser began the frame after that one: the drawn one is on the screen then. */
  seen: number;
}

/** What a drag came to. */
export interface Reckoned {
  samples: Sample[];
  questions: number;
  /** Answers that were no zones, by status. */
  refused: number[];
}

/**
 * Which move each question's map holds is found by where the corner lies in it: `cornerOf` tells that, in pixels of the
 * page. Moves lie apart, so that there is one.
 */
export function reckon(noted: Noted, cornerOf: (question: Question) => { x: number; y: number }): Reckoned {
  const told = times(noted, "zones told");
  const shown = times(noted, "map shown");
  const drawn = times(noted, "map drawn");
  if (told.length !== noted.questions.length) {
    throw new Error(`${noted.questions.length} questions and ${told.length} answers`);
  }
  const samples: Sample[] = [];
  let from = 0;
  noted.questions.forEach((question, at) => {
    const to = moveAt(noted.moves, cornerOf(question));
    if (to < from - 1) throw new Error(`question ${at + 1} has an older map than the one before it`);
    if (question.status === 200) {
      // The next map that is given after the answer has its zones; the next drawing after that shows them.
      const given = after(shown, told[at]!);
      const painted = after(drawn, given);
      const seen = after(noted.frames, painted);
      for (; from <= to; from += 1) {
        const move = noted.moves[from]!.at;
        samples.push({
          asked: question.asked - move,
          server: question.answered - question.asked,
          drawn: painted - move,
          seen: seen - move,
        });
      }
    }
  });
  if (samples.length !== noted.moves.length) {
    throw new Error(`${noted.moves.length} moves, and zones of ${samples.length} of them`);
  }
  const refused = noted.questions.map(({ status }) => status).filter((status) => status !== 200);
  return { samples, questions: noted.questions.length, refused };
}

const times = (noted: Noted, name: string) =>
  noted.marks.filter((mark) => mark.name === name).map((mark) => mark.at);

function after(times: readonly number[], least: number): number {
  const found = times.find((time) => time >= least);
  if (found === undefined) throw new Error("a move was never drawn");
  return found;
}

function moveAt(moves: Noted["moves"], { x, y }: { x: number; y: number }): number {
  let best = -1;
  let least = 0.3;
  moves.forEach((move, at) => {
    const away = Math.hypot(move.x - x, move.y - y);
    if (away < least) [best, least] = [at, away];
  });
  if (best < 0) throw new Error(`no move went to ${x.toFixed(1)}, ${y.toFixed(1)}`);
  return best;
}

/** A value that so large a share of all values does not pass (nearest rank). */
export function share(values: readonly number[], part: number): number {
  const sorted = [...values].sort((one, other) => one - other);
  return sorted[Math.max(0, Math.ceil(part * sorted.length) - 1)] ?? Number.NaN;
}
