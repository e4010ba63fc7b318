/** An element of XML, its names without their prefix. */
export interface Element {
  readonly name: string;
  readonly attributes: ReadonlyMap<string, string>;
  readonly children: Element[];
  /** Its own text, children's left out. */
  text: string;
}

/** The text is no well-formed XML. */
export class BadXml extends Error {
  constructor(readonly line: number) {
    super(`line ${line}`);
  }
}

const ENTITIES: Record<string, string> = { lt: "<", gt: ">", amp: "&", quot: '"', apos: "'" };
const TOKEN =
  /<!--[\s\S]*?-->|<!\[CDATA\[([\s\S]*?)\]\]>|<\?[\s\S]*?\?>|<!DOCTYPE[^[>]*(?:\[[^\]]*\])?[^>]*>|<\/([^\s>]+)\s*>|<([^\s/>!?]+)((?:[^>"']|"[^"]*"|'[^']*')*?)(\/?)>|([^<]+)/g;

const plain = (name: string) => name.slice(name.indexOf(":") + 1);

function resolved(text: string): string {
  return text.replace(/&(#x[\da-f]+|#\d+|\w+);/gi, (whole, name: string) => {
    if (!name.startsWith("#")) return ENTITIES[name] ?? whole;
    const code = Number(name[1]?.toLowerCase() === "x" ? `0${name.slice(1)}` : name.slice(1));
    return code <= 0x10ffff ? String.fromCodePoint(code) : whole;
  });
}

/**
 * Reads XML as far as files of shapes need it; entities of a document's own are left as they stand. The browser's own
 * reader tells a fault by a page with styles in it, which the policy of these pages forbids.
 *
 * @throws {BadXml} elements do not close, or something stands outside them
 */
export function readXml(text: string): Element {
  const lineAt = (place: number) => text.slice(0, place).split("\n").length;
  const open: Element[] = [];
  let root: Element | null = null;
  let read = 0;
  for (const found of text.matchAll(TOKEN)) {
    if (found.index !== read) throw new BadXml(lineAt(read));
    read = found.index + found[0].length;
    const [, data, closed, opened, inside, alone, words] = found;
    const here = open[open.length - 1];
    if (data !== undefined || words !== undefined) {
      if (here) here.text += data ?? resolved(words ?? "");
      else if ((data ?? words ?? "").trim() !== "") throw new BadXml(lineAt(found.index));
    } else if (closed !== undefined) {
      if (here?.name !== plain(closed)) throw new BadXml(lineAt(found.index));
      open.pop();
    } else if (opened !== undefined) {
      if (!here && root) throw new BadXml(lineAt(found.index));
      const attributes = new Map<string, string>();
      for (const [, name, double, single] of (inside ?? "").matchAll(
        /([^\s=]+)\s*=\s*(?:"([^"]*)"|'([^']*)')/g,
      )) {
        attributes.set(plain(name!), resolved(double ?? single ?? ""));
      }
      const element: Element = { name: plain(opened), attributes, children: [], text: "" };
      if (here) here.children.push(element);
      else root = element;
      if (alone === "") open.push(element);
    }
  }
  if (read !== text.length || open.length > 0 || !root) throw new BadXml(lineAt(text.length));
  return root;
}

/** Every element below one, of a name. */
export function all(element: Element, name: string): Element[] {
  return element.children.flatMap((one) => [...(one.name === name ? [one] : []), ...all(one, name)]);
}

/** The text of a child; empty where there is none. */
export function child(element: Element, name: string): string {
  return element.children.find((one) => one.name === name)?.text.trim() ?? "";
}
