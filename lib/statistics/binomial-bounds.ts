import { InvalidInputError, invariant } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { incompleteBeta } from "./incomplete-beta.ts";

/** What was seen: `successes` of `trials` independent trials. */
export interface BinomialCount {
  readonly successes: number;
  readonly trials: number;
}

const MOST_STEPS = 2_000;

/** Solves I_x(first, second) = target for x by bisection on the doubles. */
function betaQuantile(target: number, first: number, second: number): number {
  let lower = 0;
  let upper = 1;
  for (let step = 0; step < MOST_STEPS; step += 1) {
    // Halving the exponent first reaches the smallest probabilities in few steps.
    const middle =
      upper > 4 * lower && upper < 0.01
        ? Math.sqrt(Math.max(lower, 1e-300) * upper)
        : (lower + upper) / 2;
    if (middle <= lower || middle >= upper) return middle;
    const reached = incompleteBeta({ first, second, x: middle, complement: 1 - middle });
    if (reached < target) lower = middle;
    else upper = middle;
  }
  invariant(false, `the beta quantile (${first}, ${second}) at ${target} converges`);
}

function checkCount({ successes, trials }: BinomialCount, confidence: number): void {
  const faults: Fault[] = [];
  if (!(Number.isInteger(trials) && trials >= 1 && trials <= 1e9)) {
    const permitted = "an integer from 1 to 1000000000";
    const received = String(trials);
    faults.push({ path: "trials", quantity: "number of trials", permitted, received });
  }
  if (!(Number.isInteger(successes) && successes >= 0 && successes <= trials)) {
    const permitted = "an integer from 0 to the number of trials";
    const received = String(successes);
    faults.push({ path: "successes", quantity: "number of successes", permitted, received });
  }
  if (!(confidence > 0 && confidence < 1)) {
    const permitted = "between 0 and 1";
    const received = String(confidence);
    faults.push({ path: "confidence", quantity: "confidence level", permitted, received });
  }
  if (faults.length > 0) throw new InvalidInputError("binomial count", faults);
}

/** Largest probability that the count does not contradict, one-sided. */
export function binomialUpperBound(count: BinomialCount, confidence: number): number {
  checkCount(count, confidence);
  const { successes, trials } = count;
  if (successes === trials) return 1;
  if (successes === 0) return -Math.expm1(Math.log(1 - confidence) / trials);
  return betaQuantile(confidence, successes + 1, trials - successes);
}

/** Smallest probability that the count does not contradict, one-sided. */
export function binomialLowerBound(count: BinomialCount, confidence: number): number {
  checkCount(count, confidence);
  const { successes, trials } = count;
  if (successes === 0) return 0;
  if (successes === trials) return Math.exp(Math.log(1 - confidence) / trials);
  return betaQuantile(1 - confidence, successes, trials - successes + 1);
}

/**
 * Exact two-sided bounds of a probability from a count: the true value lies outside in at most the
 * share 1 - confidence of all cases, each side half of it.
 *
 * Source: Clopper and Pearson, Biometrika 26 (1934) 404 (from memory).
 */
export function binomialBounds(
  count: BinomialCount,
  confidence: number,
): { readonly lower: number; readonly upper: number } {
  const oneSided = (1 + confidence) / 2;
  return {
    lower: binomialLowerBound(count, oneSided),
    upper: binomialUpperBound(count, oneSided),
  };
}
