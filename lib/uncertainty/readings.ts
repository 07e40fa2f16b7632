import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { countOfDouble, nearestDouble } from "../statistics/exact-sum.ts";
import { Moments } from "../statistics/moments.ts";

/** What repeated readings say of a quantity. */
export interface ReadingsEvaluation {
  readonly count: number;
  readonly mean: number;
  /** Experimental standard deviation of one reading. */
  readonly standardDeviation: number;
  /** Experimental standard deviation of the mean. */
  readonly standardUncertainty: number;
  readonly degreesOfFreedom: number;
}

/** Faults of a series of readings. */
export function readingFaults(readings: readonly number[], path: string): Fault[] {
  const faults: Fault[] = [];
  if (readings.length < 2) {
    const received = String(readings.length);
    faults.push({ path, quantity: "number of readings", permitted: "at least 2", received });
  }
  readings.forEach((reading, index) => {
    if (Number.isFinite(reading)) return;
    const permitted = "a finite number";
    const place = `${path}[${index}]`;
    faults.push({ path: place, quantity: "reading", permitted, received: String(reading) });
  });
  return faults;
}

/**
 * Type A evaluation of independent readings taken under the same conditions. Throws
 * InvalidInputError for fewer than two readings or one that is not finite.
 *
 * Source: JCGM 100:2008, 4.2.1 to 4.2.6.
 */
export function evaluateReadings(readings: readonly number[]): ReadingsEvaluation {
  const faults = readingFaults(readings, "readings");
  if (faults.length > 0) throw new InvalidInputError("readings", faults);
  const moments = Moments.of(readings);
  const standardDeviation = moments.standardDeviation();
  return {
    count: readings.length,
    mean: moments.mean(),
    standardDeviation,
    standardUncertainty: Math.sqrt(moments.variance() / readings.length),
    degreesOfFreedom: readings.length - 1,
  };
}

/** Sum of products of deviations times n, exact, as a count of 2^-2148. */
function productSum(one: readonly number[], other: readonly number[]): bigint {
  let [sum, first, second] = [0n, 0n, 0n];
  one.forEach((value, index) => {
    const [a, b] = [countOfDouble(value), countOfDouble(other[index]!)];
    sum += a * b;
    first += a;
    second += b;
  });
  return BigInt(one.length) * sum - first * second;
}

/**
 * Correlation matrix of the means of quantities that were read together: reading k of every
 * series belongs to the same occasion. A series without any spread is uncorrelated with the rest.
 *
 * Throws InvalidInputError for series of different lengths or with fewer than two readings.
 *
 * Source: JCGM 100:2008, 5.2.3 and equation (17).
 */
export function correlationOfReadings(series: readonly (readonly number[])[]): number[][] {
  const faults = series.flatMap((readings, index) => readingFaults(readings, `series[${index}]`));
  const length = series[0]?.length ?? 0;
  series.forEach((readings, index) => {
    if (readings.length === length) return;
    const permitted = `as many as in the first series, ${length}`;
    const received = String(readings.length);
    faults.push({ path: `series[${index}]`, quantity: "number of readings", permitted, received });
  });
  if (faults.length > 0) throw new InvalidInputError("readings", faults);
  const sums = series.map((one) => series.map((other) => productSum(one, other)));
  return series.map((_, row) =>
    series.map((__, column) => {
      if (row === column) return 1;
      const top = sums[row]![column]!;
      const square = sums[row]![row]! * sums[column]![column]!;
      if (square === 0n || top === 0n) return 0;
      const size = Math.sqrt(nearestDouble(top * top, square));
      return Math.min(1, size) * (top < 0n ? -1 : 1);
    }),
  );
}
