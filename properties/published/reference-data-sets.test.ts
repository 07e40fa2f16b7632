// Falsified by: a mean or standard deviation that differs from the certified value of the NIST
// Statistical Reference Datasets (univariate; public domain) by more than a unit in the 15th digit.
// Data of the NumAcc sets by their generators (from memory), of Michelso from memory: that all digits
// of the certified figures come out shows the data right. Lottery, Lew and Mavro are not written
// down here, nor is PiDigits: the first 5000 digits of pi, calculated, have the mean 4.5358 and not
// the certified 4.5348, so that the set cannot be generated.
import { describe, expect, test } from "vitest";
import { Decimal } from "../../lib/quantity/decimal.ts";
import { Moments } from "../../lib/statistics/moments.ts";

/** First value, then the two alternating, as decimals so that each is the nearest double. */
function alternating(whole: string, pairs: number): number[] {
  const at = (tenth: string) => Decimal.parse(`${whole}.${tenth}`).toNumber();
  return [at("2"), ...Array.from({ length: pairs }, () => [at("1"), at("3")]).flat()];
}

/** Speed of light, 1879: 100 values in units of 10 km/s above 299 000 km/s; the set gives thousands of km/s. */
const MICHELSON = `
 85 74 90 107 93 85 95 98 98 88 100 98 93 65 76 81 100 100 96 96
 96 94 96 94 88 80 85 88 90 84 83 79 81 88 88 83 80 79 76 80
 88 88 88 86 72 72 62 86 97 95 88 91 85 87 84 84 85 84 84 84
 89 81 81 82 80 77 76 74 75 76 91 92 89 86 88 72 84 85 85 78
 89 84 78 81 76 81 79 81 82 85 87 87 81 74 81 94 95 80 81 87`;

const michelso = MICHELSON.trim()
  .split(/\s+/)
  .map((text) => (29_900 + Number(text)) / 100);

describe("NIST StRD, univariate", () => {
  test.each<[string, number[], number, number, number]>([
    ["NumAcc1", [10_000_001, 10_000_003, 10_000_002], 3, 10_000_002, 1],
    ["NumAcc2", alternating("1", 500), 1_001, 1.2, 0.1],
    ["NumAcc3", alternating("1000000", 500), 1_001, 1_000_000.2, 0.1],
    ["NumAcc4", alternating("10000000", 500), 1_001, 10_000_000.2, 0.1],
    ["Michelso", michelso, 100, 299.8524, 0.0790105478190518],
  ])("%s", (name, data, count, mean, deviation) => {
    const moments = Moments.of(data);
    expect(moments.count).toBe(count);
    expect(Math.abs(moments.mean() / mean - 1)).toBeLessThan(1e-15);
    // The data themselves are rounded to doubles: near 1e6 and 1e7 that moves the tenths.
    const rounding = name === "NumAcc3" ? 1e-9 : name === "NumAcc4" ? 2e-8 : 2e-14;
    expect(Math.abs(moments.standardDeviation() / deviation - 1)).toBeLessThan(rounding);
  });
});
