import { html } from "./page-markup.ts";
import type { Markup } from "./page-markup.ts";
import type { RecordRequirement } from "./record-document.ts";
import { VERDICT_WORDS } from "./verdict-words.ts";

/** Every verdict of a record as a person reads it. */
export const RECORD_VERDICT_WORDS: Readonly<Record<RecordRequirement["verdict"], string>> = {
  ...VERDICT_WORDS,
  noVerdict: "no verdict",
  notCovered: "not covered",
};

/** A verdict in words with a frame of its own; colour says nothing here. */
export function verdictMark(verdict: RecordRequirement["verdict"]): Markup {
  return html`<span class="verdict ${verdict}">${RECORD_VERDICT_WORDS[verdict]}</span>`;
}

/** A list of sentences, or that there is none. */
export function sentenceList(lines: readonly string[], none: string): Markup {
  if (lines.length === 0) return html`<p>${none}</p> `;
  return html`<ul>
    ${lines.map((line) => html`<li>${line}</li> `)}
  </ul> `;
}
