// Falsified by: an exact slope of a random expression outside its interval gradient, an exact
// curvature or second difference below the least curvature, or a gradient of one evaluator that
// contradicts the other.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InvariantBrokenError, UnboundedResultError } from "../../../lib/errors.ts";
import { CurvatureEvaluator } from "../../../lib/expression/curvature.ts";
import { IntervalEvaluator } from "../../../lib/expression/enclose.ts";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import type { Expression } from "../../../lib/expression/node.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import {
  boxOf,
  differentiableExpressions,
  expressionsWithoutFloor,
  limitedSymbols,
  smoothExpressions,
  SYMBOLS,
} from "../../support/expressions.ts";
import { exactValue, jetOf } from "../../support/rational-jet.ts";
import { Rational } from "../../support/rational.ts";

type Box = ReturnType<typeof boxOf>;

/** The evaluator after an enclosure of the box; undefined where it refuses. */
function enclosed(root: Expression, box: Box): IntervalEvaluator | undefined {
  const evaluator = new IntervalEvaluator(compileTape([root], SYMBOLS));
  try {
    evaluator.enclose(box.lower, box.upper);
  } catch (error) {
    if (error instanceof UnboundedResultError) return undefined;
    throw error;
  }
  return evaluator;
}

function gradientOf(evaluator: IntervalEvaluator): { lower: Float64Array; upper: Float64Array } {
  const lower = new Float64Array(SYMBOLS.length).fill(NaN);
  const upper = new Float64Array(SYMBOLS.length).fill(NaN);
  evaluator.gradient(0, lower, upper);
  return { lower, upper };
}

function rationalsAt(point: ArrayLike<number>): Map<string, Rational> {
  return new Map(SYMBOLS.map((name, slot) => [name, Rational.fromNumber(point[slot]!)]));
}

describe("the interval gradient of a random expression of + - * / ^ min max abs", () => {
  test("holds the exact slope at every kind of point of the box", () => {
    let compared = 0;
    fc.assert(
      fc.property(differentiableExpressions, limitedSymbols, (root, symbols) => {
        const box = boxOf(symbols);
        const evaluator = enclosed(root, box);
        if (evaluator === undefined) return;
        const gradient = gradientOf(evaluator);
        const values = rationalsAt(box.member);
        for (const [slot, name] of SYMBOLS.entries()) {
          // A symbol whose limits are one point has no slope to speak of.
          if (box.lower[slot] === box.upper[slot]) continue;
          const { first } = jetOf(root, values, name);
          expect(first.compareNumber(gradient.lower[slot]!)).toBeGreaterThanOrEqual(0);
          expect(first.compareNumber(gradient.upper[slot]!)).toBeLessThanOrEqual(0);
          compared += 1;
        }
      }),
      { numRuns: 3_000, seed: 20_260_111 },
    );
    expect(compared).toBeGreaterThan(3_000);
  });

  test("holds the slope of the straight line between any two points, kinks included", () => {
    let compared = 0;
    fc.assert(
      fc.property(differentiableExpressions, limitedSymbols, fc.nat(2), (root, symbols, slot) => {
        const box = boxOf(symbols);
        const evaluator = enclosed(root, box);
        const [from, to] = [box.lower[slot]!, box.upper[slot]!];
        if (evaluator === undefined || from === to) return;
        const gradient = gradientOf(evaluator);
        const at = (value: number): Rational =>
          exactValue(root, rationalsAt(box.member.map((x, index) => (index === slot ? value : x))));
        const rise = at(to).sub(at(from));
        const slope = rise.div(Rational.fromNumber(to).sub(Rational.fromNumber(from)));
        expect(slope.compareNumber(gradient.lower[slot]!)).toBeGreaterThanOrEqual(0);
        expect(slope.compareNumber(gradient.upper[slot]!)).toBeLessThanOrEqual(0);
        compared += 1;
      }),
      { numRuns: 3_000, seed: 20_260_112 },
    );
    expect(compared).toBeGreaterThan(1_100);
  });

  test("is the slope itself where that is known: no sign is lost beside a kink", () => {
    const box = boxOf([
      { lower: -3, upper: -1, member: -2 },
      { lower: 0, upper: 2, member: 1 },
      { lower: 5, upper: 6, member: 5 },
    ]);
    const slopes = (text: string) => gradientOf(enclosed(parseInfix(text), box)!);
    const { lower, upper } = slopes("2 * abs(x) + 3 * abs(y) + min(x, z) + max(4 * z, y)");
    expect([...lower].map((slope) => Math.round(slope * 1e9) / 1e9)).toEqual([-1, 3, 4]);
    expect([...upper].map((slope) => Math.round(slope * 1e9) / 1e9)).toEqual([-1, 3, 4]);
    // A kink inside leaves the sign open.
    const open = slopes("abs(y - 1)");
    expect([open.lower[1], open.upper[1]]).toEqual([
      expect.closeTo(-1, 12) as number,
      expect.closeTo(1, 12) as number,
    ]);
  });

  test("is refused for a floor, which has no slope", () => {
    const evaluator = enclosed(
      parseInfix("2 * floor(x) + y"),
      boxOf([
        { lower: 0, upper: 3, member: 1 },
        { lower: 0, upper: 1, member: 1 },
        { lower: 0, upper: 1, member: 1 },
      ]),
    )!;
    expect(() => gradientOf(evaluator)).toThrow(InvariantBrokenError);
  });
});

