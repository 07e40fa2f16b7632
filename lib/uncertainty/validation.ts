import type { CoverageInterval } from "../statistics/coverage-interval.ts";
import type { MonteCarloResult } from "./monte-carlo.ts";
import type { PropagatedUncertainty } from "./propagation.ts";

/** Comparison of the law of propagation with the Monte Carlo. */
export interface Validation {
  /** |estimate - expanded uncertainty - lower end of the Monte Carlo interval|. */
  readonly lowerDifference: number;
  /** |estimate + expanded uncertainty - upper end of the Monte Carlo interval|. */
  readonly upperDifference: number;
  /** Both differences have to come down to this. */
  readonly numericalTolerance: number;
  readonly isValid: boolean;
  /** The finding in plain words. */
  readonly sentence: string;
}

const short = (value: number): string => String(Number(value.toPrecision(3)));

/**
 * Validates a coverage interval by the law of propagation against the Monte Carlo interval.
 *
 * Source: JCGM 101:2008, 8.1.
 */
export function validate(
  propagated: PropagatedUncertainty,
  monteCarlo: MonteCarloResult,
  interval: CoverageInterval,
): Validation {
  const { lower, upper } = propagated.coverageInterval;
  const lowerDifference = Math.abs(lower - interval.lower);
  const upperDifference = Math.abs(upper - interval.upper);
  const { numericalTolerance } = monteCarlo;
  const isValid = lowerDifference <= numericalTolerance && upperDifference <= numericalTolerance;
  const differences =
    `its ends differ from the Monte Carlo interval by ${short(lowerDifference)} below and ` +
    `${short(upperDifference)} above`;
  const steadiness = monteCarlo.isStable
    ? ""
    : " The Monte Carlo figures were not stable to that tolerance within the trials allowed.";
  const sentence = isValid
    ? `The law of propagation holds here: ${differences}, within ${short(numericalTolerance)}.`
    : `The law of propagation does not hold here: ${differences}, more than ` +
      `${short(numericalTolerance)}; use the Monte Carlo interval.`;
  return {
    lowerDifference,
    upperDifference,
    numericalTolerance,
    isValid,
    sentence: sentence + steadiness,
  };
}
