import { readDesign } from "../design/read-design.ts";
import { formatQuantity } from "../quantity/format.ts";
import type { Candidate } from "../sizing/candidate.ts";
import { candidateDocument, chosenParts, chosenValues } from "../sizing/candidate-design.ts";
import type { ChosenPart } from "../sizing/candidate-design.ts";
import type { SizingResult } from "../sizing/size.ts";
import { budgetOf } from "./budget.ts";

/** One combination of a frontier. */
export interface SizingRow {
  readonly cost: number;
  /** Share of the allowed error that the proven error takes at most; 1 or less meets it. */
  readonly used: number;
  /** Least product capacitance with the loading asked for, F. */
  readonly capacitance: number;
  readonly parts: readonly ChosenPart[];
  /** Resistors of the upper string and resistances in words; absent where they are the template's. */
  readonly upper?: string;
  readonly lower?: string;
}

/** A requirement as the budget of a combination proves it. */
export interface SizingProof {
  readonly text: string;
  /** V. */
  readonly voltage: number;
  readonly limit: number;
  readonly proven: number;
  readonly verdict: "holds" | "doesNotHold" | "notProven";
}

/** A combination with its own budget. */
export interface ProvenRow extends SizingRow {
  readonly requirements: readonly SizingProof[];
  /** Largest terms at the voltage of the least margin. */
  readonly terms: readonly {
    readonly symbol: string;
    readonly part: string;
    readonly volts: number;
  }[];
}

/** What `plumbvolt size --json` prints. */
export interface SizingDocument {
  readonly format: "plumbvolt.sizing/1";
  readonly producer: { readonly name: string; readonly version: string };
  readonly template: string;
  readonly require: readonly string[];
  /** Share of the voltage that the tester may take from the smallest product. */
  readonly loading: number;
  readonly combinations: number;
  /** False where the search was ended early. */
  readonly complete: boolean;
  readonly searched: {
    readonly structures: number;
    readonly ofStructures: number;
    readonly looked: number;
    readonly proven: number;
  };
  readonly byError: readonly SizingRow[];
  readonly byCapacitance: readonly SizingRow[];
  readonly cheapest?: ProvenRow;
  readonly nearest?: ProvenRow;
  /** Meets the requirements but not the capacitance asked for. */
  readonly leastCapacitance?: SizingRow;
  /** Why structures were left out, with how many. */
  readonly excluded: readonly { readonly reason: string; readonly structures: number }[];
}

const MOST_TERMS = 8;

function rowOf({ space }: SizingResult, candidate: Candidate): SizingRow {
  const { cost, used, capacitance } = candidate;
  const { upper, lower } = chosenValues(space, candidate);
  return {
    cost,
    used,
    capacitance,
    parts: chosenParts(space, candidate),
    ...(upper === undefined
      ? {}
      : { upper: `${upper.count} x ${formatQuantity(upper.resistance, "resistance")}` }),
    ...(lower === undefined ? {} : { lower: formatQuantity(lower, "resistance") }),
  };
}

/** Proves a combination once more as `budget` does, and breaks its error down. */
function provenRow(result: SizingResult, candidate: Candidate, version: string): ProvenRow {
  const design = readDesign(candidateDocument(result.space, candidate));
  const budget = budgetOf(design, { sha256: "0".repeat(64), version });
  const hardest = [...budget.requirements].sort(
    (one, other) => one.margin / one.limit - other.margin / other.limit,
  )[0];
  const row = budget.rows.find(({ voltage }) => voltage === hardest?.voltage);
  const terms = [...(row?.terms ?? [])].sort((one, other) => other.volts - one.volts);
  return {
    ...rowOf(result, candidate),
    requirements: budget.requirements.map(({ text, voltage, limit, proven, verdict }) => ({
      text,
      voltage,
      limit,
      proven,
      verdict,
    })),
    terms: terms.slice(0, MOST_TERMS).map(({ symbol, part, volts }) => ({ symbol, part, volts })),
  };
}

function excludedOf({ excluded }: SizingResult): SizingDocument["excluded"] {
  const counts = new Map<string, number>();
  for (const { reason } of excluded) counts.set(reason, (counts.get(reason) ?? 0) + 1);
  return [...counts].map(([reason, structures]) => ({ reason, structures }));
}

/** The document of a search; the chosen combination is proven again as `budget` proves it. */
export function sizingDocument(result: SizingResult, version: string): SizingDocument {
  const { space, cheapest, nearest, leastCapacitance } = result;
  return {
    format: "plumbvolt.sizing/1",
    producer: { name: "plumbvolt", version },
    template: space.template.name,
    require: space.question.require,
    loading: space.loading,
    combinations: space.combinations,
    complete: result.complete,
    searched: {
      structures: result.structures,
      ofStructures: space.structures.length,
      looked: result.looked,
      proven: result.proven,
    },
    byError: result.byError.map((candidate) => rowOf(result, candidate)),
    byCapacitance: result.byCapacitance.map((candidate) => rowOf(result, candidate)),
    ...(cheapest === undefined ? {} : { cheapest: provenRow(result, cheapest, version) }),
    ...(nearest === undefined ? {} : { nearest: provenRow(result, nearest, version) }),
    ...(leastCapacitance === undefined
      ? {}
      : { leastCapacitance: rowOf(result, leastCapacitance) }),
    excluded: excludedOf(result),
  };
}
