/**
 * What a terminal or a mark-up reader may take as a command, what no page can show, and characters
 * of two code units, which a table may cut in two.
 */
const UNPRINTABLE = /[\p{Cc}\p{Cf}\p{Co}\p{Cs}\p{Cn}\u2028\u2029\u{10000}-\u{10FFFF}]/gu;

/**
 * A text that came from a user, on one line and without anything but visible characters and single
 * spaces: line ends and tabs become a space, every other control or format character the visible
 * replacement character, so that no text moves a cursor, turns the reading direction or breaks a
 * line of a table.
 */
export function printableText(text: string): string {
  return text.replaceAll(/\s+/g, " ").replaceAll(UNPRINTABLE, "\u{FFFD}").trim();
}
