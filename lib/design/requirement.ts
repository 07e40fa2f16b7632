import { OutsideDomainError } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { exactDecimal } from "../quantity/exact-decimal.ts";
import { shareAndVolts } from "./accuracy-statement.ts";
import type { AccuracyStatement, ShareAndVolts } from "./accuracy-statement.ts";

/**
 * An accuracy that is asked for, and where. With `at` it is asked at those true voltages, with
 * `from` and `to` at every one between them, ends included, with neither over the whole measuring
 * interval.
 */
export interface Requirement {
  /** Stable name in records and on pages. */
  readonly id: string;
  /** As a person would write it: "5 % at 34 V". */
  readonly text: string;
  readonly statement: AccuracyStatement;
  /** True voltages, V. */
  readonly at?: readonly Decimal[];
  /** V; stands together with `to`. */
  readonly from?: Decimal;
  /** V, not below `from`. */
  readonly to?: Decimal;
  /** Document and clause that ask for it. */
  readonly source?: string;
}

/** The signed errors of indication that are allowed: lower <= 0 <= upper, V. */
export interface PermittedErrors {
  readonly lower: number;
  readonly upper: number;
}

/** Digits kept of a quotient: far more than a double holds. */
const QUOTIENT_DIGITS = 40;

function solvable(statement: AccuracyStatement): ShareAndVolts {
  const { share, volts } = shareAndVolts(statement);
  if (share.compare(Decimal.one) < 0) return { share, volts };
  throw new OutsideDomainError({
    path: "",
    quantity: "share of indication",
    permitted: "from 0 to less than 1",
    received: share.toString(),
  });
}

function quotient(numerator: Decimal, denominator: Decimal): Decimal {
  return numerator.divide(denominator, QUOTIENT_DIGITS, "down");
}

/**
 * Largest magnitudes of a low and of a high error at a true voltage of zero or above, not above
 * exact.
 */
function magnitudesAt(
  voltage: Decimal,
  { share, volts }: ShareAndVolts,
): { readonly low: Decimal; readonly high: Decimal } {
  const [less, more] = [Decimal.one.subtract(share), Decimal.one.add(share)];
  const sum = share.multiply(voltage).add(volts);
  // A low error larger than the voltage itself makes the indication negative, and its magnitude
  // then grows again with the error: another branch of the same condition.
  const isNegativeReached = volts.compare(voltage) > 0;
  const low = isNegativeReached
    ? quotient(volts.subtract(share.multiply(voltage)), less)
    : quotient(sum, more);
  return { low, high: quotient(sum, less) };
}

function errorsAt(voltage: Decimal, statement: ShareAndVolts): PermittedErrors {
  const { low, high } = magnitudesAt(voltage.absolute(), statement);
  const [below, above] = voltage.sign() < 0 ? [high, low] : [low, high];
  return { lower: below.negate().upperNumber(), upper: above.lowerNumber() };
}

/**
 * The signed errors e that a statement allows at the true voltage V: every e from `lower` to
 * `upper` satisfies |e| <= share * |V + e| + volts, in which the share refers to the indication V +
 * e. For 5 % at 34 V that is -1.62 V to +1.79 V. Both are rounded inward, so that they never allow
 * more than the exact solution. A plain number counts as the very value it holds.
 *
 * Throws OutsideDomainError unless the share is from 0 to less than 1, InvalidInputError for a
 * voltage that is not finite.
 */
export function permittedErrors(
  statement: AccuracyStatement,
  trueVoltage: number | Decimal,
): PermittedErrors {
  return errorsAt(exactDecimal(trueVoltage), solvable(statement));
}

/**
 * The signed errors that a statement allows at *every* true voltage of a range, ends included: the
 * tightest of {@link permittedErrors} over it, rounded inward. The tightest need not stand at an
 * end: below a true voltage of `volts` the allowed low error grows again, as the indication turns
 * negative. Throws as {@link permittedErrors}, and OutsideDomainError where `from` exceeds `to`.
 */
export function permittedErrorsOver(
  statement: AccuracyStatement,
  range: { readonly from: number | Decimal; readonly to: number | Decimal },
): PermittedErrors {
  const [from, to] = [exactDecimal(range.from), exactDecimal(range.to)];
  if (from.compare(to) > 0) {
    throw new OutsideDomainError({
      path: "",
      quantity: "lower end of the voltage range",
      permitted: `at most its upper end ${to.toString()} V`,
      received: `${from.toString()} V`,
    });
  }
  const solved = solvable(statement);
  // The low error is tightest at +volts and grows to both sides, the high error at -volts.
  const turns = [solved.volts.negate(), solved.volts];
  const inside = turns.filter((turn) => turn.compare(from) > 0 && turn.compare(to) < 0);
  const errors = [from, to, ...inside].map((voltage) => errorsAt(voltage, solved));
  return {
    lower: Math.max(...errors.map((error) => error.lower)),
    upper: Math.min(...errors.map((error) => error.upper)),
  };
}