describe("with exp, log and sqrt too", () => {
  test("the plain gradient lies inside the interval gradient", () => {
    let compared = 0;
    fc.assert(
      fc.property(expressionsWithoutFloor, limitedSymbols, (root, symbols) => {
        const box = boxOf(symbols);
        const evaluator = enclosed(root, box);
        if (evaluator === undefined) return;
        let gradient: ReturnType<typeof gradientOf>;
        try {
          gradient = gradientOf(evaluator);
        } catch (error) {
          expect((error as Error).message).toMatch(/root at zero/);
          return;
        }
        const plain = new PlainEvaluator(evaluator.tape);
        plain.evaluate(box.member);
        const slopes = new Float64Array(SYMBOLS.length);
        plain.gradient(0, slopes);
        for (const slot of SYMBOLS.keys()) {
          const [low, high] = [gradient.lower[slot]!, gradient.upper[slot]!];
          if (box.lower[slot] === box.upper[slot] || !Number.isFinite(high - low)) continue;
          // Plain slopes are sums of rounded terms that may cancel.
          const slack = 1e-9 * Math.max(Math.abs(low), Math.abs(high), high - low);
          expect(slopes[slot]).toBeGreaterThanOrEqual(low - slack);
          expect(slopes[slot]).toBeLessThanOrEqual(high + slack);
          compared += 1;
        }
      }),
      { numRuns: 3_000, seed: 20_260_113 },
    );
    expect(compared).toBeGreaterThan(1_900);
  });
});

