import pc from "picocolors";
import { OutsideDomainError } from "../errors.ts";
import { printableText } from "./printable-text.ts";
import { wrappedText } from "./text-table.ts";

/** How a page for a terminal is written. */
export interface PageOptions {
  /** Adds colour to what the words already say. */
  readonly colour: boolean;
  /** Characters per line, 80 to 400. */
  readonly width: number;
}

const LEAST_WIDTH = 80;
const GREATEST_WIDTH = 400;

/** Writes the sections of a page; no line is wider than its width. */
export class PageText {
  readonly width: number;
  private readonly paint: ReturnType<typeof pc.createColors>;

  /** Throws OutsideDomainError for a width outside 80 to 400. */
  constructor({ colour, width }: PageOptions) {
    if (!Number.isInteger(width) || width < LEAST_WIDTH || width > GREATEST_WIDTH) {
      throw new OutsideDomainError({
        path: "width",
        quantity: "width of the table",
        received: String(width),
        permitted: `a whole number of characters from ${LEAST_WIDTH} to ${GREATEST_WIDTH}`,
      });
    }
    this.width = width;
    this.paint = pc.createColors(colour);
  }

  /** One sentence or more, over as many lines as they need. */
  paragraph(text: string): readonly string[] {
    return wrappedText(printableText(text), { width: this.width, indent: 0 });
  }

  /** "Name: one; two" with later lines set in; whole sentences follow each other as such. */
  list(name: string, entries: readonly string[]): readonly string[] {
    if (entries.length === 0) return [];
    const joined = entries.map(printableText).join("; ").replaceAll(".; ", ". ");
    const lead = `${printableText(name)}:`;
    const options = { width: this.width, indent: 2 };
    const [first, ...rest] = wrappedText(`${lead} ${joined}`, options);
    return [(first ?? "").replace(lead, () => this.paint.bold(lead)), ...rest];
  }

  /** The sections that have lines, one empty line between them. */
  joined(sections: readonly (readonly string[])[]): string {
    const written = sections.filter((lines) => lines.length > 0);
    return `${written.map((lines) => lines.join("\n")).join("\n\n")}\n`;
  }
}
