import type { Kind, Pattern, Sign } from "./kinds";

/** Dark ink of patterns: fills are the same in every look, and so is what is drawn on them. */
const INK = "#14201D";

type Draw = (pen: CanvasRenderingContext2D) => void;

function stroke(
  pen: CanvasRenderingContext2D,
  width: number,
  ...lines: readonly (readonly number[])[]
): void {
  pen.lineWidth = width;
  pen.beginPath();
  for (const line of lines) {
    for (let at = 0; at + 1 < line.length; at += 2) {
      if (at === 0) pen.moveTo(line[0]!, line[1]!);
      else pen.lineTo(line[at]!, line[at + 1]!);
    }
  }
  pen.stroke();
}

function dot(pen: CanvasRenderingContext2D, x: number, y: number, radius: number, filled: boolean): void {
  pen.beginPath();
  pen.arc(x, y, radius, 0, 2 * Math.PI);
  if (filled) pen.fill();
  else pen.stroke();
}

/** Each pattern on a square tile: its side, and what is drawn on it so that tiles join. */
const TILES: Record<Pattern, { side: number; draw: Draw }> = {
  paper: { side: 8, draw: () => {} },
  solid: { side: 8, draw: (pen) => pen.fillRect(0, 0, 8, 8) },
  dots: {
    side: 14,
    draw: (pen) => {
      dot(pen, 3.5, 3.5, 1.3, true);
      dot(pen, 10.5, 10.5, 1.3, true);
    },
  },
  slashes: { side: 10, draw: (pen) => stroke(pen, 1.4, [-2, 2, 2, -2], [0, 10, 10, 0], [8, 12, 12, 8]) },
  backslashes: {
    side: 12,
    draw: (pen) => stroke(pen, 3.2, [-3, 9, 3, 15], [0, 0, 12, 12], [9, -3, 15, 3]),
  },
  crosses: {
    side: 10,
    draw: (pen) => {
      stroke(pen, 1.2, [-2, 2, 2, -2], [0, 10, 10, 0], [8, 12, 12, 8]);
      stroke(pen, 1.2, [-2, 8, 2, 12], [0, 0, 10, 10], [8, -2, 12, 2]);
    },
  },
  waves: {
    side: 16,
    draw: (pen) => {
      pen.lineWidth = 1.6;
      for (const y of [4, 12]) {
        pen.beginPath();
        pen.moveTo(0, y);
        pen.bezierCurveTo(4, y - 5, 4, y - 5, 8, y);
        pen.bezierCurveTo(12, y + 5, 12, y + 5, 16, y);
        pen.stroke();
      }
    },
  },
  bricks: {
    side: 16,
    draw: (pen) => stroke(pen, 1, [0, 0.5, 16, 0.5], [0, 8.5, 16, 8.5], [4, 0, 4, 8], [12, 8, 12, 16]),
  },
  ticks: { side: 16, draw: (pen) => stroke(pen, 1.2, [2, 3, 4, 7, 6, 3], [10, 11, 12, 15, 14, 11]) },
  chips: {
    side: 16,
    draw: (pen) => stroke(pen, 1.8, [2, 4, 7, 5], [10, 2, 13, 6], [9, 13, 14, 11], [3, 10, 4, 14]),
  },
  rings: {
    side: 16,
    draw: (pen) => {
      pen.lineWidth = 1.2;
      dot(pen, 4, 4, 2.5, false);
      dot(pen, 12, 12, 2.5, false);
    },
  },
  pluses: { side: 18, draw: (pen) => stroke(pen, 1.6, [6, 9, 12, 9], [9, 6, 9, 12]) },
  diamonds: { side: 18, draw: (pen) => stroke(pen, 1.4, [9, 5, 13, 9, 9, 13, 5, 9, 9, 5]) },
  bars: { side: 18, draw: (pen) => stroke(pen, 2.2, [3, 5, 15, 5], [-6, 14, 6, 14], [12, 14, 24, 14]) },
  grid: { side: 6, draw: (pen) => stroke(pen, 1, [0, 3, 6, 3], [3, 0, 3, 6]) },
};

function canvas(side: number, ratio: number): { element: HTMLCanvasElement; pen: CanvasRenderingContext2D } {
  const element = document.createElement("canvas");
  element.width = element.height = Math.round(side * ratio);
  const pen = element.getContext("2d");
  if (!pen) throw new Error("this browser draws no canvas");
  pen.scale(element.width / side, element.height / side);
  return { element, pen };
}

const tiles = new Map<string, CanvasPattern>();