describe("the least curvature of a random expression", () => {
  test("is not above the exact second derivative, nor above a second difference", () => {
    let compared = 0;
    fc.assert(
      fc.property(smoothExpressions, limitedSymbols, fc.nat(2), (root, symbols, slot) => {
        const box = boxOf(symbols);
        const evaluator = enclosed(root, box);
        const [from, to] = [box.lower[slot]!, box.upper[slot]!];
        if (evaluator === undefined || from === to) return;
        const least = new CurvatureEvaluator(evaluator).leastCurvature(slot);
        expect(least).not.toBeNaN();
        const { second } = jetOf(root, rationalsAt(box.member), SYMBOLS[slot]);
        expect(second.compareNumber(least)).toBeGreaterThanOrEqual(0);
        const at = (value: number): Rational =>
          exactValue(root, rationalsAt(box.member.map((x, index) => (index === slot ? value : x))));
        const middle = from + (to - from) / 2;
        const [left, right] = [
          Rational.fromNumber(middle).sub(Rational.fromNumber(from)),
          Rational.fromNumber(to).sub(Rational.fromNumber(middle)),
        ];
        if (left.compare(Rational.of(0n)) <= 0 || right.compare(Rational.of(0n)) <= 0) return;
        // Second divided difference: half a second derivative between the ends.
        const risesRight = at(to).sub(at(middle)).div(right);
        const risesLeft = at(middle).sub(at(from)).div(left);
        const bend = risesRight.sub(risesLeft).div(left.add(right)).mul(Rational.of(2n));
        expect(bend.compareNumber(least)).toBeGreaterThanOrEqual(0);
        if (Number.isFinite(least)) compared += 1;
      }),
      { numRuns: 3_000, seed: 20_260_114 },
    );
    expect(compared).toBeGreaterThan(1_100);
  });

  test("holds across min, max and abs as well: unknown at a kink, exact beside it", () => {
    let known = 0;
    fc.assert(
      fc.property(differentiableExpressions, limitedSymbols, fc.nat(2), (root, symbols, slot) => {
        const box = boxOf(symbols);
        const evaluator = enclosed(root, box);
        if (evaluator === undefined || box.lower[slot] === box.upper[slot]) return;
        const least = new CurvatureEvaluator(evaluator).leastCurvature(slot);
        const at = (value: number): Rational =>
          exactValue(root, rationalsAt(box.member.map((x, index) => (index === slot ? value : x))));
        // What the figure is used for: between the ends a function lies at most c w^2 / 8 above
        // the larger of its end values.
        const width = Rational.fromNumber(box.upper[slot]!).sub(
          Rational.fromNumber(box.lower[slot]!),
        );
        if (!Number.isFinite(least)) return;
        known += 1;
        const bend = Rational.fromNumber(Math.max(0, -least)).mul(width).mul(width);
        const miss = bend.div(Rational.of(8n));
        const [low, high] = [at(box.lower[slot]!), at(box.upper[slot]!)];
        const most = (low.compare(high) > 0 ? low : high).add(miss);
        expect(at(box.member[slot]!).compare(most)).toBeLessThanOrEqual(0);
      }),
      { numRuns: 3_000, seed: 20_260_115 },
    );
    expect(known).toBeGreaterThan(800);
  });

  test("is the curvature itself where that is a constant", () => {
    const box = boxOf([
      { lower: -1, upper: 2, member: 0 },
      { lower: 3, upper: 3, member: 3 },
      { lower: 0, upper: 0, member: 0 },
    ]);
    const least = (text: string): number =>
      new CurvatureEvaluator(enclosed(parseInfix(text), box)!).leastCurvature(0);
    expect(least("3 * x * x - 7 * x + y")).toBeCloseTo(6, 12);
    expect(least("5 - x^2")).toBeCloseTo(-2, 12);
    expect(least("y * x + 1")).toBeCloseTo(0, 12);
    // 1/(x + 2) over [1, 4]: 2/d^3 is least, 2/64, at the upper end.
    expect(least("1 / (x + 2)")).toBeGreaterThan(-1.5);
    expect(least("exp(x)")).toBeLessThanOrEqual(Math.exp(-1));
    expect(least("exp(x)")).toBeCloseTo(Math.exp(-1), 12);
    expect(least("abs(x)")).toBe(-Infinity);
    expect(least("abs(x + 5) + max(x, 9)")).toBeCloseTo(0, 12);
  });
});

describe("the rows that change with some symbols", () => {
  test("are enough to follow a change of those symbols", () => {
    const slots = fc.uniqueArray(fc.nat(SYMBOLS.length - 1));
    fc.assert(
      fc.property(smoothExpressions, limitedSymbols, slots, (root, symbols, changed) => {
        const { lower, upper } = boxOf(symbols);
        const moved = lower.map((low, slot) => (changed.includes(slot) ? upper[slot]! : low));
        const tape = compileTape([root], SYMBOLS);
        const evaluator = new PlainEvaluator(tape);
        const rows = evaluator.rowsOf(changed);
        evaluator.evaluate(lower);
        const followed = evaluator.evaluateRows(moved, rows);
        expect(followed).toBe(new PlainEvaluator(tape).evaluate(moved));
      }),
    );
  });
});
