import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { logGamma } from "./incomplete-beta.ts";
import { normalProbability } from "./normal-probability.ts";
import { normalQuantile } from "./normal-quantile.ts";

/** What a tolerance interval of normally distributed values shall say. */
export interface ToleranceStatement {
  /** Number of values that mean and standard deviation come from, 2 to 10 000. */
  readonly count: number;
  /** Share of all values that shall lie inside, 0.5 to 0.9999. */
  readonly coverage: number;
  /** Probability that at least this share does, 0.5 to 0.9999. */
  readonly confidence: number;
}

/** Points of Simpson's rule; the integrand is smooth. */
const STEPS = 4_096;
/** Half the width of the range of integration, standard deviations of chi (at most 1). */
const REACH = 10;

function check({ count, coverage, confidence }: ToleranceStatement): void {
  const faults: Fault[] = [];
  const note = (path: string, quantity: string, value: number, permitted: string): void => {
    faults.push({ path, quantity, permitted, received: String(value) });
  };
  if (!(Number.isInteger(count) && count >= 2 && count <= 10_000))
    note("count", "number of values", count, "an integer from 2 to 10000");
  const range = "0.5 to 0.9999";
  if (!(coverage >= 0.5 && coverage <= 0.9999)) note("coverage", "coverage", coverage, range);
  if (!(confidence >= 0.5 && confidence <= 0.9999))
    note("confidence", "confidence", confidence, range);
  if (faults.length > 0) throw new InvalidInputError("tolerance statement", faults);
}

/** Expectation of a function of chi with that many degrees of freedom, up to a limit. */
function chiExpectation(
  degrees: number,
  value: (chi: number) => number,
  limit = Number.POSITIVE_INFINITY,
): number {
  const middle = Math.sqrt(degrees);
  const lower = Math.max(0, middle - REACH);
  const upper = Math.min(limit, middle + REACH);
  if (upper <= lower) return 0;
  const logScale = (degrees / 2 - 1) * Math.LN2 + logGamma(degrees / 2);
  const step = (upper - lower) / STEPS;
  let sum = 0;
  for (let index = 0; index <= STEPS; index += 1) {
    const chi = lower + index * step;
    const power = degrees === 1 ? 0 : (degrees - 1) * Math.log(chi);
    const weight = index === 0 || index === STEPS ? 1 : index % 2 === 1 ? 4 : 2;
    sum += weight * Math.exp(power - (chi * chi) / 2 - logScale) * value(chi);
  }
  return (sum * step) / 3;
}

/** The argument at which a rising function reaches a value. */
function solved(rising: (x: number) => number, wanted: number, upper: number): number {
  let [low, high] = [0, upper];
  while (rising(high) < wanted) high *= 2;
  for (let halving = 0; halving < 60; halving += 1) {
    const middle = (low + high) / 2;
    if (rising(middle) < wanted) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * Factor k so that with the confidence stated at least the share stated of a normal population
 * lies below mean + k s (or above mean - k s), from the mean and the standard deviation s of
 * `count` values; exact, by the non-central t distribution.
 *
 * Throws {@link InvalidInputError} with every fault.
 *
 * Source: NIST/SEMATECH e-Handbook, 7.2.6.3 (from memory).
 */
export function oneSidedToleranceFactor(statement: ToleranceStatement): number {
  check(statement);
  const { count, coverage, confidence } = statement;
  const degrees = count - 1;
  const shift = normalQuantile(coverage) * Math.sqrt(count);
  // P(Z + shift <= k sqrt(n) chi / sqrt(nu)), Z and chi independent.
  const reached = (k: number): number =>
    chiExpectation(degrees, (chi) =>
      normalProbability(k * Math.sqrt(count / degrees) * chi - shift),
    );
  return solved(reached, confidence, 4);
}

/**
 * Factor k so that with about the confidence stated at least the share stated of a normal
 * population lies in mean +/- k s; the approximation of Howe, which falls short of the exact
 * factor by some tenths of a percent for ten values and less for more.
 *
 * Throws {@link InvalidInputError} with every fault.
 *
 * Source: NIST/SEMATECH e-Handbook, 7.2.6.3 (from memory).
 */
export function twoSidedToleranceFactor(statement: ToleranceStatement): number {
  check(statement);
  const { count, coverage, confidence } = statement;
  const degrees = count - 1;
  const below = (limit: number): number => chiExpectation(degrees, () => 1, limit);
  const chi = solved(below, 1 - confidence, Math.sqrt(degrees));
  return (normalQuantile((1 + coverage) / 2) * Math.sqrt(degrees * (1 + 1 / count))) / chi;
}
