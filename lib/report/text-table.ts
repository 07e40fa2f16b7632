import Table from "cli-table3";
import { unitsTied, unitsUntied } from "./unit-joint.ts";

/** One column of a table in plain characters. */
export interface TextColumn<Row> {
  /** One entry per line of the head; the unit stands in the last. */
  readonly head: readonly string[];
  readonly align: "left" | "right";
  /**
   * Printable text without line ends and without colour; `room` is how many characters fit where
   * the column is flexible, and not limited elsewhere.
   */
  readonly cell: (row: Row, room: number) => string;
  /** Colour around a finished cell; it adds no visible character. */
  readonly paint?: (text: string, row: Row) => string;
  /**
   * Takes the room the other columns leave, at least this many characters: "wrap" goes on in the
   * next line where the text is longer, "cut" ends it with an ellipsis. At most one column.
   */
  readonly flexible?: { readonly least: number; readonly overflow: "wrap" | "cut" };
  /** Widest the column may get, for texts of unknown length; longer ones end with an ellipsis. */
  readonly most?: number;
}

const GAP = 2;
const NO_BORDER = {
  top: "",
  "top-mid": "",
  "top-left": "",
  "top-right": "",
  bottom: "",
  "bottom-mid": "",
  "bottom-left": "",
  "bottom-right": "",
  left: "",
  "left-mid": "",
  mid: "",
  "mid-mid": "",
  right: "",
  "right-mid": "",
};
const NO_STYLE = { head: [], border: [], "padding-left": 0, "padding-right": 0 };

/** For cells that we wrote: every character is one place wide. */
function naturalWidth<Row>(column: TextColumn<Row>, rows: readonly Row[]): number {
  const cells = rows.map((row) =>
    Math.min(column.most ?? Infinity, column.cell(row, Infinity).length),
  );
  return Math.max(...column.head.map((line) => line.length), ...cells);
}

function widthsOf<Row>(
  columns: readonly TextColumn<Row>[],
  rows: readonly Row[],
  width: number,
): readonly number[] {
  const natural = columns.map((column) =>
    column.flexible === undefined ? naturalWidth(column, rows) : 0,
  );
  const taken = natural.reduce((sum, one) => sum + one, 0) + GAP * (columns.length - 1);
  return columns.map((column, place) =>
    column.flexible === undefined
      ? (natural[place] ?? 0)
      : Math.max(column.flexible.least, width - taken),
  );
}

/** How wide a table of columns that do not bend comes out. */
export function tableWidth<Row>(columns: readonly TextColumn<Row>[], rows: readonly Row[]): number {
  return widthsOf(columns, rows, 0).reduce((sum, one) => sum + one + GAP, -GAP);
}

function filled(head: readonly string[], lines: number): readonly string[] {
  return [...Array.from({ length: lines - head.length }, () => ""), ...head];
}

function linesOf(text: string): readonly string[] {
  return text.split("\n").map((line) => unitsUntied(line).trimEnd());
}

/**
 * The lines of a table without frame: the head, a rule, the rows. Head lines stand at the bottom of
 * the head, so that the units are in one line. Never wider than `width` where the columns that do
 * not bend leave room for the one that does.
 */
export function textTable<Row>(
  columns: readonly TextColumn<Row>[],
  rows: readonly Row[],
  width: number,
): readonly string[] {
  const widths = widthsOf(columns, rows, width);
  const headLines = Math.max(...columns.map((column) => column.head.length));
  const table = new Table({
    chars: { ...NO_BORDER, middle: " ".repeat(GAP) },
    style: NO_STYLE,
    colWidths: [...widths],
    colAligns: columns.map((column) => column.align),
  });
  const heads = columns.map((column) => filled(column.head, headLines));
  for (let line = 0; line < headLines; line += 1) table.push(heads.map((head) => head[line] ?? ""));
  for (const row of rows) {
    table.push(
      columns.map((column, place) => {
        const text = column.cell(row, widths[place] ?? Infinity);
        const wordWrap = column.flexible?.overflow === "wrap";
        const whole = wordWrap ? unitsTied(text) : text;
        return { content: column.paint === undefined ? whole : column.paint(whole, row), wordWrap };
      }),
    );
  }
  const lines = linesOf(table.toString());
  const across = widths.reduce((sum, one) => sum + one, 0) + GAP * (widths.length - 1);
  return [...lines.slice(0, headLines), "─".repeat(across), ...lines.slice(headLines)];
}

/** A text that ends with `tail` whatever is cut before it to fit into `room` characters. */
export function cutBefore(tail: string, text: string, room: number): string {
  const kept = room - tail.length;
  if (text.length <= kept) return text + tail;
  // A pair of code units that is one character is never cut in two.
  const shortened = text.slice(0, Math.max(0, kept - 1)).replace(/[\uD800-\uDBFF]$/, "");
  return `${shortened}…${tail}`;
}

/** A text on as many lines as it needs, each at most `width` wide; later lines begin `indent` in. */
export function wrappedText(
  text: string,
  { width, indent }: { readonly width: number; readonly indent: number },
): readonly string[] {
  const table = new Table({
    chars: { ...NO_BORDER, middle: "" },
    style: NO_STYLE,
    colWidths: [width - indent],
    wordWrap: true,
  });
  table.push([unitsTied(text)]);
  const margin = " ".repeat(indent);
  return linesOf(table.toString()).map((line, place) => (place === 0 ? line : margin + line));
}
