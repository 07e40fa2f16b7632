import { picture } from "./page-budget.ts";
import { html } from "./page-markup.ts";
import type { Markup } from "./page-markup.ts";
import { textNotAbove } from "./outward-text.ts";
import { pageTable } from "./page-table.ts";
import { verdictMark } from "./page-verdict.ts";
import type {
  EvidenceRecord,
  RecordRequirement,
  RecordResult,
  RequirementOrigin,
} from "./record-document.ts";

const ORIGINS: Readonly<Record<RequirementOrigin, string>> = {
  user: "list of requirements",
  design: "design document",
  statement: "accuracy statement",
  limit: "published limit",
};

/** One line of the matrix: a requirement with one of the results that cover it. */
interface MatrixLine {
  readonly requirement: RecordRequirement;
  readonly result: RecordResult | undefined;
}

function matrixLines({ requirements, results }: EvidenceRecord): readonly MatrixLine[] {
  const byId = new Map(results.map((result) => [result.id, result]));
  return requirements.flatMap((requirement): MatrixLine[] =>
    requirement.coveredBy.length === 0
      ? [{ requirement, result: undefined }]
      : requirement.coveredBy.map((id) => ({ requirement, result: byId.get(id) })),
  );
}

function marginText(result: RecordResult | undefined): string {
  if (result?.margin === undefined) return "-";
  return `${textNotAbove(result.margin.value, 4)} ${result.margin.unit}`;
}

/** Section 4: each requirement with the results that cover it. */
export function pageMatrix(record: EvidenceRecord): Markup {
  return html`<section aria-labelledby="matrix">
    <h2 id="matrix">4. Verification matrix</h2>
    ${pageTable({
      caption: "Requirements and the results that cover them; uncovered ones first",
      columns: [
        {
          head: "requirement",
          align: "left",
          isHead: true,
          cell: ({ requirement: { id, text, source, origin, absent } }: MatrixLine) => [
            html`${text}<br /><span class="small">${id}; ${ORIGINS[origin]}: ${source}</span>`,
            ...absent.map((one) => html`<br /><span class="small">no result "${one}" here</span>`),
          ],
        },
        {
          head: "result",
          align: "left",
          cell: ({ result }) => (result === undefined ? "none" : html`<code>${result.id}</code>`),
        },
        { head: "method", align: "left", cell: ({ result }) => result?.method ?? "-" },
        { head: "runs", align: "right", cell: ({ result }) => result?.runs ?? "-" },
        { head: "classes", align: "left", cell: ({ result }) => result?.classes ?? "-" },
        { head: "seed", align: "left", cell: ({ result }) => result?.seed ?? "-" },
        { head: "margin", align: "right", cell: ({ result }) => marginText(result) },
        {
          head: "verdict",
          align: "left",
          cell: ({ requirement, result }) => verdictMark(result?.verdict ?? requirement.verdict),
        },
      ],
      rows: matrixLines(record),
    })}
    <p>
      A proof has neither runs nor a seed. A requirement with several results has the weakest of
      their verdicts.
    </p>
  </section> `;
}

function isPresent(record: EvidenceRecord, part: string) {
  return record.parts.find((one) => one.part === part);
}

function resultTable(results: readonly RecordResult[], caption: string): Markup {
  return pageTable({
    caption,
    columns: [
      {
        head: "result",
        align: "left",
        isHead: true,
        cell: ({ id, says }: RecordResult) => html`${says}<br /><code class="small">${id}</code>`,
      },
      { head: "found", align: "left", cell: ({ found }) => found },
      { head: "runs", align: "right", cell: ({ runs }) => runs ?? "-" },
      { head: "classes", align: "left", cell: ({ classes }) => classes ?? "-" },
      { head: "verdict", align: "left", cell: ({ verdict }) => verdictMark(verdict) },
    ],
    rows: results,
  });
}

/** A failing scenario as a picture. */
export interface FailurePicture {
  readonly claim: string;
  /** Its file in the folder. */
  readonly path: string;
  readonly svg: string;
}

/** Bytes of pictures that the page takes up; further failures are in their files alone. */
const MOST_PICTURES = 800_000;

/** Pictures of failing scenarios, as many as the page can hold. */
function failurePictures(pictures: readonly FailurePicture[]): Markup {
  let room = MOST_PICTURES;
  const shown = pictures.map(({ claim, path, svg }) => {
    room -= svg.length;
    const caption = `${claim}: smallest failing scenario found (${path}).`;
    return room >= 0
      ? picture(svg, caption)
      : html`<p>${claim}: the smallest failing scenario found is in ${path}.</p> `;
  });
  return shown.length === 0
    ? html``
    : html`<h3>Failing scenarios</h3>
        ${shown}`;
}

/** Section 5: claims on the firmware, and the seeded faults that show that a claim can fail. */
export function pageClaims(record: EvidenceRecord, failures: readonly FailurePicture[]): Markup {
  const parts = ["firmware claims", "seeded faults"] as const;
  const shown = parts.map((name, place) => {
    const kind = place === 0 ? "claim" : "fault";
    const results = record.results.filter((result) => result.kind === kind);
    const part = isPresent(record, name);
    if (results.length > 0) return resultTable(results, name);
    return html`<p>${name}: missing from this record. ${part?.words ?? ""}</p> `;
  });
  return html`<section aria-labelledby="claims">
    <h2 id="claims">5. Claims and seeded faults</h2>
    ${shown} ${failurePictures(failures)}
  </section> `;
}
