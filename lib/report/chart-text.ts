import { unitsTied, unitsUntied } from "./unit-joint.ts";

/** Width of characters in parts of the font size, for the widest of the usual plain fonts. */
const NARROW = /[ijl.,:;'|!()[\]{} ]/;
const BROAD = /[mwMW%@±+−=<>_~…—]/;
const CAPITAL = /[A-Z0-9$&?#ΩΔ]/;
const LATIN = /[\u0020-\u024F\u0370-\u03FF\u2000-\u2150]/;

function characterWidth(character: string): number {
  if (NARROW.test(character)) return 0.4;
  if (BROAD.test(character)) return 0.98;
  if (CAPITAL.test(character)) return 0.7;
  return LATIN.test(character) ? 0.62 : 1.05;
}

/** Room that a text takes at most in a plain proportional font of that size, in pixels. */
export function textWidth(text: string, fontSize: number): number {
  return fontSize * [...text].reduce((sum, character) => sum + characterWidth(character), 0);
}

/** The text cut to that many pixels, with an ellipsis where something is left out. */
export function cutToWidth(
  text: string,
  { width, fontSize }: { readonly width: number; readonly fontSize: number },
): string {
  if (textWidth(text, fontSize) <= width) return text;
  let kept = "";
  for (const character of text) {
    if (textWidth(`${kept}${character}…`, fontSize) > width) break;
    kept += character;
  }
  return `${kept.trimEnd()}…`;
}

/** Room for a text that goes over several lines. */
export interface TextBox {
  /** Pixels. */
  readonly width: number;
  readonly fontSize: number;
  /** Lines at most; the last one is cut where the text is longer. */
  readonly lines: number;
}

/** The text on lines that fit the box, broken between words where that is possible. */
export function linesInBox(text: string, { width, fontSize, lines }: TextBox): readonly string[] {
  const words = unitsTied(text).split(" ").map(unitsUntied);
  const done: string[] = [];
  let current = "";
  for (const [place, word] of words.entries()) {
    const longer = current === "" ? word : `${current} ${word}`;
    if (current === "" || textWidth(longer, fontSize) <= width) {
      current = longer;
      continue;
    }
    if (done.length + 1 === lines) {
      const rest = [current, ...words.slice(place)].join(" ");
      return [...done, cutToWidth(rest, { width, fontSize })];
    }
    done.push(cutToWidth(current, { width, fontSize }));
    current = word;
  }
  return [...done, cutToWidth(current, { width, fontSize })];
}
