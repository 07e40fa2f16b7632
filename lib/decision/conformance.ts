import { normalProbability } from "../statistics/normal-probability.ts";
import { stateFaults, throwFaults, toleranceFaults } from "./tolerance.ts";
import type { NormalState, Tolerance } from "./tolerance.ts";

/**
 * Probability that a normal quantity lies outside limits, below and above; exact in the tails,
 * where one minus the probability inside would have lost its digits.
 */
export function outsideProbabilities(
  { estimate, standardUncertainty }: NormalState,
  { lower, upper }: Tolerance,
): { readonly below: number; readonly above: number } {
  const at = (limit: number): number => (limit - estimate) / standardUncertainty;
  return {
    below: lower === undefined ? 0 : normalProbability(at(lower)),
    above: upper === undefined ? 0 : normalProbability(-at(upper)),
  };
}

/** Probability that a normal quantity lies inside limits, exact where it is small. */
export function insideProbability(
  { estimate, standardUncertainty }: NormalState,
  { lower, upper }: Tolerance,
): number {
  const low = lower === undefined ? -Infinity : (lower - estimate) / standardUncertainty;
  const high = upper === undefined ? Infinity : (upper - estimate) / standardUncertainty;
  // Both differences are taken in the tail that holds the limits, where digits are left.
  return low > 0
    ? normalProbability(-low) - normalProbability(-high)
    : normalProbability(high) - normalProbability(low);
}

/**
 * Probability that a property conforms to its limits, given one measured value of it with normal
 * uncertainty and no other knowledge. Throws InvalidInputError for limits that are none and for an
 * uncertainty that is not above zero.
 *
 * Source: JCGM 106:2012, 7.3 (one limit) and 7.4 (two limits).
 */
export function conformanceProbability(measured: NormalState, tolerance: Tolerance): number {
  throwFaults("conformance probability", [
    ...stateFaults(measured, "measured"),
    ...toleranceFaults(tolerance, "tolerance"),
  ]);
  return insideProbability(measured, tolerance);
}

/**
 * Specific consumer's risk of accepting this one item: the probability that the property lies
 * outside its limits although this value was measured. Throws as {@link conformanceProbability}.
 *
 * Source: JCGM 106:2012, 9.3.2.
 */
export function specificRisk(measured: NormalState, tolerance: Tolerance): number {
  throwFaults("specific risk", [
    ...stateFaults(measured, "measured"),
    ...toleranceFaults(tolerance, "tolerance"),
  ]);
  const { below, above } = outsideProbabilities(measured, tolerance);
  return below + above;
}

/**
 * Measurement capability index: width of the tolerance over four standard uncertainties. With an
 * expanded uncertainty of two it is the test uncertainty ratio.
 *
 * Source: JCGM 106:2012, 7.6 (from memory).
 */
export function capabilityIndex(
  tolerance: { readonly lower: number; readonly upper: number },
  standardUncertainty: number,
): number {
  throwFaults("capability index", [
    ...stateFaults({ estimate: 0, standardUncertainty }, "standardUncertainty"),
    ...toleranceFaults(tolerance, "tolerance"),
  ]);
  return (tolerance.upper - tolerance.lower) / (4 * standardUncertainty);
}
