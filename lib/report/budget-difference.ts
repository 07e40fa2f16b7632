import type {
  BudgetDocument,
  BudgetRow,
  RequirementRow,
  StatementFigures,
  SymbolRow,
  TermRow,
} from "./budget-document.ts";
import { demandingRow } from "./term-groups.ts";
import type { DemandingRow } from "./term-groups.ts";

/** The two designs: `a` is the one to compare with, `b` the one that is compared. */
export type DesignKey = "a" | "b";

/** One figure or text of each design; a key is absent where the design has none. */
export interface Both<Value> {
  readonly a?: Value;
  readonly b?: Value;
}

/** Both sides of the error of one design in the band of a voltage, V. */
export interface DifferenceFigures {
  readonly low: { readonly proven: number; readonly witnessed: number };
  readonly high: { readonly proven: number; readonly witnessed: number };
  /** The larger magnitude of the two proven figures. */
  readonly provenError: number;
  /** The larger magnitude of the two witnessed figures. */
  readonly witnessedError: number;
  /** False where a figure came from a computed double and not from a typed decimal. */
  readonly guaranteed: boolean;
}

/**
 * What is known of the largest error of B against that of A: "smaller", B proves less than A
 * reaches; "larger", B reaches more than A proves; "same", every figure is the same; "open", the
 * brackets overlap.
 */
export type ErrorOrder = "smaller" | "larger" | "same" | "open";

/** Both designs at one voltage. */
export interface DifferenceRow {
  readonly voltage: number;
  readonly a: DifferenceFigures;
  readonly b: DifferenceFigures;
  /** Proven figures of B minus those of A, V. */
  readonly change: { readonly low: number; readonly high: number; readonly error: number };
  readonly order: ErrorOrder;
}

/** One quantity in both designs. */
export interface TermDifference {
  readonly symbol: string;
  readonly meaning: string;
  readonly part: string;
  readonly kind: SymbolRow["kind"];
  /** The error that goes when the quantity alone returns to its nominal value, V. */
  readonly volts: Both<number>;
  /** B minus A, a quantity that is absent counting as 0, V. */
  readonly change: number;
  /** The one design that has the quantity. */
  readonly onlyIn?: DesignKey;
}

/** What makes the difference at the voltage where an accuracy is hardest to reach. */
export interface TermDifferences {
  readonly voltage: number;
  /** The requirement that is hardest there, where there is one. */
  readonly requirement?: string;
  /** Largest change first. */
  readonly terms: readonly TermDifference[];
}

/** What one design makes of a requirement. */
export type RequirementFigures = Pick<
  RequirementRow,
  "text" | "verdict" | "voltage" | "side" | "limit" | "proven" | "witnessed" | "margin"
>;

/** One requirement, by its identifier, in both designs. */
export interface RequirementDifference {
  readonly id: string;
  readonly judged: Both<RequirementFigures>;
  /** The verdicts of the two designs differ. */
  readonly verdictChanges: boolean;
  /** Both ask it, in different words. */
  readonly askedDifferently: boolean;
  /** The one design that asks it. */
  readonly onlyIn?: DesignKey;
}

/** The accuracy statement of one design and the magnitudes of true voltage it is made for, V. */
export interface StatementPart extends StatementFigures {
  readonly from: string;
  readonly to: string;
}

/** Which document a design was read from, and what its figures rest on. */
export interface ComparedDesign {
  readonly name: string;
  readonly revision: string;
  readonly sha256: string;
  readonly measuringInterval: readonly (readonly [string, string])[];
  /** Voltages at which only this design has a row, V. */
  readonly voltagesApart: readonly number[];
  /** Figures that are no guaranteed limits. */
  readonly conditionalOn: readonly string[];
  readonly statement: StatementPart;
}

/** A condition that the designs do not share. */
export interface ConditionDifference {
  readonly name: string;
  readonly stated: Both<string>;
}

/** What `plumbvolt budget A B --json` prints. */
export interface BudgetDifference {
  readonly format: "plumbvolt.difference/1";
  readonly producer: { readonly name: string; readonly version: string };
  readonly designs: { readonly a: ComparedDesign; readonly b: ComparedDesign };
  readonly conditions: readonly ConditionDifference[];
  /** Ascending by voltage; the voltages of both. */
  readonly rows: readonly DifferenceRow[];
  readonly requirements: readonly RequirementDifference[];
  /** Absent where the designs share no voltage. */
  readonly terms?: TermDifferences;
  readonly cautions: readonly string[];
}

