// Falsified by: a witness of narrower limits beyond the proven bound of wider ones, an ideal chain
// that errs by more than its steps, a polarity that is worse than the other by more than a code,
// or a converter with more bits and otherwise the same errors in volts that is worse.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import type { Design, Range } from "../../../lib/design/design.ts";
import { quantitiesOf } from "../../../lib/design/quantities.ts";
import { scalingConstants } from "../../../lib/design/scaling-constants.ts";
import type { Bracket } from "../../../lib/guarantee/bracket.ts";
import { ErrorBrackets } from "../../../lib/guarantee/error-brackets.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { EXAMPLES, exampleDesign } from "../../support/example-designs.ts";
import type { Example } from "../../support/example-designs.ts";
import { narrowedDesign } from "../../support/narrowed-design.ts";
import { SeededRandom } from "../../support/seeded-random.ts";

/** A band of the width that rows have, around a voltage. */
function bandAt(design: Design, voltage: number): { lower: number; upper: number } {
  const half = Math.max(0.11, 0.5 / scalingConstants(design).codesPerVolt.toNumber());
  return { lower: voltage - half, upper: voltage + half };
}

/** Every drawn share of width is one of these; 1 leaves the limit as it is. */
const SHARES = ["0", "0.3", "0.75", "1"].map((text) => Decimal.parse(text));

describe.each(EXAMPLES)("limits inside those of %s", (example) => {
  test("have witnesses that the proven bound of the wider limits holds", () => {
    const random = new SeededRandom(example.length);
    const wide = exampleDesign(example);
    const wideBrackets = new ErrorBrackets(measurementModel(wide));
    const bounds = new Map<number, Bracket>();
    for (const voltage of [-126, 34, 400])
      bounds.set(voltage, wideBrackets.bracket(bandAt(wide, voltage)));
    let strictlyInside = 0;
    for (let count = 0; count < 6; count += 1) {
      const drawn = new Map<string, Decimal>();
      const narrow = narrowedDesign(wide, (path) => {
        const share = drawn.get(path) ?? SHARES[random.below(SHARES.length)]!;
        drawn.set(path, share);
        return share;
      });
      // Narrower indeed, quantity by quantity.
      const limits = new Map(quantitiesOf(wide).map((quantity) => [quantity.name, quantity]));
      for (const { name, lower, upper } of quantitiesOf(narrow)) {
        const outer = limits.get(name)!;
        expect(lower.compare(outer.lower)).toBeGreaterThanOrEqual(0);
        expect(upper.compare(outer.upper)).toBeLessThanOrEqual(0);
        if (!lower.equals(outer.lower)) strictlyInside += 1;
      }
      const brackets = new ErrorBrackets(measurementModel(narrow));
      for (const [voltage, wider] of bounds) {
        const narrower = brackets.bracket(bandAt(wide, voltage));
        expect(narrower.high.witnessed).toBeLessThanOrEqual(wider.high.proven);
        expect(narrower.low.witnessed).toBeGreaterThanOrEqual(wider.low.proven);
        // Not a theorem of the search, but of the sets: the bracket shrinks within its gap.
        expect(narrower.high.proven).toBeLessThanOrEqual(wider.high.proven * 1.005 + 1e-6);
        expect(narrower.low.proven).toBeGreaterThanOrEqual(wider.low.proven * 1.005 - 1e-6);
      }
    }
    expect(strictlyInside).toBeGreaterThan(60);
  });
});

/** The one temperature of all parts of an ideal chain, degrees Celsius. */
const ROOM: Range = { lower: Decimal.ofInteger(25), upper: Decimal.ofInteger(25) };

/** Every limit zero, and no part that has none: what is left is rounding. */
function ideal(example: Example): Design {
  const {
    timing: _,
    filter: __,
    board: ___,
    ...design
  } = narrowedDesign(exampleDesign(example), () => Decimal.zero);
  const { adjustment, conditions } = design;
  return {
    ...design,
    conditions: { ...conditions, ambientCelsius: ROOM },
    adjustment: adjustment.kind === "none" ? adjustment : { ...adjustment, ambientCelsius: ROOM },
  };
}

/**
 * Largest error by steps alone, V: rounding of the code in use and, by its weight, of each
 * adjustment reading; stored constants; result; display.
 */
function stepsAt(design: Design, voltage: number): number {
  const { adc, adjustment, scaling } = design;
  const code = 1 / scalingConstants(design).codesPerVolt.toNumber();
  const resultUnit = scaling.resultUnit.toNumber();
  const weights =
    adjustment.kind !== "twoPoint"
      ? 1
      : ((): number => {
          const [low, high] = [adjustment.low, adjustment.high].map((point) =>
            point.voltage.toNumber(),
          ) as [number, number];
          const share = (voltage - low) / (high - low);
          return 1 + Math.abs(share) + Math.abs(1 - share);
        })();
  const stored = (resultUnit * (2 ** adc.bits + 1)) / 2 / 2 ** scaling.fractionBits;
  const result = scaling.rounding === "nearest" ? resultUnit / 2 : resultUnit;
  const display = (scaling.displayResolution?.toNumber() ?? 0) / 2;
  return (weights * code) / 2 + stored + result + display;
}

