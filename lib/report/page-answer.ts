import { html } from "./page-markup.ts";
import type { Markup } from "./page-markup.ts";
import { pageTable } from "./page-table.ts";
import { sentenceList, verdictMark } from "./page-verdict.ts";
import type {
  EvidenceRecord,
  RecordFirmware,
  RecordRequirement,
  SmallestCapacitance,
} from "./record-document.ts";
import { EDITION_ADVICE } from "../design/published-limit.ts";
import { Decimal } from "../quantity/decimal.ts";
import { exactDecimal } from "../quantity/exact-decimal.ts";
import { textNotBelow } from "./outward-text.ts";
import { percentText } from "./uncertainty-notes.ts";

/** Data model and builds of firmware in C. */
function buildText({ target, builds }: RecordFirmware): string {
  if (target === undefined || builds === undefined) return "";
  return (
    ` (data model of the product's compiler, as declared: ${target}; built by ` +
    `${builds.compiler}: ${builds.trapping} bytes with checks, ${builds.plain} without)`
  );
}

/** Title, what the page is, and the words of caution. */
export function pageHead(record: EvidenceRecord): Markup {
  const { design, date, producer, engine, digest, firmware } = record;
  const revision = design.revision === "" ? "" : `, revision ${design.revision}`;
  const code =
    firmware === undefined
      ? html`none was given`
      : html`${firmware.name} in ${firmware.language}, SHA-256
          <code>${firmware.sha256.slice(0, 12)}</code>${buildText(firmware)}`;
  return html`<header>
    <p class="kind">Evidence record: error of indication of a residual-voltage tester</p>
    <h1>${design.name}${revision}</h1>
    <p class="meta">
      Dated ${date}. Computed by ${producer.name} ${producer.version} on ${engine.name}
      ${engine.version}. Design SHA-256 <code>${design.sha256.slice(0, 12)}</code>; firmware:
      ${code}; content of this record SHA-256 <code>${digest.content.slice(0, 12)}</code>.
    </p>
    <div class="caution" role="note">${record.cautions.map((line) => html`<p>${line}</p> `)}</div>
  </header> `;
}

const CONDITION_WORDS: Readonly<Record<string, string>> = {
  ambient: "ambient temperature",
  humidity: "relative humidity",
  warmUp: "warm-up",
  reading: "moment of reading",
  age: "time in use",
};

function conditionList(record: EvidenceRecord): Markup {
  const ranges = record.measuringInterval.map(([low, high]) => `${low} V to ${high} V`).join(", ");
  const pairs = [["measuring interval", ranges], ...Object.entries(record.conditions)];
  return html`<dl class="pairs">
    ${pairs.map(
      ([name = "", text = ""]) =>
        html`<div>
          <dt>${CONDITION_WORDS[name] ?? name}</dt>
          <dd>${text}</dd>
        </div> `,
    )}
  </dl> `;
}

const BILLION = Decimal.ofInteger(1_000_000_000);

/** The capacitance is a lower limit and so never rounded down. */
function loadingWords(share: number, capacitance: number): string {
  const nanofarads = textNotBelow(exactDecimal(capacitance).multiply(BILLION), 1);
  return `${percentText(share)} down to ${nanofarads} nF`;
}

/** Lines that are read at the same moment share the figures, which are then said once. */
function capacitanceSentence(found: readonly SmallestCapacitance[]): Markup {
  const lines = [...new Set(found.map(({ line }) => line))];
  const texts = lines.map((line) =>
    found
      .filter((one) => one.line === line)
      .map(({ share, capacitance }) => loadingWords(share, capacitance))
      .join(", "),
  );
  const distinct = [...new Set(texts)];
  if (distinct.length === 0)
    return html`<p>Smallest product capacitance: no limit line was decided.</p> `;
  const rows = distinct.map((text) => {
    const named = lines.filter((_, place) => texts[place] === text);
    const where = distinct.length === 1 ? "" : ` (${named.join(", ")})`;
    return html`<p>
      Smallest product capacitance: the tester lowers the voltage of a passive product, until the
      moment of reading, by no more than ${text}${where}.
    </p> `;
  });
  return html`${rows}`;
}

function requirementTable(requirements: readonly RecordRequirement[], record: EvidenceRecord) {
  const foundOf = new Map(record.results.map(({ id, found }) => [id, found]));
  return pageTable({
    caption: "Verdict for each requirement; uncovered ones first",
    columns: [
      {
        head: "requirement",
        align: "left",
        isHead: true,
        cell: ({ id, text }: RecordRequirement) =>
          html`${text}<br /><span class="small">${id}</span>`,
      },
      { head: "verdict", align: "left", cell: ({ verdict }) => verdictMark(verdict) },
      {
        head: "found",
        align: "left",
        cell: ({ coveredBy, absent }) => [
          coveredBy.map((id) => foundOf.get(id) ?? "").join("; "),
          ...absent.map((id) => html`<br />no result "${id}" in this record`),
        ],
      },
    ],
    rows: requirements,
  });
}

/** What everything rests on, before any verdict. */
function basis(record: EvidenceRecord): Markup {
  const { conditionalOn, assumptions, notModelled, fromMemory } = record;
  return html`<div class="basis">
    <section aria-labelledby="conditional">
      <h3 id="conditional">Conditional on</h3>
      ${sentenceList(conditionalOn, "Every figure is declared as a guaranteed limit.")}
    </section>
    <section aria-labelledby="recalled">
      <h3 id="recalled">From memory</h3>
      ${sentenceList(fromMemory, "No published figure was recalled.")}
      ${fromMemory.length === 0 ? "" : html`<p class="small">These were ${EDITION_ADVICE}.</p>`}
    </section>
    <section aria-labelledby="assumed">
      <h3 id="assumed">Assumed</h3>
      ${sentenceList(assumptions, "Nothing.")}
    </section>
    <section aria-labelledby="unmodelled">
      <h3 id="unmodelled">Not modelled</h3>
      ${sentenceList(notModelled, "Nothing was named.")}
    </section>
  </div> `;
}

/** The answer with its conditions and what it rests on, then the verdicts. */
export function pageAnswer(record: EvidenceRecord): Markup {
  const { statement, requirements, shown, notShown } = record;
  return html`<section aria-labelledby="answer">
    <h2 id="answer">1. The answer</h2>
    <p class="statement">${statement.text}</p>
    <p>
      is the accuracy that a data sheet may
      state${record.conditionalOn.length === 0 ? "" : ", conditional on the figures named below,"}
      for true voltages of ${statement.from} V to ${statement.to} V: no error of indication inside
      the limits and conditions below passes it.
    </p>
    ${conditionList(record)} ${capacitanceSentence(record.smallestCapacitances)} ${basis(record)}
    ${requirementTable(requirements, record)}
    <h3>What is shown</h3>
    ${sentenceList(shown, "Nothing.")}
    <h3>What is not shown</h3>
    ${sentenceList(notShown, "Nothing is left out.")}
  </section> `;
}
