/** What was, what is, and what was taken back: every change is a step, and each step can be undone. */
export interface Steps<State> {
  readonly past: readonly State[];
  readonly now: State;
  readonly future: readonly State[];
}

/** More steps than this are not kept. */
const MOST = 1000;

export function begun<State>(now: State): Steps<State> {
  return { past: [], now, future: [] };
}

/** One step on; what was taken back before it is gone. */
export function onward<State>(steps: Steps<State>, now: State): Steps<State> {
  return now === steps.now ? steps : { past: [...steps.past, steps.now].slice(-MOST), now, future: [] };
}

export function back<State>(steps: Steps<State>): Steps<State> {
  const now = steps.past[steps.past.length - 1];
  if (now === undefined) return steps;
  return { past: steps.past.slice(0, -1), now, future: [steps.now, ...steps.future] };
}

export function again<State>(steps: Steps<State>): Steps<State> {
  const [now, ...future] = steps.future;
  return now === undefined ? steps : { past: [...steps.past, steps.now], now, future };
}