function both<Value>(a: Value | undefined, b: Value | undefined): Both<Value> {
  return { ...(a === undefined ? {} : { a }), ...(b === undefined ? {} : { b }) };
}

/** Names the one design that has something the other has not. */
function onlyIn(inA: boolean, inB: boolean): { readonly onlyIn?: DesignKey } {
  return inA === inB ? {} : { onlyIn: inA ? "a" : "b" };
}

/** Each once, those of the first list first. */
function unionOf(one: readonly string[], other: readonly string[]): readonly string[] {
  return [...new Set([...one, ...other])];
}

function figuresOf({ low, high, provenError, guaranteed }: BudgetRow): DifferenceFigures {
  return {
    low: { proven: low.proven, witnessed: low.witnessed },
    high: { proven: high.proven, witnessed: high.witnessed },
    provenError,
    witnessedError: Math.max(Math.abs(low.witnessed), Math.abs(high.witnessed)),
    guaranteed,
  };
}

function isSame(a: DifferenceFigures, b: DifferenceFigures): boolean {
  return (["low", "high"] as const).every(
    (side) => a[side].proven === b[side].proven && a[side].witnessed === b[side].witnessed,
  );
}

function orderOf(a: DifferenceFigures, b: DifferenceFigures): ErrorOrder {
  if (isSame(a, b)) return "same";
  if (b.provenError < a.witnessedError) return "smaller";
  return b.witnessedError > a.provenError ? "larger" : "open";
}

function differenceRow(rowOfA: BudgetRow, rowOfB: BudgetRow): DifferenceRow {
  const [a, b] = [figuresOf(rowOfA), figuresOf(rowOfB)];
  return {
    voltage: rowOfA.voltage,
    a,
    b,
    change: {
      low: b.low.proven - a.low.proven,
      high: b.high.proven - a.high.proven,
      error: b.provenError - a.provenError,
    },
    order: orderOf(a, b),
  };
}

/** How little of what is allowed is left; without requirement, how large the error is. */
function hardness({ row, requirement }: DemandingRow): readonly [number, number] {
  const share = row.voltage === 0 ? 0 : row.provenError / Math.abs(row.voltage);
  if (requirement === undefined) return [Infinity, -share];
  const { limit, margin } = requirement;
  return [limit > 0 ? margin / limit : -Infinity, -share];
}

/** Of the hardest row of each design the harder one; equally hard, by the voltage. */
function hardestOf(found: readonly DemandingRow[]): DemandingRow | undefined {
  return [...found].sort((one, other) => {
    const [[margin, share], [otherMargin, otherShare]] = [hardness(one), hardness(other)];
    if (margin !== otherMargin) return margin < otherMargin ? -1 : 1;
    return share - otherShare || one.row.voltage - other.row.voltage;
  })[0];
}

/** The names of one document with what it says of each. */
class SymbolTable {
  private readonly symbols: ReadonlyMap<string, SymbolRow>;
  private readonly volts: ReadonlyMap<string, number>;

  constructor(document: BudgetDocument, terms: readonly TermRow[]) {
    this.symbols = new Map(document.symbols.map((row) => [row.name, row]));
    this.volts = new Map(terms.map((term) => [term.symbol, term.volts]));
  }

  row(name: string): SymbolRow | undefined {
    return this.symbols.get(name);
  }

  /** 0 where the quantity is there and without effect; undefined where it is not there. */
  voltsOf(name: string): number | undefined {
    return this.volts.get(name) ?? (this.symbols.has(name) ? 0 : undefined);
  }
}

function termDifference(symbol: string, a: SymbolTable, b: SymbolTable): TermDifference {
  const row = b.row(symbol) ?? a.row(symbol);
  const volts = both(a.voltsOf(symbol), b.voltsOf(symbol));
  return {
    symbol,
    meaning: row?.meaning ?? "",
    part: row?.part ?? "",
    kind: row?.kind ?? "rounding",
    volts,
    change: (volts.b ?? 0) - (volts.a ?? 0),
    ...onlyIn(volts.a !== undefined, volts.b !== undefined),
  };
}

function byChange(one: TermDifference, other: TermDifference): number {
  const larger = Math.abs(other.change) - Math.abs(one.change);
  if (larger !== 0) return larger;
  return one.symbol < other.symbol ? -1 : 1;
}

