import { printableText } from "./printable-text.ts";

const ESCAPES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/** Text that is mark-up already; only {@link html} and {@link trustedMarkup} make it. */
export class Markup {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

/** What may stand in a template: texts are escaped, mark-up is taken as it is. */
export type Insert = string | number | Markup | readonly Insert[];

/**
 * A text as it may stand between tags and in a quoted attribute. A space at an end stays: it parts
 * the text from what stands beside it.
 */
function escaped(text: string): string {
  const shown = printableText(text).replaceAll(/[&<>"']/g, (character) => ESCAPES[character] ?? "");
  if (shown === "") return "";
  return `${/^\s/.test(text) ? " " : ""}${shown}${/\s$/.test(text) ? " " : ""}`;
}

function written(insert: Insert): string {
  if (insert instanceof Markup) return insert.text;
  if (typeof insert === "string") return escaped(insert);
  if (typeof insert === "number") return escaped(String(insert));
  return insert.map(written).join("");
}

/** Mark-up from a template in which every insertion is escaped unless it is mark-up itself. */
export function html(parts: TemplateStringsArray, ...inserts: readonly Insert[]): Markup {
  const text = parts.map((part, place) => {
    const insert = inserts[place];
    return insert === undefined ? part : part + written(insert);
  });
  return new Markup(text.join(""));
}

/** Mark-up that this package wrote elsewhere, as a finished picture. Never for a user's text. */
export function trustedMarkup(text: string): Markup {
  return new Markup(text);
}
