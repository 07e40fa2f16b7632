/**
 * Stands for a space at which no line may end: line breakers take every kind of space for a place
 * to break. No printable text has it, see `printableText`.
 */
const JOINT = "\u{E000}";
const BEFORE_UNIT = /(?<=\d) (?=(?:[mk]?V|%|ppm|m?s|K|°C|Hz|years?)(?![\p{L}\d]))/gu;

/** Ties each figure of a text to its unit, so that no line ends between the two. */
export function unitsTied(text: string): string {
  return text.replaceAll(BEFORE_UNIT, JOINT);
}

/** The text as it was before {@link unitsTied}. */
export function unitsUntied(text: string): string {
  return text.replaceAll(JOINT, " ");
}