describe.each(EXAMPLES)("an ideal chain with the steps of %s", (example) => {
  test.each([-400, -34, 0.3, 34, 126, 400])("errs at %d V by its steps and no more", (voltage) => {
    const design = ideal(example);
    const width = quantitiesOf(design).map(({ lower, upper }) => upper.subtract(lower).toNumber());
    expect(Math.max(...width)).toBe(0);
    const band = bandAt(design, voltage);
    const bracket = new ErrorBrackets(measurementModel(design)).bracket(band);
    const farthest = Math.abs(voltage) + (band.upper - band.lower) / 2;
    const steps = stepsAt(design, Math.sign(voltage) * farthest);
    for (const { proven, witnessed } of [bracket.high, bracket.low]) {
      expect(Math.abs(proven)).toBeLessThanOrEqual(steps * 1.002);
      expect(Math.abs(witnessed)).toBeLessThanOrEqual(Math.abs(proven));
    }
    // A quantiser does err: at least a quarter of its steps from end to end. After an adjustment
    // whose codes nothing can move, a witness need not come near.
    if (design.adjustment.kind !== "none") return;
    expect(bracket.high.witnessed - bracket.low.witnessed).toBeGreaterThan(steps / 4);
  });
});

describe.each(EXAMPLES)("the two polarities of %s", (example) => {
  test("mirror each other within one code, but for a gain error that counts from code 0", () => {
    // The gain error of a unipolar converter is nothing at code 0, the lower end of the range, and
    // largest at the upper end: without adjustment it is worth 1.5 codes there.
    const design = exampleDesign(example, ({ adc }) => {
      if (adc.gainError !== undefined) adc.gainError = 0;
    });
    const brackets = new ErrorBrackets(measurementModel(design));
    const code = 1 / scalingConstants(design).codesPerVolt.toNumber();
    const display = design.scaling.displayResolution?.toNumber() ?? 0;
    for (const voltage of [12, 34, 126, 431]) {
      const { lower, upper } = bandAt(design, voltage);
      const positive = brackets.bracket({ lower, upper });
      const negative = brackets.bracket({ lower: -upper, upper: -lower });
      const room = code + design.scaling.resultUnit.toNumber() + display;
      expect(Math.abs(positive.high.proven + negative.low.proven)).toBeLessThan(room);
      expect(Math.abs(positive.low.proven + negative.high.proven)).toBeLessThan(room);
    }
  });
});

/** More bits, every error of the converter the same in volts and constants stored as finely. */
function withBits(example: Example, bits: number): Design {
  const design = exampleDesign(example);
  const more = bits - design.adc.bits;
  const scale =
    more >= 0
      ? Decimal.ofInteger(2 ** more)
      : Decimal.one.divide(Decimal.ofInteger(2 ** -more), 20, "down");
  const scaled = <T extends { readonly lower: Decimal; readonly upper: Decimal }>(
    limits: T,
  ): T => ({
    ...limits,
    lower: limits.lower.multiply(scale),
    upper: limits.upper.multiply(scale),
  });
  const { adc } = design;
  return {
    ...design,
    scaling: { ...design.scaling, fractionBits: 20, intermediateBits: 64 },
    adc: {
      ...adc,
      bits,
      ...(adc.offset === undefined ? {} : { offset: scaled(adc.offset) }),
      ...(adc.integralNonlinearity === undefined
        ? {}
        : { integralNonlinearity: scaled(adc.integralNonlinearity) }),
      ...(adc.totalUnadjustedError === undefined
        ? {}
        : { totalUnadjustedError: scaled(adc.totalUnadjustedError) }),
      ...(adc.noise === undefined ? {} : { noise: adc.noise.multiply(scale) }),
    },
  };
}

describe.each(EXAMPLES)("more bits in %s, all other errors held in volts", (example) => {
  test("never make the proven figure worse beyond the stated gap and one step of the result", () => {
    // Each code has its own rounding of the result and of the display: other codes, other luck.
    const { resultUnit, displayResolution } = exampleDesign(example).scaling;
    const step = resultUnit.toNumber() + (displayResolution?.toNumber() ?? 0);
    const lists = [8, 9, 10, 12].map((bits) => {
      const brackets = new ErrorBrackets(measurementModel(withBits(example, bits)));
      // One band for all, as wide as a code of the coarsest.
      return [-60, 34, 300].map((voltage) =>
        brackets.bracket({ lower: voltage - 1.9, upper: voltage + 1.9 }),
      );
    });
    for (const [index, brackets] of lists.entries()) {
      for (const [at, finer] of (lists[index + 1] ?? []).entries()) {
        const coarser = brackets[at]!;
        expect(finer.high.proven).toBeLessThanOrEqual(coarser.high.proven * 1.005 + step);
        expect(finer.low.proven).toBeGreaterThanOrEqual(coarser.low.proven * 1.005 - step);
      }
    }
    // Bits do matter: twelve are better than eight.
    for (const [at, coarse] of lists[0]!.entries())
      expect(lists[3]![at]!.high.proven).toBeLessThan(coarse.high.proven);
  });
});

describe("a chain whose gain alone is adjusted", () => {
  test("is bracketed at 0 V, where its adjustment helps least, and at 34 V", () => {
    const design = exampleDesign("02-two-point", (document) => {
      document.adjustment = {
        kind: "gain",
        at: { voltage: "300 V", appliedError: "60 mV" },
        ambient: ["21 degC", "25 degC"],
        averagedReadings: 16,
      };
    });
    const brackets = new ErrorBrackets(measurementModel(design));
    for (const voltage of [0, 34]) {
      const { high, low } = brackets.bracket(bandAt(design, voltage));
      expect([high.stopped, low.stopped]).toEqual(["gap", "gap"]);
      expect(high.witnessed).toBeGreaterThan(high.proven * 0.995);
      expect(low.witnessed).toBeLessThan(low.proven * 0.995);
    }
  });
});
