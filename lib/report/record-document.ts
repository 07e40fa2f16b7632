import type { BudgetDocument, StatementFigures, Verdict } from "./budget-document.ts";
import type { RangeFigures } from "./decision-document.ts";

/** A verdict of the budget, or that there is none. */
export type RecordVerdict = Verdict | "noVerdict";

/** What a result says something about; a closed set. */
export type ResultKind = "accuracy" | "statement" | "decision" | "checkPoints" | "claim" | "fault";

/** One result with the way it was found and how to find it again. */
export interface RecordResult {
  /** Kind and name, as "accuracy/R-34"; requirements are linked to it. */
  readonly id: string;
  readonly kind: ResultKind;
  /** What was asked, in words. */
  readonly says: string;
  readonly verdict: RecordVerdict;
  /** The main figure in words, or why there is no verdict. */
  readonly found: string;
  /** How it was found, in words. */
  readonly method: string;
  /** How far from the limit, in the unit named; absent where a result has no such figure. */
  readonly margin?: { readonly value: number; readonly unit: string };
  /** Runs or trials; absent for proofs. */
  readonly runs?: number;
  /** Seed of the random draws; absent where nothing is drawn. */
  readonly seed?: string;
  /** Classes of scenarios that were covered, in words; absent for proofs. */
  readonly classes?: string;
  /** The command that finds it again. */
  readonly reproduce: string;
}

/** Who asks for something. */
export type RequirementOrigin = "user" | "design" | "statement" | "limit";

/** A requirement with what covers it. */
export interface RecordRequirement {
  readonly id: string;
  readonly text: string;
  /** Document and clause that ask for it. */
  readonly source: string;
  readonly origin: RequirementOrigin;
  /** Ids of results. */
  readonly coveredBy: readonly string[];
  /** Ids that were named and are no results of this record. */
  readonly absent: readonly string[];
  /** The weakest verdict of what covers it; "notCovered" where nothing does. */
  readonly verdict: RecordVerdict | "notCovered";
}

/** A part of the evidence, and why it is not there where it is not. */
export interface RecordPart {
  readonly part: string;
  readonly state: "present" | "missing";
  /** What it is, or why it is missing. */
  readonly words: string;
}

/** The main figures of one row of the budget, V. */
export interface RecordRow {
  readonly voltage: number;
  readonly band: { readonly lower: string; readonly upper: string };
  readonly low: { readonly proven: number; readonly witnessed: number };
  readonly high: { readonly proven: number; readonly witnessed: number };
  readonly expandedUncertainty?: number;
  readonly coverageInterval?: { readonly lower: number; readonly upper: number };
}

/** The smallest capacitance for which the tester loads a product by no more than a share. */
export interface SmallestCapacitance {
  /** The limit line it belongs to. */
  readonly line: string;
  readonly share: number;
  /** F. */
  readonly capacitance: number;
}

/** The product's capacitance for which a line was decided. */
export interface DecidedProduct {
  readonly line: string;
  readonly capacitance: RangeFigures;
  readonly reason: string;
}

/** A file of the folder. */
export interface RecordFile {
  /** Inside the folder, with forward slashes. */
  readonly path: string;
  readonly role: "input" | "result" | "proof" | "picture";
  readonly bytes: number;
  readonly sha256: string;
}

/** Options that the evidence was made with, so that it can be made again. */
export interface RecordOptions {
  readonly trials: number;
  readonly seed: number;
  /** Limit lines that were decided. */
  readonly limits: readonly string[];
}

/** Firmware that claims were made about. */
export interface RecordFirmware {
  readonly name: string;
  /** The file inside the folder that runs it again: a manifest, or the program itself. */
  readonly path: string;
  /** Of the one file, or of the list of hashes and names of several. */
  readonly sha256: string;
  readonly language: "C" | "TypeScript";
  /** Data model of the product's compiler, as declared; absent for TypeScript. */
  readonly target?: string;
  /** What was built of it; absent for TypeScript. */
  readonly builds?: {
    readonly compiler: string;
    /** Bytes of the build that stops at undefined behaviour. */
    readonly trapping: number;
    /** Bytes of the build without checks. */
    readonly plain: number;
  };
}

/** The record of one run: what was asked, what was found, and what it rests on. */
export interface EvidenceRecord {
  readonly format: "plumbvolt.record/1";
  readonly producer: { readonly name: string; readonly version: string };
  /** What computed it; the probabilistic figures depend on no other part of the machine. */
  readonly engine: { readonly name: string; readonly version: string };
  /** The one stated date, as YYYY-MM-DD. */
  readonly date: string;
  readonly design: BudgetDocument["design"];
  readonly firmware?: RecordFirmware;
  readonly options: RecordOptions;
  readonly conditions: Readonly<Record<string, string>>;
  readonly measuringInterval: BudgetDocument["measuringInterval"];
  readonly statement: StatementFigures & {
    readonly text: string;
    readonly from: string;
    readonly to: string;
  };
  readonly smallestCapacitances: readonly SmallestCapacitance[];
  readonly products: readonly DecidedProduct[];
  readonly rows: readonly RecordRow[];
  readonly requirements: readonly RecordRequirement[];
  readonly results: readonly RecordResult[];
  readonly parts: readonly RecordPart[];
  readonly conditionalOn: readonly string[];
  /** Figures and clauses that were recalled and not read. */
  readonly fromMemory: readonly string[];
  readonly assumptions: readonly string[];
  readonly notModelled: readonly string[];
  readonly cautions: readonly string[];
  /** What is shown, and what is not, in sentences. */
  readonly shown: readonly string[];
  readonly notShown: readonly string[];
  readonly reproduce: readonly string[];
  readonly files: readonly RecordFile[];
  /** SHA-256 of the canonical form (RFC 8785). */
  readonly digest: {
    /** Of everything but `date` and `digest`: equal for equal inputs. */
    readonly content: string;
    /** Of everything but `digest.record`. */
    readonly record: string;
  };
}

/** The outcome of checking a record. */
export interface RecordCheck {
  readonly confirmed: boolean;
  /** What was looked at, with counts. */
  readonly checked: readonly string[];
  /** What differs, each with its place. */
  readonly differences: readonly string[];
}
