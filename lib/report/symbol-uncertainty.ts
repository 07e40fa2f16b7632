import type { SymbolRow } from "./budget-document.ts";

/**
 * Standard uncertainty of a quantity from its limits and distribution, in its unit: half the width
 * over the square root of 3, 6 or 2, the half itself for two points, or over the coverage factor.
 *
 * Source: JCGM 100:2008, 4.3.4, 4.3.7, 4.3.9; H.1.3.4 for the arcsine.
 */
export function symbolUncertainty({ lower, upper, distribution }: SymbolRow): number {
  const half = (Number(upper) - Number(lower)) / 2;
  switch (distribution.shape) {
    case "normal":
      return half / distribution.coverageFactor;
    case "rectangular":
      return half / Math.sqrt(3);
    case "triangular":
      return half / Math.sqrt(6);
    case "arcsine":
      return half / Math.SQRT2;
    case "twoPoint":
      return half;
  }
}
