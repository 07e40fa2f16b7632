// Falsified by: a known global maximum outside the enclosure that branch and bound gives, a bound
// below the value at a sampled point or on an exact grid, or a bound where none exists.
//
// Minima of the test functions and where they stand, all from memory: H. H. Rosenbrock, Computer
// Journal 3 (1960) 175-184; A. A. Goldstein and J. F. Price, Mathematics of Computation 25 (1971)
// 569-574; E. M. L. Beale (1958); D. M. Himmelblau, Applied Nonlinear Programming (1972); the
// others as in M. Jamil and X.-S. Yang, A literature survey of benchmark functions, Int. J.
// Mathematical Modelling and Numerical Optimisation 4 (2013) 150-194.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { UnboundedResultError } from "../../../lib/errors.ts";
import { negate } from "../../../lib/expression/build.ts";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import { symbolsOf } from "../../../lib/expression/node.ts";
import type { Expression } from "../../../lib/expression/node.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { Maximiser } from "../../../lib/guarantee/maximum.ts";
import type { Maximum, MaximumOptions } from "../../../lib/guarantee/maximum.ts";
import {
  boxOf,
  differentiableExpressions,
  limitedSymbols,
  smoothExpressions,
  SYMBOLS,
} from "../../support/expressions.ts";
import { exactValue } from "../../support/rational-jet.ts";
import { Rational } from "../../support/rational.ts";

interface KnownMinimum {
  readonly name: string;
  readonly infix: string;
  /** Both ends of every variable. */
  readonly ends: readonly [number, number];
  readonly minimum: number;
  /** A place where it is taken, in the order of the names. */
  readonly at: Readonly<Record<string, number>>;
}

const KNOWN: readonly KnownMinimum[] = [
  {
    name: "Rosenbrock",
    infix: "(1 - x)^2 + 100 * (y - x^2)^2",
    ends: [-2.048, 2.048],
    minimum: 0,
    at: { x: 1, y: 1 },
  },
  {
    name: "Goldstein-Price",
    infix:
      "(1 + (x + y + 1)^2 * (19 - 14*x + 3*x^2 - 14*y + 6*x*y + 3*y^2)) * " +
      "(30 + (2*x - 3*y)^2 * (18 - 32*x + 12*x^2 + 48*y - 36*x*y + 27*y^2))",
    ends: [-2, 2],
    minimum: 3,
    at: { x: 0, y: -1 },
  },
  {
    name: "Beale",
    infix: "(1.5 - x + x*y)^2 + (2.25 - x + x*y^2)^2 + (2.625 - x + x*y^3)^2",
    ends: [-4.5, 4.5],
    minimum: 0,
    at: { x: 3, y: 0.5 },
  },
  {
    name: "Himmelblau",
    infix: "(x^2 + y - 11)^2 + (x + y^2 - 7)^2",
    ends: [-5, 5],
    minimum: 0,
    at: { x: 3, y: 2 },
  },
  {
    name: "Booth",
    infix: "(x + 2*y - 7)^2 + (2*x + y - 5)^2",
    ends: [-10, 10],
    minimum: 0,
    at: { x: 1, y: 3 },
  },
  {
    name: "Matyas",
    infix: "0.26 * (x^2 + y^2) - 0.48 * x * y",
    ends: [-10, 10],
    minimum: 0,
    at: { x: 0, y: 0 },
  },
  {
    name: "three-hump camel",
    infix: "2 * x^2 - 1.05 * x^4 + x^6 / 6 + x*y + y^2",
    ends: [-5, 5],
    minimum: 0,
    at: { x: 0, y: 0 },
  },
  {
    name: "six-hump camel",
    infix: "(4 - 2.1 * x^2 + x^4 / 3) * x^2 + x*y + (4 * y^2 - 4) * y^2",
    ends: [-2, 2],
    minimum: -1.0316284534898774,
    at: { x: 0.08984201310031806, y: -0.7126564030207396 },
  },
  {
    name: "Styblinski-Tang in two variables",
    infix: "(x^4 - 16 * x^2 + 5 * x + y^4 - 16 * y^2 + 5 * y) / 2",
    ends: [-5, 5],
    minimum: -78.33233140754282,
    at: { x: -2.9035340276, y: -2.9035340276 },
  },
  {
    name: "Brent",
    infix: "(x + 10)^2 + (y + 10)^2 + exp(-(x^2) - y^2)",
    ends: [-20, 5],
    minimum: Math.exp(-200),
    at: { x: -10, y: -10 },
  },
  {
    name: "absolute distance, with a kink where it is least",
    infix: "abs(x - 1) + abs(y + 2) + max(x - y, 0)",
    ends: [-10, 10],
    minimum: 3,
    at: { x: 1, y: -2 },
  },
];

const OPTIONS: MaximumOptions = { relativeGap: 1e-4, absoluteGap: 1e-3, workLimit: 60_000 };

function maximumOf(root: Expression, ends: readonly [number, number]): Maximum {
  const names = symbolsOf([root]);
  const box = {
    lower: new Float64Array(names.length).fill(ends[0]),
    upper: new Float64Array(names.length).fill(ends[1]),
  };
  return new Maximiser(compileTape([root], names)).maximise(box, OPTIONS);
}

