/**
 * Numerical tolerance of a standard uncertainty that is meaningful to the stated number of
 * significant digits: half a unit in the last of them. With u = c 10^l and c an integer of that
 * many digits, 10^l / 2; 0 for u = 0.
 *
 * Source: JCGM 101:2008, 7.9.2.
 */
export function numericalTolerance(standardUncertainty: number, significantDigits: 1 | 2): number {
  if (standardUncertainty === 0) return 0;
  const exponent = Number(standardUncertainty.toExponential(significantDigits - 1).split("e")[1]);
  return Number(`5e${exponent - significantDigits}`);
}
