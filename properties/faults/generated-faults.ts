import { cStatements } from "./c-statements.ts";
import type { CStatement } from "./c-statements.ts";
import { cTokens } from "./c-tokens.ts";
import type { CToken } from "./c-tokens.ts";
import { FAULT_OPERATORS, faultCandidates } from "./fault-operators.ts";
import type { FaultCandidate, FaultOperator } from "./fault-operators.ts";
import type { FirmwareFault } from "./firmware-fault.ts";

/** A fault that follows from the text of a source. */
export interface GeneratedFault extends FirmwareFault {
  readonly operator: FaultOperator;
  /** Last part of the path of the source, and the function or the name that is defined. */
  readonly file: string;
  readonly within: string;
  /** Line that the fault is there for, from 1, and its text without the blanks around it. */
  readonly line: number;
  readonly text: string;
  /** What is replaced, where it begins in the source, and what stands there instead. */
  readonly was: string;
  readonly offset: number;
  readonly becomes: string;
}

/** A line without a fault, and why. */
export interface LineWithout {
  readonly file: string;
  readonly line: number;
  readonly because:
    | "blank or comment"
    | "for the preprocessor"
    | "declares"
    | "brackets, else or default"
    | "trace, assertion or value thrown away"
    | "no operator applies";
}

/** The faults of some sources, by line. */
export interface GeneratedFaults {
  /** Of each line that something is carried out in: all that apply, the preferred one first. */
  readonly lines: readonly (readonly GeneratedFault[])[];
  readonly without: readonly LineWithout[];
}

interface SourceText {
  readonly file: string;
  readonly text: string;
}

/** A source with the places at which its lines begin. */
class Lines {
  readonly file: string;
  readonly source: string;
  private readonly starts: number[] = [0];

  constructor({ file, text }: SourceText) {
    this.file = file.split("/").at(-1)!;
    this.source = text;
    for (let at = text.indexOf("\n"); at >= 0; at = text.indexOf("\n", at + 1))
      this.starts.push(at + 1);
  }

  get count(): number {
    return this.starts.length;
  }

  /** Number of the line that a place is in. */
  at(place: number): number {
    let low = 0;
    let high = this.starts.length;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (this.starts[middle]! <= place) low = middle;
      else high = middle;
    }
    return low + 1;
  }

  start(line: number): number {
    return this.starts[line - 1]!;
  }

  /** Place behind the last character of a line. */
  end(line: number): number {
    return line < this.count ? this.starts[line]! - 1 : this.source.length;
  }

  text(line: number): string {
    return this.source.slice(this.start(line), this.end(line)).trim();
  }

  /** The edit of a change: whole lines, as many as make its text the only one of its kind. */
  edit({ start, end, replacement }: FaultCandidate): FirmwareFault["edits"][number] {
    let first = this.at(start);
    let last = this.at(Math.max(start, end - 1));
    const find = (): string => this.source.slice(this.start(first), this.end(last));
    while (this.isTwice(find()) && (first > 1 || last < this.count)) {
      if (first > 1) first -= 1;
      if (this.isTwice(find()) && last < this.count) last += 1;
    }
    const before = this.source.slice(this.start(first), start);
    const after = this.source.slice(end, this.end(last));
    return { file: this.file, find: find(), replace: before + replacement + after };
  }

  private isTwice(text: string): boolean {
    return this.source.indexOf(text) !== this.source.lastIndexOf(text);
  }
}

/** A number that follows from a text alone. */
function numberOf(text: string): number {
  let number = 7;
  for (const character of text) number = (number * 31 + character.codePointAt(0)!) % 1_000_003;
  return number;
}

/** Rank of an operator in a line: the order is begun elsewhere in each, `constant` stays last. */
function rankIn(text: string): (operator: FaultOperator) => number {
  const spread = FAULT_OPERATORS.length - 1;
  const shift = numberOf(text) % spread;
  return (operator) => {
    const index = FAULT_OPERATORS.indexOf(operator);
    return index === spread ? spread : (index + spread - shift) % spread;
  };
}

function short(text: string): string {
  return text.replaceAll(/\s+/g, " ");
}

