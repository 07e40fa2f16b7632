import { InvariantBrokenError } from "../errors.ts";

/** An interval that contains a stated share of the values of a result. */
export interface CoverageInterval {
  readonly lower: number;
  readonly upper: number;
}

/** Number of steps between the order statistics that bound a coverage interval. */
function stepsFor(size: number, coverage: number): number {
  const product = coverage * size;
  const steps = Number.isInteger(product) ? product : Math.floor(product + 0.5);
  if (!(steps >= 1 && steps < size))
    throw new InvariantBrokenError(`${size} values hold no interval of coverage ${coverage}`);
  return steps;
}

/**
 * Probabilistically symmetric coverage interval from values in ascending order: as many values
 * beyond one end as beyond the other.
 *
 * Source: JCGM 101:2008, 7.7.2.
 */
export function symmetricInterval(sorted: ArrayLike<number>, coverage: number): CoverageInterval {
  const size = sorted.length;
  const steps = stepsFor(size, coverage);
  // JCGM 101 counts from 1 and takes the (M - q)/2-th value, or the nearest integer to it.
  const half = (size - steps) / 2;
  const rank = Math.max(1, Number.isInteger(half) ? half : Math.floor((size - steps + 1) / 2));
  return { lower: sorted[rank - 1]!, upper: sorted[rank - 1 + steps]! };
}

/**
 * Shortest coverage interval from values in ascending order; of several equally short ones the
 * one in the middle of them, so that a quantised result has no preference for low values.
 *
 * Source: JCGM 101:2008, 5.3.4 and 7.7.2.
 */
export function shortestInterval(sorted: ArrayLike<number>, coverage: number): CoverageInterval {
  const steps = stepsFor(sorted.length, coverage);
  let least = Infinity;
  let first = 0;
  let last = 0;
  for (let rank = 0; rank + steps < sorted.length; rank += 1) {
    const width = sorted[rank + steps]! - sorted[rank]!;
    if (width < least) {
      least = width;
      first = rank;
    }
    if (width === least) last = rank;
  }
  const middle = Math.floor((first + last) / 2);
  const isShortest = least >= sorted[middle + steps]! - sorted[middle]!;
  const rank = isShortest ? middle : first;
  return { lower: sorted[rank]!, upper: sorted[rank + steps]! };
}
