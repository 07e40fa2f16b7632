// Falsified by: a coverage factor of JCGM 100:2008 table G.2 or G.1 that our quantile rounds
// otherwise. Spot values (1, 68.27), (1, 95), (1, 99.73), (2, 99.73), (5, 99.73), (10, 90),
// (11, 99), (20, 90), (20, 95), (infinite, 95.45) and (infinite, 99.73) are confirmed in published
// tables; the rest is computed (quantiles of Student t to two decimals).
import { describe, expect, test } from "vitest";
import { normalProbability } from "../../lib/statistics/normal-probability.ts";
import { studentQuantile } from "../../lib/statistics/student-quantile.ts";

/**
 * The fractions printed as 68.27, 95.45 and 99.73 % are those within 1, 2 and 3 standard
 * deviations of a normal distribution; the 235.80 of one degree of freedom shows it.
 */
const within = (deviations: number) => 1 - 2 * normalProbability(-deviations);
const COLUMNS = [within(1), 0.9, 0.95, within(2), 0.99, within(3)];

const ROWS: readonly (readonly [nu: number, decimals: number, factors: readonly number[]])[] = [
  [1, 2, [1.84, 6.31, 12.71, 13.97, 63.66, 235.8]],
  [2, 2, [1.32, 2.92, 4.3, 4.53, 9.92, 19.21]],
  [3, 2, [1.2, 2.35, 3.18, 3.31, 5.84, 9.22]],
  [4, 2, [1.14, 2.13, 2.78, 2.87, 4.6, 6.62]],
  [5, 2, [1.11, 2.02, 2.57, 2.65, 4.03, 5.51]],
  [6, 2, [1.09, 1.94, 2.45, 2.52, 3.71, 4.9]],
  [7, 2, [1.08, 1.89, 2.36, 2.43, 3.5, 4.53]],
  [8, 2, [1.07, 1.86, 2.31, 2.37, 3.36, 4.28]],
  [9, 2, [1.06, 1.83, 2.26, 2.32, 3.25, 4.09]],
  [10, 2, [1.05, 1.81, 2.23, 2.28, 3.17, 3.96]],
  [11, 2, [1.05, 1.8, 2.2, 2.25, 3.11, 3.85]],
  [12, 2, [1.04, 1.78, 2.18, 2.23, 3.05, 3.76]],
  [13, 2, [1.04, 1.77, 2.16, 2.21, 3.01, 3.69]],
  [14, 2, [1.04, 1.76, 2.14, 2.2, 2.98, 3.64]],
  [15, 2, [1.03, 1.75, 2.13, 2.18, 2.95, 3.59]],
  [16, 2, [1.03, 1.75, 2.12, 2.17, 2.92, 3.54]],
  [17, 2, [1.03, 1.74, 2.11, 2.16, 2.9, 3.51]],
  [18, 2, [1.03, 1.73, 2.1, 2.15, 2.88, 3.48]],
  [19, 2, [1.03, 1.73, 2.09, 2.14, 2.86, 3.45]],
  [20, 2, [1.03, 1.72, 2.09, 2.13, 2.85, 3.42]],
  [25, 2, [1.02, 1.71, 2.06, 2.11, 2.79, 3.33]],
  [30, 2, [1.02, 1.7, 2.04, 2.09, 2.75, 3.27]],
  [40, 2, [1.01, 1.68, 2.02, 2.06, 2.7, 3.2]],
  [50, 2, [1.01, 1.68, 2.01, 2.05, 2.68, 3.16]],
  [100, 3, [1.005, 1.66, 1.984, 2.025, 2.626, 3.077]],
  [Infinity, 3, [1, 1.645, 1.96, 2, 2.576, 3]],
];

describe("JCGM 100:2008, table G.2", () => {
  test.each(ROWS)("%s degrees of freedom", (nu, decimals, factors) => {
    factors.forEach((factor, index) => {
      const coverage = COLUMNS[index] ?? Number.NaN;
      const computed = studentQuantile((1 + coverage) / 2, nu);
      expect(Math.abs(computed - factor)).toBeLessThanOrEqual(0.5 * 10 ** -decimals + 1e-9);
    });
  });
});
