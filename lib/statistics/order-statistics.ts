import { InvalidInputError, invariant } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { incompleteBeta } from "./incomplete-beta.ts";

/** A distribution-free statement: at least `coverage` of all values lie inside, this surely. */
export interface OrderStatisticStatement {
  /** Share of all values that shall lie inside the limits, between 0 and 1. */
  readonly coverage: number;
  /** Probability that the statement is right, between 0 and 1. */
  readonly confidence: number;
  /** One limit or two. */
  readonly sides: 1 | 2;
  /** Which order statistic is the limit: 1 the extreme value, 2 the next one, ... */
  readonly order: number;
}

const LARGEST_SAMPLE = 1_000_000_000;

function checkStatement({ coverage, confidence, order }: OrderStatisticStatement): void {
  const faults: Fault[] = [];
  const share = (path: string, value: number): void => {
    if (value > 0 && value < 1) return;
    faults.push({ path, quantity: path, permitted: "between 0 and 1", received: String(value) });
  };
  share("coverage", coverage);
  share("confidence", confidence);
  if (!(Number.isInteger(order) && order >= 1 && order <= 1_000)) {
    const permitted = "an integer from 1 to 1000";
    faults.push({ path: "order", quantity: "order", permitted, received: String(order) });
  }
  if (faults.length > 0) throw new InvalidInputError("order statistics", faults);
}

/**
 * Probability that the limits taken from `sampleSize` independent values of one distribution
 * contain at least the stated coverage; 0 when there are too few values.
 *
 * Source: Wilks, Annals of Mathematical Statistics 12 (1941) 91 (from memory): the share between
 * two order statistics follows a beta distribution.
 */
export function orderStatisticConfidence(
  statement: OrderStatisticStatement,
  sampleSize: number,
): number {
  checkStatement(statement);
  const { coverage, sides, order } = statement;
  const left = order * sides;
  if (sampleSize < left) return 0;
  return incompleteBeta({
    first: left,
    second: sampleSize - left + 1,
    x: 1 - coverage,
    complement: coverage,
  });
}

/**
 * Smallest number of independent values for which the limits hold with the stated confidence: 59
 * for 95 % of the values with 95 % confidence and one limit at the largest value.
 *
 * Throws InvalidInputError for shares outside 0 to 1 or an order that is no positive integer.
 */
export function wilksSampleSize(statement: OrderStatisticStatement): number {
  checkStatement(statement);
  const enough = (size: number) =>
    orderStatisticConfidence(statement, size) >= statement.confidence;
  let upper = statement.order * statement.sides;
  while (!enough(upper)) {
    upper *= 2;
    invariant(upper <= LARGEST_SAMPLE, "a sample of a billion values suffices");
  }
  let lower = Math.floor(upper / 2);
  while (upper - lower > 1) {
    const middle = Math.floor((lower + upper) / 2);
    if (enough(middle)) upper = middle;
    else lower = middle;
  }
  return enough(lower) && lower >= 1 ? lower : upper;
}