describe.each(KNOWN)("$name, its sign reversed", ({ infix, ends, minimum, at }) => {
  const root = negate(parseInfix(infix));

  test("has its known global maximum inside the enclosure, which is tight", () => {
    const found = maximumOf(root, ends);
    expect(found.bound).toBeGreaterThanOrEqual(-minimum);
    expect(found.reached).toBeLessThanOrEqual(-minimum + 1e-12);
    expect(found.stopped).toBe("gap");
    expect(found.bound - found.reached).toBeLessThanOrEqual(1e-3 + 1e-4 * Math.abs(minimum));
  });

  test("is read as the literature gives it: the value at the known place", () => {
    const names = symbolsOf([root]);
    const plain = new PlainEvaluator(compileTape([root], names));
    expect(plain.evaluate(names.map((name) => at[name]!))).toBeCloseTo(-minimum, 9);
  });

  test("has a maximum on the other side that no point of a grid passes", () => {
    const rising = parseInfix(infix);
    const found = maximumOf(rising, ends);
    const plain = new PlainEvaluator(compileTape([rising], symbolsOf([rising])));
    let most = -Infinity;
    for (let i = 0; i <= 60; i += 1)
      for (let j = 0; j <= 60; j += 1) {
        const place = (step: number): number => ends[0] + (step / 60) * (ends[1] - ends[0]);
        most = Math.max(most, plain.evaluate([place(i), place(j)]));
      }
    // The corners belong to the grid, and there these functions are largest.
    expect(found.bound).toBeGreaterThanOrEqual(most);
    expect(found.bound).toBeLessThanOrEqual(most * (1 + 2e-4) + 1e-3);
  });
});

describe("the bound of a random expression", () => {
  test.each([
    ["smooth", smoothExpressions],
    ["with kinks", differentiableExpressions],
  ] as const)("is never below an exact value inside the box: %s", (kind, expressions) => {
    let bounded = 0;
    fc.assert(
      fc.property(expressions, limitedSymbols, (root, symbols) => {
        const box = boxOf(symbols);
        let found: Maximum;
        try {
          found = new Maximiser(compileTape([root], SYMBOLS)).maximise(box, {
            relativeGap: 1e-3,
            absoluteGap: 1e-9,
            workLimit: 60,
          });
        } catch (error) {
          if (error instanceof UnboundedResultError) return;
          throw error;
        }
        bounded += 1;
        const at = (point: Float64Array): Rational =>
          exactValue(
            root,
            new Map(SYMBOLS.map((name, i) => [name, Rational.fromNumber(point[i]!)])),
          );
        const corners = [0, 3, 5, 6, 7].map((bits) =>
          box.lower.map((low, slot) => ((bits >> slot) & 1 ? box.upper[slot]! : low)),
        );
        for (const point of [box.member, found.point, ...corners])
          expect(at(point).compareNumber(found.bound)).toBeLessThanOrEqual(0);
        expect(found.bound).toBeGreaterThanOrEqual(found.reached - Math.abs(found.reached) * 1e-12);
      }),
      { numRuns: 900, seed: 20_260_141 + kind.length },
    );
    expect(bounded).toBeGreaterThan(350);
  });

  test("is never below a value on a fine grid along one quantity", () => {
    // Every way of the search (collapse, ends, halves) is tried on it.
    fc.assert(
      fc.property(smoothExpressions, limitedSymbols, (root, [x, y, z]) => {
        const box = boxOf([
          x!,
          { ...y!, lower: y!.member, upper: y!.member },
          {
            ...z!,
            lower: z!.member,
            upper: z!.member,
          },
        ]);
        let found: Maximum;
        try {
          found = new Maximiser(compileTape([root], SYMBOLS)).maximise(box, {
            relativeGap: 1e-6,
            absoluteGap: 1e-12,
            workLimit: 300,
          });
        } catch (error) {
          if (error instanceof UnboundedResultError) return;
          throw error;
        }
        const plain = new PlainEvaluator(compileTape([root], SYMBOLS));
        let most = -Infinity;
        for (let step = 0; step <= 64; step += 1) {
          const share = step / 64;
          const at = x!.lower + share * (x!.upper - x!.lower);
          most = Math.max(most, plain.evaluate([Math.min(at, x!.upper), y!.member, z!.member]));
        }
        expect(found.bound).toBeGreaterThanOrEqual(most - 1e-9 * Math.abs(most));
      }),
      { numRuns: 800, seed: 20_260_144 },
    );
  });
});

describe("a function without a bound", () => {
  test.each([
    "1 / x",
    "-(1 / x)",
    "1 / (x - y)",
    "x / (y * y)",
    "1 / (1 - x * y)",
    "log(x + 1)",
    "-log(x + 1)",
    "sqrt(x)",
    "exp(900 * (x + 2))",
    "x / (0.5 - abs(y))",
    "(x - y) / (x - y)",
    "0 / x + 1",
    "x * (1 / y) - x * (1 / y)",
  ])("is refused with the operation and the box, and never called proven: %s", (infix) => {
    const read = parseInfix(infix);
    expect(() => maximumOf(read, [-1, 1])).toThrow(UnboundedResultError);
  });

  test.each([
    [NaN, 1],
    [0, NaN],
    [-Infinity, 1],
    [0, Infinity],
  ])("is refused where limits are no numbers: [%d, %d]", (lower, upper) => {
    for (const infix of ["x + y", "x * y", "x^2 - y", "x - x + y", "max(x, y)", "abs(x) + y"])
      expect(() => maximumOf(parseInfix(infix), [lower, upper])).toThrow();
  });
});
