import type { BudgetDocument, SymbolRow } from "./budget-document.ts";
import { html } from "./page-markup.ts";
import type { Markup } from "./page-markup.ts";
import { pageTable } from "./page-table.ts";
import { sentenceList } from "./page-verdict.ts";
import type { EvidenceRecord, RecordFile, RecordPart } from "./record-document.ts";

function symbolTable(symbols: readonly SymbolRow[]): Markup {
  return pageTable({
    caption: "Symbols of the equation with their limits",
    columns: [
      {
        head: "symbol",
        align: "left",
        isHead: true,
        cell: ({ name }: SymbolRow) => html`<code>${name}</code>`,
      },
      { head: "meaning", align: "left", cell: ({ meaning }) => meaning },
      { head: "lower", align: "right", cell: ({ lower }) => lower },
      { head: "upper", align: "right", cell: ({ upper }) => upper },
      { head: "unit", align: "left", cell: ({ unit }) => unit },
      { head: "kind", align: "left", cell: ({ kind }) => kind },
      { head: "basis", align: "left", cell: ({ basis }) => basis },
      { head: "document", align: "left", cell: ({ document }) => document },
    ],
    rows: symbols,
  });
}

function equationText({ equation }: BudgetDocument): Markup {
  const lines = [
    ...equation.shown.definitions.map(({ name, infix }) => `${name} = ${infix}`),
    `error = ${equation.shown.error}`,
  ];
  return html`<pre tabindex="0">${lines.map((line) => html`${line} `)}</pre>`;
}

function partTable(parts: readonly RecordPart[]): Markup {
  return pageTable({
    caption: "Parts of the evidence",
    columns: [
      { head: "part", align: "left", isHead: true, cell: ({ part }: RecordPart) => part },
      { head: "state", align: "left", cell: ({ state }) => state },
      { head: "what, or why not", align: "left", cell: ({ words }) => words },
    ],
    rows: parts,
  });
}

function fileTable(files: readonly RecordFile[]): Markup {
  return pageTable({
    caption: "Files of this folder beside record.json, page.html and verdicts.xml",
    columns: [
      {
        head: "file",
        align: "left",
        isHead: true,
        cell: ({ path }: RecordFile) => html`<code>${path}</code>`,
      },
      { head: "role", align: "left", cell: ({ role }) => role },
      { head: "bytes", align: "right", cell: ({ bytes }) => bytes },
      { head: "SHA-256", align: "left", cell: ({ sha256 }) => html`<code>${sha256}</code>` },
    ],
    rows: files,
  });
}

/** Section 7: the equation, what was not verified, versions, and how to find it all again. */
export function pageDetails(record: EvidenceRecord, budget: BudgetDocument): Markup {
  const { parts, reproduce, files, producer, engine, options, digest } = record;
  return html`<section aria-labelledby="details">
    <h2 id="details">7. Equation, versions, and how to reproduce</h2>
    <h3>The equation, with the roundings of the instrument</h3>
    ${equationText(budget)} ${symbolTable(budget.symbols)} ${partTable(parts)}
    <h3>How to reproduce</h3>
    <p>
      In the folder of this record, with ${producer.name} ${producer.version} on ${engine.name}
      ${engine.version} (${options.trials} trials, seed ${options.seed}); with --date ${record.date}
      every byte is the same:
    </p>
    <pre tabindex="0">${reproduce.map((line) => html`${line} `)}</pre>
    ${fileTable(files)}
    <p>
      SHA-256 of the record's canonical form (RFC 8785), without date and digests:
      <code>${digest.content}</code>; with the date: <code>${digest.record}</code>.
    </p>
  </section> `;
}

const SIGNERS = ["prepared", "reviewed", "approved"] as const;

/** Section 8: who prepared, reviewed and approved; left blank for pens. */
export function pageSignOff(record: EvidenceRecord): Markup {
  return html`<section class="sign" aria-labelledby="sign">
    <h2 id="sign">8. Sign-off</h2>
    <p>
      Whoever signs has read the conditions, the assumptions, what is not modelled and what is not
      shown. A signature makes no statement of conformity.
    </p>
    ${pageTable({
      caption: `Record ${record.digest.record.slice(0, 16)} of ${record.date}`,
      columns: [
        {
          head: "role",
          align: "left",
          isHead: true,
          cell: (role: (typeof SIGNERS)[number]) => role,
        },
        { head: "name", align: "left", cell: () => "" },
        { head: "function", align: "left", cell: () => "" },
        { head: "date", align: "left", cell: () => "" },
        { head: "signature", align: "left", cell: () => "" },
      ],
      rows: SIGNERS,
    })}
    ${sentenceList(record.cautions, "")}
  </section> `;
}
