// Falsified by: a text of the contract that is read as another expression than the one that
// printed it, or a faulty text that is accepted or rejected without its position.
import * as fc from "fast-check";
import { evaluate as evaluateElsewhere } from "mathjs";
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import {
  absolute,
  add,
  constant,
  divide,
  exponential,
  floor,
  logarithm,
  maximum,
  minimum,
  multiply,
  named,
  negate,
  power,
  squareRoot,
  subtract,
  symbol,
} from "../../../lib/expression/build.ts";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import { toInfix } from "../../../lib/expression/infix.ts";
import type { Expression } from "../../../lib/expression/node.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";

const NAMES = ["x", "y", "R1", "tempco_upper", "exp2"];

const leaf = fc.oneof(
  fc.constantFrom(...NAMES).map((name) => symbol(name)),
  fc
    .tuple(fc.integer({ min: -99_999, max: 99_999 }), fc.integer({ min: -12, max: 3 }))
    .map(([digits, exponent]) => constant(Decimal.ofScaled(BigInt(digits), exponent))),
);

const isZero = (node: Expression) => node.kind === "constant" && node.value.isZero();

const expressions: fc.Arbitrary<Expression> = fc.letrec<{ node: Expression }>((tie) => ({
  node: fc.oneof(
    { maxDepth: 6, withCrossShrink: true },
    leaf,
    fc
      .tuple(fc.constantFrom(add, subtract, multiply, minimum, maximum), tie("node"), tie("node"))
      .map(([build, left, right]) => build(left, right)),
    fc
      .tuple(tie("node"), tie("node"))
      .map(([left, right]) => (isZero(right) ? left : divide(left, right))),
    fc
      .tuple(
        fc.constantFrom(negate, exponential, logarithm, squareRoot, absolute, floor),
        tie("node"),
      )
      .map(([build, operand]) => build(operand)),
    fc
      .tuple(tie("node"), fc.integer({ min: 2, max: 7 }))
      .map(([operand, exponent]) => power(operand, exponent)),
  ),
})).node;

function evaluate(text: string): number {
  const tape = compileTape([parseInfix(text)], ["x", "y"]);
  return new PlainEvaluator(tape).evaluate([1.7, -0.4]);
}

describe("an expression that was printed", () => {
  test("is read back as the very same expression", () => {
    fc.assert(
      fc.property(expressions, (root) => {
        expect(parseInfix(toInfix(root).infix)).toEqual(root);
      }),
      { numRuns: 2_000 },
    );
  });

  test("keeps its named parts when the definitions come along", () => {
    fc.assert(
      fc.property(expressions, expressions, (first, second) => {
        const part = named("part", first);
        const more = named("more_1", add(part, second));
        const root = subtract(multiply(more, part), symbol("x"));
        expect(parseInfix(toInfix(root))).toEqual(root);
      }),
      { numRuns: 300 },
    );
  });
});

describe("a text that a person wrote", () => {
  test.each([
    "-x^2",
    "2 - 3 - 4 + x",
    "12 / 3 / 2 * x",
    "1 - -x",
    "- - x",
    "x^-2",
    "(x + y)^3 / (x - y)",
    "floor(x * 10 + 1/2) - abs(y)",
    "min(x, max(y, 0.5)) + sqrt(x) * log(x) - exp(y)",
    "1.5e-3*x + .5",
    "2^3 + +y",
    "  x + \t y ",
    "1/3 + 2.50",
  ])("means what an independent evaluator says: %s", (text) => {
    const elsewhere = evaluateElsewhere(text, { x: 1.7, y: -0.4 }) as number;
    expect(evaluate(text)).toBeCloseTo(elsewhere, 13);
  });
});

test("may be broken over lines", () => {
  expect(parseInfix("a\n  + b\r\n")).toEqual(parseInfix("a + b"));
});

describe("a faulty text", () => {
  test.each([
    ["", "character 1", "end of the text"],
    ["x +", "character 4", "end of the text"],
    ["(x + 1", "character 7", '")"'],
    ["x y", "character 3", '"y"'],
    ["x ^ y", "character 5", "integer exponent"],
    ["x^2^3", "character 4", "one exponent"],
    ["x^2.5", "character 3", "2.5"],
    ["x^65", "character 3", "65"],
    ["sin(x)", "character 1", '"sin"'],
    ["min(x)", "character 1", "two"],
    ["exp(x, y)", "character 1", "one"],
    ["x / 0", "character 3", "other than zero"],
    ["x $ y", "character 3", '"$"'],
    ["pi * x", "character 1", '"pi"'],
    ["log + 1", "character 1", '"log"'],
    ["1.2.3", "character 4", '".3"'],
    ["round(x)", "character 1", '"round"'],
  ])("%s is refused with its position", (text, position, detail) => {
    let message = "";
    try {
      parseInfix(text);
    } catch (error) {
      expect(error).toBeInstanceOf(InvalidInputError);
      message = (error as Error).message;
    }
    expect(message).toContain(position);
    expect(message).toContain(detail);
  });

  test("nested without end is refused before the stack is exhausted", () => {
    const deep = `${"(".repeat(100_000)}x${")".repeat(100_000)}`;
    expect(() => parseInfix(deep)).toThrow(/at most 400 levels deep.*character 401/);
  });

  test("tells all its faults at once", () => {
    expect(() => parseInfix("sin(x) + y^99 + max(x)")).toThrow(/3 faults/);
    const definitions = [
      { name: "a b", infix: "x" },
      { name: "exp", infix: "x" },
      { name: "p", infix: "tan(x)" },
      { name: "p", infix: "x" },
    ];
    expect(() => parseInfix({ infix: "p + (", definitions, path: "model" })).toThrow(/5 faults/);
  });
});