function says(was: string, becomes: string): string {
  if (becomes === ";" || becomes === "") return `\`${short(was)}\` is left out`;
  return `\`${short(was)}\` became \`${short(becomes)}\``;
}

interface Found {
  readonly statement: CStatement;
  readonly candidate: FaultCandidate;
}

function faultsOfLine(lines: Lines, line: number, found: readonly Found[]): GeneratedFault[] {
  const { file, source } = lines;
  const text = lines.text(line);
  const rank = rankIn(text);
  const counts = new Map<FaultOperator, number>();
  return found
    .toSorted((one, other) => rank(one.candidate.operator) - rank(other.candidate.operator))
    .map(({ statement, candidate }) => {
      const { operator, start, end, replacement } = candidate;
      const count = (counts.get(operator) ?? 0) + 1;
      counts.set(operator, count);
      const name = `${file.replace(".", "-").toLowerCase()}-${line}-${operator}`;
      const was = source.slice(start, end);
      return {
        id: (count === 1 ? name : `${name}-${count}`).replaceAll(/[^a-z0-9-]/g, "-"),
        says: `${file}:${line}: ${says(was, replacement)}`,
        edits: [lines.edit(candidate)],
        caughtBy: [],
        operator,
        file,
        within: statement.within,
        line,
        text,
        was,
        offset: start,
        becomes: replacement,
      };
    });
}

interface Parsed {
  readonly tokens: readonly CToken[];
  readonly statements: readonly CStatement[];
}

/** Says of each line that nothing is carried out in what it holds. */
function whyWithout(
  lines: Lines,
  line: number,
  { tokens: all, statements }: Parsed,
): LineWithout["because"] {
  const isIn = (start: number): boolean => lines.at(start) === line;
  const text = lines.text(line);
  if (!all.some(({ start }) => isIn(start)))
    return text.startsWith("#") ? "for the preprocessor" : "blank or comment";
  const own = statements.filter(({ tokens }) => tokens.some(({ start }) => isIn(start)));
  if (own.some(({ kind }) => kind === "hook")) return "trace, assertion or value thrown away";
  const brackets = /^(?:[{}();,\s]|\belse\b|\bdefault:|\bdo\b)*$/;
  if (brackets.test(text)) return "brackets, else or default";
  if (text.startsWith("#")) return "for the preprocessor";
  const declares = own.every(({ kind }) => kind === "declaration");
  return declares ? "declares" : "no operator applies";
}

function faultsOfSource(source: SourceText): GeneratedFaults {
  const lines = new Lines(source);
  const tokens = cTokens(source.text);
  const statements = cStatements(source.text, tokens);
  const found = statements.flatMap((statement) =>
    faultCandidates(statement, source.text).map((candidate) => ({ statement, candidate })),
  );
  const faults: GeneratedFault[][] = [];
  const without: LineWithout[] = [];
  for (let line = 1; line <= lines.count; line++) {
    const own = found.filter(({ candidate }) => lines.at(candidate.start) === line);
    // A line that only goes on with a statement has the faults of that statement as a whole.
    const meant = statements.some(({ kind, tokens }) =>
      kind === "hook"
        ? false
        : tokens.some(({ start, text }) => lines.at(start) === line && /\w/.test(text)),
    );
    const spanning = found.filter(
      ({ candidate: { start, end } }) => lines.at(start) < line && lines.at(end - 1) >= line,
    );
    const chosen = own.length > 0 ? own : meant ? spanning : [];
    if (chosen.length > 0) faults.push(faultsOfLine(lines, line, chosen));
    else if (line < lines.count || lines.text(line) !== "")
      without.push({
        file: lines.file,
        line,
        because: whyWithout(lines, line, { tokens, statements }),
      });
  }
  return { lines: faults, without };
}

/**
 * Faults that follow from the text of C sources: each line in which something is carried out, or a
 * constant is defined, has one or more, the preferred one first; the others are named with why they
 * have none. Comments, texts, trace and assertions are left alone. The same sources give the same
 * faults; those of a line depend on its text, not on its number.
 */
export function generatedFaults(sources: readonly SourceText[]): GeneratedFaults {
  const all = sources.map(faultsOfSource);
  return {
    lines: all.flatMap(({ lines }) => lines),
    without: all.flatMap(({ without }) => without),
  };
}
