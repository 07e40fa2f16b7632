// Falsified by: a random expression whose exact rational value at a point of the box lies outside
// the interval that the evaluator gives for the box, an exact evaluator of the library that differs
// from an independent one, or a plain value outside the enclosure of its own point.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { UnboundedResultError } from "../../../lib/errors.ts";
import { IntervalEvaluator } from "../../../lib/expression/enclose.ts";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import { evaluateExactly } from "../../../lib/expression/exact.ts";
import type { Expression } from "../../../lib/expression/node.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import {
  boxOf,
  expressionsWithoutFloor,
  limitedSymbols,
  rationalExpressions,
  SYMBOLS,
} from "../../support/expressions.ts";
import { exactValue } from "../../support/rational-jet.ts";
import { Rational } from "../../support/rational.ts";

interface Box {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/** Enclosure over a box; undefined where the evaluator refuses, as a divisor can be zero. */
function enclosed(root: Expression, box: Box): { lower: number; upper: number } | undefined {
  const evaluator = new IntervalEvaluator(compileTape([root], SYMBOLS));
  try {
    evaluator.enclose(box.lower, box.upper);
  } catch (error) {
    if (error instanceof UnboundedResultError) return undefined;
    throw error;
  }
  const row = evaluator.tape.roots[0]!;
  return { lower: evaluator.lower[row]!, upper: evaluator.upper[row]! };
}

function rationalsAt(member: Float64Array): Map<string, Rational> {
  return new Map(SYMBOLS.map((name, slot) => [name, Rational.fromNumber(member[slot]!)]));
}

describe("a random expression of + - * / ^ min max abs floor", () => {
  test("has its exact value inside its enclosure at every kind of point of the box", () => {
    let enclosures = 0;
    let points = 0;
    fc.assert(
      fc.property(rationalExpressions, limitedSymbols, (root, symbols) => {
        const box = boxOf(symbols);
        const found = enclosed(root, box);
        if (found === undefined) return;
        enclosures += 1;
        if (found.lower === found.upper) points += 1;
        const exact = exactValue(root, rationalsAt(box.member));
        expect(exact.compareNumber(found.lower)).toBeGreaterThanOrEqual(0);
        expect(exact.compareNumber(found.upper)).toBeLessThanOrEqual(0);
      }),
      { numRuns: 5_000, seed: 20_260_101 },
    );
    // A refusal proves nothing, and neither does a constant.
    expect(enclosures).toBeGreaterThan(2_500);
    expect(points).toBeLessThan(enclosures / 2);
  });

  test("has the same exact value by two evaluators that share no code", () => {
    let compared = 0;
    fc.assert(
      fc.property(rationalExpressions, limitedSymbols, (root, symbols) => {
        const { member } = boxOf(symbols);
        const values = rationalsAt(member);
        let expected: Rational;
        try {
          expected = exactValue(root, values);
        } catch (error) {
          expect(error).toBeInstanceOf(RangeError);
          expect(() => exactly(root, values)).toThrow(/division by zero/);
          return;
        }
        const { numerator, denominator } = exactly(root, values);
        expect(denominator > 0n).toBe(true);
        expect(Rational.of(numerator, denominator).compare(expected)).toBe(0);
        compared += 1;
      }),
      { numRuns: 2_000, seed: 20_260_102 },
    );
    expect(compared).toBeGreaterThan(1_500);
  });
});

function exactly(root: Expression, values: ReadonlyMap<string, Rational>) {
  const fractions = [...values].map(
    ([name, { top, bottom }]) => [name, { numerator: top, denominator: bottom }] as const,
  );
  return evaluateExactly(root, new Map(fractions));
}

describe("a random expression with exp, log and sqrt too", () => {
  test("has its plain value inside the enclosure of the box and of the point itself", () => {
    let compared = 0;
    fc.assert(
      fc.property(expressionsWithoutFloor, limitedSymbols, (root, symbols) => {
        const box = boxOf(symbols);
        const plain = new PlainEvaluator(compileTape([root], SYMBOLS)).evaluate(box.member);
        const ofBox = enclosed(root, box);
        if (ofBox === undefined) return;
        const ofPoint = enclosed(root, { lower: box.member, upper: box.member })!;
        expect(ofBox.lower).toBeLessThanOrEqual(ofPoint.lower);
        expect(ofBox.upper).toBeGreaterThanOrEqual(ofPoint.upper);
        // Math.exp and Math.log promise no accuracy: their last place may lie outside.
        const slack = 8 * (ofPoint.upper - ofPoint.lower);
        expect(plain).toBeGreaterThanOrEqual(ofPoint.lower - slack);
        expect(plain).toBeLessThanOrEqual(ofPoint.upper + slack);
        compared += 1;
      }),
      { numRuns: 4_000, seed: 20_260_103 },
    );
    expect(compared).toBeGreaterThan(1_200);
  });
});

/** Encloses a text over the limits of the symbols. */
function over(text: string, limits: readonly (readonly [number, number])[]): () => void {
  const evaluator = new IntervalEvaluator(compileTape([parseInfix(text)], SYMBOLS));
  return () =>
    evaluator.enclose(
      Float64Array.from(limits, ([lower]) => lower),
      Float64Array.from(limits, ([, upper]) => upper),
    );
}

describe("an expression that has no finite bound", () => {
  const wide = [
    [-1, 1],
    [-1, 1],
    [0, 1],
  ] as const;

  test.each([
    "1 / x",
    "1 / (x - y)",
    "x / z",
    "1 / (x^2)",
    "1 / abs(x)",
    "1 / max(x, -1)",
    "log(x + 1)",
    "log(z)",
    "sqrt(x)",
    "sqrt(z - 1/2)",
    "exp(1000 * z)",
    "(1e200 + z) * (1e200 + z)",
    "(1e200 + z)^3",
    "exp(700 + z) * exp(700 + z)",
    "1 / (1e-200 + z * 1e-300) / (1e-200 + z * 1e-300)",
  ])("is refused and not bounded: %s", (text) => {
    expect(over(text, wide)).toThrow(UnboundedResultError);
  });

  test.each([
    [NaN, 1],
    [0, NaN],
    [NaN, NaN],
    [-Infinity, 1],
    [0, Infinity],
  ])("is refused where the limits are [%d, %d]", (lower, upper) => {
    for (const text of ["x + 1", "2 * x", "x^2", "-x", "x - y", "1 / (x + 9)", "min(x, y) + x"])
      expect(over(text, [[lower, upper], wide[1], wide[2]])).toThrow();
  });

  test("is refused where limits are the wrong way round, so that no point is left", () => {
    for (const text of ["x + 1", "2 * x", "x^2", "-x", "exp(x)"])
      expect(over(text, [[1, 0], wide[1], wide[2]])).toThrow();
  });

  test("names the operation and the limits that reach the forbidden value", () => {
    expect(over("2 + 1 / (x - y)", wide)).toThrow(/1 \/ \(x - y\) for x in \[-1, 1\], y in/);
  });
});
