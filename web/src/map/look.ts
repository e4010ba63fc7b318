/** The tokens of the look that is shown, for what is drawn on a canvas. */
export interface Look {
  paper: string;
  square: string;
  ink: string;
  act: string;
  wait: string;
  no: string;
  /** Width of a rule in pixels. */
  rule: number;
  font: string;
  /** Size of the text in pixels. */
  size: number;
}

/** Reads the tokens as they stand now. */
export function lookNow(): Look {
  const style = getComputedStyle(document.documentElement);
  const token = (name: string) => style.getPropertyValue(`--${name}`).trim();
  return {
    paper: token("paper"),
    square: token("square"),
    ink: token("ink"),
    act: token("act"),
    wait: token("wait"),
    no: token("no"),
    rule: Number.parseFloat(token("rule")),
    font: style.fontFamily,
    size: Number.parseFloat(token("text")),
  };
}
