import { html } from "./page-markup.ts";
import type { Insert, Markup } from "./page-markup.ts";

/** One column of a table on the page. */
export interface PageColumn<Row> {
  readonly head: Insert;
  /** "right" for figures, which then stand with equal digits. */
  readonly align: "left" | "right";
  readonly cell: (row: Row) => Insert;
  /** The cell names its row. */
  readonly isHead?: boolean;
}

/** What stands round the rows. */
export interface PageTableOptions<Row> {
  readonly caption: Insert;
  readonly columns: readonly PageColumn<Row>[];
  readonly rows: readonly Row[];
  /** Class of a row, for the weight of a verdict. */
  readonly rowClass?: (row: Row) => string;
}

function classOf(align: "left" | "right"): Markup {
  return align === "right" ? html` class="figure"` : html``;
}

/** A table with caption, heads for columns and rows, in text that can be selected and copied. */
export function pageTable<Row>(options: PageTableOptions<Row>): Markup {
  const { caption, columns, rows, rowClass = () => "" } = options;
  const heads = columns.map(
    ({ head, align }) => html`<th scope="col" ${classOf(align)}>${head}</th>`,
  );
  const cells = (row: Row): readonly Markup[] =>
    columns.map(({ align, cell, isHead }) =>
      isHead === true
        ? html`<th scope="row" ${classOf(align)}>${cell(row)}</th>`
        : html`<td${classOf(align)}>${cell(row)}</td>`,
    );
  const lines = rows.map((row) => {
    const name = rowClass(row);
    return name === ""
      ? html`<tr>
          ${cells(row)}
        </tr> `
      : html`<tr class="${name}">
          ${cells(row)}
        </tr> `;
  });
  return html`<div class="table" tabindex="0" role="group" aria-label="table">
    <table>
      <caption>
        ${caption}
      </caption>
      <thead>
        <tr>
          ${heads}
        </tr>
      </thead>
      <tbody>
        ${lines}
      </tbody>
    </table>
  </div> `;
}
