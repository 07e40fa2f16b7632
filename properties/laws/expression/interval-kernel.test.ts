// Falsified by an end of a sum, product or quotient that differs from the choice by signs, by work
// arrays of one tape that another writes to, or by a sign of a derivative after an overflow.
import * as fc from "fast-check";
import { expect, test } from "vitest";
import { IntervalEvaluator } from "../../../lib/expression/enclose.ts";
import {
  productLower,
  productUpper,
  quotientLower,
  quotientUpper,
} from "../../../lib/expression/end-arithmetic.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { above, below } from "../../../lib/interval/rounding.ts";

const SYMBOLS = ["x", "y"];

function evaluatorOf(...infix: readonly string[]): IntervalEvaluator {
  return new IntervalEvaluator(
    compileTape(
      infix.map((text) => parseInfix(text)),
      SYMBOLS,
    ),
  );
}

/** Two ends of any sign and of sizes from 1e-6 to 1e6, zero among them. */
const end = fc
  .tuple(fc.integer({ min: -999, max: 999 }), fc.integer({ min: -6, max: 3 }))
  .map(([mantissa, exponent]) => mantissa * 10 ** exponent);
const ends = fc.tuple(end, end).map(([one, other]) => [Math.min(one, other), Math.max(one, other)]);

test("the four operations give the ends that the choice by signs gives, to the last bit", () => {
  const evaluator = evaluatorOf("x + y", "x - y", "x * y", "x / y");
  const without = evaluatorOf("x + y", "x - y", "x * y");
  let divided = 0;
  fc.assert(
    fc.property(ends, ends, ([al, ah], [bl, bh]) => {
      const divides = bl! > 0 || bh! < 0;
      const used = divides ? evaluator : without;
      used.enclose(Float64Array.of(al!, bl!), Float64Array.of(ah!, bh!));
      const found = [...used.tape.roots].map((row) => [used.lower[row]!, used.upper[row]!]);
      const a = [al!, ah!] as const;
      const b = [bl!, bh!] as const;
      const expected = [
        [below(al! + bl!), above(ah! + bh!)],
        [below(al! - bh!), above(ah! - bl!)],
        [productLower(...a, ...b), productUpper(...a, ...b)],
        ...(divides ? [[quotientLower(...a, ...b), quotientUpper(...a, ...b)]] : []),
      ];
      // Zeros of either sign are one number.
      expect(found.flat().map((value) => value + 0)).toEqual(
        expected.flat().map((value) => value + 0),
      );
      if (divides) divided += 1;
    }),
    { numRuns: 20_000 },
  );
  expect(divided).toBeGreaterThan(5_000);
});

test("tapes by the hundred keep work arrays of their own", () => {
  const long = Array.from({ length: 400 }, (_, index) => `(x + ${index}) * y`).join(" + ");
  const enclosed = (evaluator: IntervalEvaluator, x: number): readonly number[] => {
    evaluator.enclose(Float64Array.of(x, 2), Float64Array.of(x, 3));
    const row = evaluator.tape.roots[0]!;
    return [evaluator.lower[row]!, evaluator.upper[row]!];
  };
  const tape = compileTape([parseInfix(long)], SYMBOLS);
  const all = Array.from({ length: 300 }, () => new IntervalEvaluator(tape));
  const first = all.map((evaluator, index) => enclosed(evaluator, index));
  for (const [index, evaluator] of all.entries()) {
    // Each still holds its own figures after all others were evaluated.
    const row = tape.roots[0]!;
    expect([evaluator.lower[row]!, evaluator.upper[row]!]).toEqual(first[index]);
    expect(enclosed(evaluator, index)).toEqual(first[index]);
  }
  expect(new Set(first.map(String)).size).toBe(all.length);
});

test("after an overflow on the way nothing is claimed of a derivative", () => {
  const evaluator = evaluatorOf("x / 1e-200 / 1e-200 - y");
  evaluator.enclose(Float64Array.of(0, 0), Float64Array.of(1e-300, 1));
  const [lower, upper] = [new Float64Array(2), new Float64Array(2)];
  evaluator.gradient(0, lower, upper);
  expect([lower[0], upper[0]]).toEqual([-Infinity, Infinity]);
  expect(lower[1]).toBeLessThanOrEqual(-1);
  expect(upper[1]).toBeGreaterThanOrEqual(-1);
});

test("an operation refused once is refused again over the same box", () => {
  const evaluator = evaluatorOf("exp(x) + y");
  const [lower, upper] = [Float64Array.of(800, 0), Float64Array.of(900, 1)];
  expect(() => evaluator.enclose(lower, upper)).toThrow(/exp\(x\)/);
  expect(() => evaluator.enclose(lower, upper)).toThrow(/exp\(x\)/);
  evaluator.enclose(Float64Array.of(0, 0), Float64Array.of(0, 0));
  expect(evaluator.upper[evaluator.tape.roots[0]!]).toBeCloseTo(1, 12);
});