/** Of documents with no rows but those at the voltages of both. */
function termDifferences(a: BudgetDocument, b: BudgetDocument): TermDifferences | undefined {
  const found = [a, b].map(demandingRow).filter((one) => one !== undefined);
  const hardest = hardestOf(found);
  if (hardest === undefined) return undefined;
  const { voltage } = hardest.row;
  const termsOf = (document: BudgetDocument): readonly TermRow[] =>
    document.rows.find((row) => row.voltage === voltage)?.terms ?? [];
  const [termsOfA, termsOfB] = [termsOf(a), termsOf(b)];
  const [tableA, tableB] = [new SymbolTable(a, termsOfA), new SymbolTable(b, termsOfB)];
  const names = [termsOfA, termsOfB].map((terms) => terms.map((term) => term.symbol));
  return {
    voltage,
    ...(hardest.requirement === undefined ? {} : { requirement: hardest.requirement.id }),
    terms: unionOf(names[0] ?? [], names[1] ?? [])
      .map((symbol) => termDifference(symbol, tableA, tableB))
      .sort(byChange),
  };
}

function judgedOf(row: RequirementRow | undefined): RequirementFigures | undefined {
  if (row === undefined) return undefined;
  const { text, verdict, voltage, side, limit, proven, witnessed, margin } = row;
  return { text, verdict, voltage, side, limit, proven, witnessed, margin };
}

function requirementDifferences(a: BudgetDocument, b: BudgetDocument): RequirementDifference[] {
  const [ofA, ofB] = [a, b].map(
    ({ requirements }) => new Map(requirements.map((row) => [row.id, row])),
  );
  const ids = [a, b].map(({ requirements }) => requirements.map(({ id }) => id));
  return unionOf(ids[0] ?? [], ids[1] ?? []).map((id): RequirementDifference => {
    const judged = both(judgedOf(ofA?.get(id)), judgedOf(ofB?.get(id)));
    const isShared = judged.a !== undefined && judged.b !== undefined;
    return {
      id,
      judged,
      verdictChanges: isShared && judged.a.verdict !== judged.b.verdict,
      askedDifferently: isShared && judged.a.text !== judged.b.text,
      ...onlyIn(judged.a !== undefined, judged.b !== undefined),
    };
  });
}

function conditionDifferences(a: BudgetDocument, b: BudgetDocument): ConditionDifference[] {
  return unionOf(Object.keys(a.conditions), Object.keys(b.conditions))
    .filter((name) => a.conditions[name] !== b.conditions[name])
    .map((name) => ({ name, stated: both(a.conditions[name], b.conditions[name]) }));
}

function comparedDesign(
  { design, measuringInterval, rows, conditionalOn, statement }: BudgetDocument,
  shared: ReadonlySet<number>,
): ComparedDesign {
  const { share, volts, from, to } = statement;
  return {
    ...design,
    measuringInterval,
    voltagesApart: rows.map(({ voltage }) => voltage).filter((voltage) => !shared.has(voltage)),
    conditionalOn,
    statement: { share, volts, from, to },
  };
}

/**
 * What changes from design A to design B: the error at the voltages both have rows for, the
 * verdicts by requirement, the terms one by one at the voltage that is hardest for either, the
 * accuracy statements and the conditions. Every figure is one of the two documents or a plain
 * difference of two; bounds stay bounds of their own design.
 */
export function budgetDifference(a: BudgetDocument, b: BudgetDocument): BudgetDifference {
  const rowsOfB = new Map(b.rows.map((row) => [row.voltage, row]));
  const pairs = a.rows.flatMap((row) => {
    const other = rowsOfB.get(row.voltage);
    return other === undefined ? [] : [{ a: row, b: other }];
  });
  const shared = new Set(pairs.map((pair) => pair.a.voltage));
  const terms = termDifferences(
    { ...a, rows: pairs.map((pair) => pair.a) },
    { ...b, rows: pairs.map((pair) => pair.b) },
  );
  return {
    format: "plumbvolt.difference/1",
    producer: b.producer,
    designs: { a: comparedDesign(a, shared), b: comparedDesign(b, shared) },
    conditions: conditionDifferences(a, b),
    rows: pairs.map((pair) => differenceRow(pair.a, pair.b)),
    requirements: requirementDifferences(a, b),
    ...(terms === undefined ? {} : { terms }),
    cautions: unionOf(a.cautions, b.cautions),
  };
}
