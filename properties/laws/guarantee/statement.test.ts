// Falsified by a proven error of some band outside the statement, by a statement wider than that of
// all bands proven one by one, or by a fixed figure that is not kept.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import { coversBand } from "../../../lib/guarantee/accuracy-check.ts";
import { fitAccuracyStatement } from "../../../lib/guarantee/accuracy-fit.ts";
import { meanVoltage } from "../../../lib/guarantee/accuracy-mean.ts";
import { bandsOf } from "../../../lib/guarantee/bands.ts";
import { enclosingInterval } from "../../../lib/guarantee/domain.ts";
import { ErrorBrackets } from "../../../lib/guarantee/error-brackets.ts";
import { proveStatement } from "../../../lib/guarantee/statement.ts";
import type { StatementOptions } from "../../../lib/guarantee/statement.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import type { Example } from "../../support/example-designs.ts";

const text = Decimal.parse;

/** The statement, and the one from every band bounded by itself, as tightly as a bracket. */
function bothWays(demo: Example, options: StatementOptions) {
  const design = exampleDesign(demo);
  const bands = bandsOf(design, [text("34"), text("60"), text("-34")]);
  const quick = proveStatement(design, bands, new ErrorBrackets(measurementModel(design)), options);
  const brackets = new ErrorBrackets(measurementModel(design));
  const part = { from: quick.from, to: quick.to };
  const single = bands.map((band) => {
    const { high, low } = brackets.bound(enclosingInterval(band));
    return { lower: band.lower, upper: band.upper, high: high.proven, low: low.proven };
  });
  return { quick, single, part };
}

const CASES = [
  ["01-no-adjustment", {}],
  ["04-percent-of-range", { from: text("20"), to: text("100") }],
  ["02-two-point", { from: text("30"), to: text("70") }],
  ["03-good-at-34-volts", { from: text("200"), to: text("260") }],
] as const;

describe.each(CASES)("the accuracy statement of %s", (demo, options) => {
  const { quick, single, part } = bothWays(demo, options);

  test("covers every band as it is proven by itself, and so do the ends of the curve", () => {
    for (const pair of [quick.fit, ...quick.fit.ends])
      for (const band of single) expect(coversBand(pair, band, part)).toBe(true);
  });

  test("is as narrow as the one from all bands one by one, to 1 % of its mean width", () => {
    const slow = fitAccuracyStatement(single, part);
    const at = meanVoltage(part).toNumber();
    const width = ({ share, volts }: typeof slow): number =>
      share.toNumber() * at + volts.toNumber();
    expect(width(quick.fit)).toBeLessThanOrEqual(1.01 * width(slow));
    expect(width(quick.fit)).toBeGreaterThanOrEqual(0.99 * width(slow));
  });

  test("rests on contiguous stretches that reach over the whole part", () => {
    const { stretches } = quick;
    for (const [index, stretch] of stretches.entries()) {
      expect(stretch.bands[0]!.lower).toEqual(stretch.lower);
      expect(stretch.bands.at(-1)!.upper).toEqual(stretch.upper);
      const before = stretches[index - 1];
      if (before === undefined || before.upper.equals(stretch.lower)) continue;
      expect(before.upper.compare(quick.from.negate())).toBeGreaterThanOrEqual(0);
      expect(stretch.lower.compare(quick.from)).toBeLessThanOrEqual(0);
    }
    expect(stretches.at(-1)!.upper.compare(quick.to)).toBeGreaterThanOrEqual(0);
  });
});

describe("a statement with a fixed figure", () => {
  const options = { from: text("30"), to: text("60") };

  test("keeps the share and gives the least volts that go with it", () => {
    const { quick, single, part } = bothWays("01-no-adjustment", {
      ...options,
      fixedShare: text("0.03"),
    });
    expect(quick.fit.share).toEqual(text("0.03"));
    const slow = fitAccuracyStatement(single, { ...part, fixedShare: text("0.03") });
    expect(quick.fit.volts.toNumber()).toBeLessThanOrEqual(1.02 * slow.volts.toNumber());
    expect(single.every((band) => coversBand(quick.fit, band, part))).toBe(true);
  });

  test("refuses volts that are too few, with the volts that would do", () => {
    expect(() =>
      bothWays("01-no-adjustment", {
        ...options,
        fixedVolts: text("0.1"),
        fixedShare: text("0.001"),
      }),
    ).toThrow(/must be at least/);
  });
});