/** The fill of a kind with its pattern. On paper that shows through, the pattern is in `paperInk`. */
export function fillOf(kind: Kind, paperInk: string, ratio = devicePixelRatio): CanvasPattern {
  const ink = kind.ink ?? (kind.fill === null ? paperInk : INK);
  const name = [kind.pattern, kind.fill, ink, ratio].join();
  const known = tiles.get(name);
  if (known) return known;
  const { side, draw } = TILES[kind.pattern];
  const { element, pen } = canvas(side, ratio);
  if (kind.fill !== null) {
    pen.fillStyle = kind.fill;
    pen.fillRect(0, 0, side, side);
  }
  pen.fillStyle = pen.strokeStyle = ink;
  pen.lineCap = pen.lineJoin = "round";
  draw(pen);
  const made = pen.createPattern(element, "repeat");
  if (!made) throw new Error("this browser makes no pattern");
  tiles.set(name, made);
  return made;
}

/** Side of a sign, with room for its casing. */
export const SIGN_SIDE = 28;

const SIGNS: Record<Sign, (pen: CanvasRenderingContext2D) => void> = {
  hexagon: (pen) => polygon(pen, 6, 11, Math.PI / 6),
  triangle: (pen) => polygon(pen, 3, 12, -Math.PI / 2),
  diamond: (pen) => polygon(pen, 4, 12, 0),
  circle: (pen) => polygon(pen, 48, 10, 0),
  ring: (pen) => polygon(pen, 48, 10, 0),
  crown: (pen) => polygon(pen, 48, 11, 0),
  grate: (pen) => polygon(pen, 4, 13, Math.PI / 4),
  barred: (pen) => polygon(pen, 8, 11, Math.PI / 8),
  plus: (pen) => polygon(pen, 4, 13, Math.PI / 4),
  dome: (pen) => {
    pen.beginPath();
    pen.arc(14, 19, 10, Math.PI, 0);
    pen.closePath();
  },
};

const INSIDES: Partial<Record<Sign, Draw>> = {
  ring: (pen) => dot(pen, 14, 14, 4, false),
  hexagon: (pen) => dot(pen, 14, 14, 3, true),
  triangle: (pen) => stroke(pen, 2, [14, 10, 14, 16]),
  grate: (pen) => stroke(pen, 2, [10, 7, 10, 21], [14, 7, 14, 21], [18, 7, 18, 21]),
  barred: (pen) => stroke(pen, 3, [8, 14, 20, 14]),
  plus: (pen) => stroke(pen, 3, [14, 8, 14, 20], [8, 14, 20, 14]),
  crown: (pen) => stroke(pen, 2, [14, 6, 14, 22], [6, 14, 22, 14], [8, 8, 20, 20], [20, 8, 8, 20]),
  diamond: (pen) => dot(pen, 14, 14, 3, true),
  dome: (pen) => dot(pen, 14, 15, 2, true),
};

function polygon(pen: CanvasRenderingContext2D, corners: number, radius: number, turn: number): void {
  pen.beginPath();
  for (let corner = 0; corner < corners; corner += 1) {
    const angle = turn + (2 * Math.PI * corner) / corners;
    pen.lineTo(14 + radius * Math.cos(angle), 14 + radius * Math.sin(angle));
  }
  pen.closePath();
}

/** The sign of a kind: white, with an ink outline and a casing that keeps it apart from any ground. */
export function signOf(
  kind: Kind,
  look: { paper: string; ink: string },
  ratio = devicePixelRatio,
): HTMLCanvasElement {
  const sign = kind.sign ?? "circle";
  const { element, pen } = canvas(SIGN_SIDE, ratio);
  pen.lineJoin = "round";
  SIGNS[sign](pen);
  pen.strokeStyle = look.paper;
  pen.lineWidth = 5;
  pen.stroke();
  pen.fillStyle = kind.fill ?? "#FFFFFF";
  pen.fill();
  pen.strokeStyle = look.ink;
  pen.lineWidth = 2;
  pen.stroke();
  pen.strokeStyle = pen.fillStyle = INK;
  pen.lineWidth = 2;
  INSIDES[sign]?.(pen);
  return element;
}

/** Draws what a kind looks like into the little canvas of a key. */
export function drawSwatch(
  element: HTMLCanvasElement,
  kind: Kind,
  look: { paper: string; ink: string },
): void {
  const ratio = devicePixelRatio;
  const [width, height] = [44, 28];
  element.width = width * ratio;
  element.height = height * ratio;
  const pen = element.getContext("2d");
  if (!pen) return;
  if (kind.sign && kind.forms[0] !== "area") {
    pen.drawImage(signOf(kind, look, ratio), 8 * ratio, 0);
    return;
  }
  pen.fillStyle = look.paper;
  pen.fillRect(0, 0, element.width, element.height);
  pen.fillStyle = fillOf(kind, look.ink, ratio);
  pen.fillRect(0, 0, element.width, element.height);
  pen.strokeStyle = look.ink;
  pen.lineWidth = (kind.word === "boundary" ? 5 : 2) * ratio;
  pen.setLineDash((kind.dashes ?? []).map((dash) => dash * ratio));
  pen.strokeRect(ratio, ratio, element.width - 2 * ratio, element.height - 2 * ratio);
}
