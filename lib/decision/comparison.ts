import { permittedError, voltageBelowWhichExceeds } from "../design/accuracy-statement.ts";
import type { AccuracyStatement } from "../design/accuracy-statement.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { formatQuantity } from "../quantity/format.ts";

/** One accuracy statement over voltages. */
export interface ComparedStatement {
  readonly name: string;
  /** The statement in words, its fiducial value named. */
  readonly text: string;
  /** Permitted errors in the order of the voltages, V. */
  readonly errors: readonly number[];
  /** The same as shares of the indication. */
  readonly shares: readonly number[];
  /** Voltage below which more than the share asked for is permitted, V. */
  readonly exceedsBelow: number | "never" | "always";
}

/** Any number of accuracy statements side by side. */
export interface Comparison {
  /** Indications, V, ascending, above zero. */
  readonly voltages: readonly number[];
  /** Share of the indication against which they are held. */
  readonly share: number;
  /** What is compared, and what is not, one sentence. */
  readonly scope: string;
  readonly statements: readonly ComparedStatement[];
}

/** Voltages at which the usual limits and the crests lie. */
const USUAL_VOLTAGES: readonly number[] = [30, 34, 45, 60, 126, 325, 400];

const SCOPE =
  "What each statement permits for the error of indication, under the conditions for which it was " +
  "made; loading of the product, resolution of time and conditions of use are not compared.";

/** A statement in words with its fiducial value: "1.5 % of the span 800 V". */
export function accuracyWords(statement: AccuracyStatement): string {
  switch (statement.kind) {
    case "indication": {
      const share = `${formatQuantity(statement.share, "ratio")} of the indication`;
      if (statement.volts.isZero()) return `±${share}`;
      const volts = formatQuantity(statement.volts, "voltage");
      return statement.share.isZero() ? `±${volts}` : `±(${share} + ${volts})`;
    }
    case "fiducial": {
      const fiducial = statement.fiducial === "span" ? "span" : "upper limit";
      const share = formatQuantity(statement.share, "ratio");
      return `±${share} of the ${fiducial} ${formatQuantity(statement.value, "voltage")}`;
    }
    case "resolution": {
      const codes = statement.codes === "half" ? "half a code" : "one code";
      const span = formatQuantity(statement.span, "voltage");
      return `±${codes} of ${statement.bits} bits over the span ${span}, resolution alone`;
    }
  }
}

/**
 * Sets accuracy statements side by side: what each permits at the same indications, as volts and as
 * a share of the indication, and below which voltage it permits more than a stated share. Throws
 * InvalidInputError for no statement, a share that is not above zero, and voltages that are not
 * ascending above zero; OutsideDomainError for a statement that is none.
 */
export function compareStatements(
  statements: readonly AccuracyStatement[],
  options: { readonly share?: number; readonly voltages?: readonly number[] } = {},
): Comparison {
  const { share = 0.05, voltages = USUAL_VOLTAGES } = options;
  const faults: Fault[] = [];
  if (statements.length === 0) {
    const permitted = "one or more";
    faults.push({ path: "statements", quantity: "statements", permitted, received: "none" });
  }
  if (!(share > 0 && share < Infinity)) {
    const received = String(share);
    faults.push({ path: "share", quantity: "share", permitted: "above zero", received });
  }
  const ascends = voltages.every(
    (one, index) => one > (voltages[index - 1] ?? 0) && one < Infinity,
  );
  if (!ascends || voltages.length === 0) {
    const permitted = "one or more above zero, ascending";
    const received = voltages.join(", ");
    faults.push({ path: "voltages", quantity: "indications", permitted, received });
  }
  if (faults.length > 0) throw new InvalidInputError("comparison", faults);
  // The decimal that was meant: 0.05 as a double is a hair more than 5 %.
  const meant = Decimal.fromNumber(share).value;
  return {
    voltages,
    share,
    scope: SCOPE,
    statements: statements.map((statement) => {
      const errors = voltages.map((voltage) => permittedError(statement, voltage));
      return {
        name: statement.name,
        text: accuracyWords(statement),
        errors,
        shares: errors.map((error, index) => error / voltages[index]!),
        exceedsBelow: voltageBelowWhichExceeds(statement, meant),
      };
    }),
  };
}
