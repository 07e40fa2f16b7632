/** A contribution to a combined standard uncertainty, in the unit of the result. */
export interface UncertaintyContribution {
  readonly standardUncertainty: number;
  /** Infinity where the standard uncertainty is known exactly. */
  readonly degreesOfFreedom: number;
}

/**
 * Effective degrees of freedom of a combined standard uncertainty (Welch-Satterthwaite), not
 * truncated; Infinity when no contribution has finite degrees of freedom. `combined` is the
 * unrounded combined standard uncertainty. Holds for independent contributions.
 *
 * Source: JCGM 100:2008, G.4.1, equation (G.2b).
 */
export function effectiveDegreesOfFreedom(
  combined: number,
  contributions: readonly UncertaintyContribution[],
): number {
  let sum = 0;
  for (const { standardUncertainty, degreesOfFreedom } of contributions) {
    if (degreesOfFreedom === Infinity || combined === 0) continue;
    const ratio = standardUncertainty / combined;
    sum += ratio ** 4 / degreesOfFreedom;
  }
  return sum === 0 ? Infinity : 1 / sum;
}
