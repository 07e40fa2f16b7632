import * as fc from "fast-check";
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
} from "../../lib/expression/build.ts";
import type { Expression } from "../../lib/expression/node.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";

/** Symbols of the random expressions. */
export const SYMBOLS = ["x", "y", "z"] as const;

const isZero = (node: Expression): boolean => node.kind === "constant" && node.value.isZero();

/** Decimals like those of a design: up to five digits, from 1e-7 to 1e6. */
const constants = fc
  .tuple(fc.integer({ min: -99_999, max: 99_999 }), fc.integer({ min: -7, max: 1 }))
  .map(([digits, exponent]) => constant(Decimal.ofScaled(BigInt(digits), exponent)));

const leaves: fc.Arbitrary<Expression> = fc.oneof(
  { weight: 3, arbitrary: fc.constantFrom(...SYMBOLS).map((name) => symbol(name)) },
  { weight: 2, arbitrary: constants },
);

type Unary = (operand: Expression) => Expression;
type Binary = (left: Expression, right: Expression) => Expression;

/** Which operations a random expression may use beside + - * / and powers. */
interface Operations {
  readonly unary: readonly Unary[];
  readonly binary: readonly Binary[];
  readonly largestPower: number;
  readonly maxDepth: number;
}

let serial = 0;

function expressionsOf(operations: Operations): fc.Arbitrary<Expression> {
  return fc.letrec<{ node: Expression }>((tie) => ({
    node: fc.oneof(
      { maxDepth: operations.maxDepth, withCrossShrink: true },
      leaves,
      {
        weight: 4,
        arbitrary: fc
          .tuple(
            fc.constantFrom<Binary>(add, subtract, multiply, ...operations.binary),
            tie("node"),
            tie("node"),
          )
          .map(([build, left, right]) => build(left, right)),
      },
      {
        weight: 2,
        arbitrary: fc
          .tuple(tie("node"), tie("node"))
          .map(([left, right]) => (isZero(right) ? left : divide(left, right))),
      },
      // The shape of a divider, in which a quantity stands twice.
      fc
        .tuple(tie("node"), tie("node"))
        .map(([upper, lower]) =>
          isZero(add(upper, lower)) ? lower : divide(lower, add(upper, lower)),
        ),
      fc
        .tuple(fc.constantFrom(...operations.unary), tie("node"))
        .map(([build, operand]) => build(operand)),
      fc
        .tuple(tie("node"), fc.integer({ min: 2, max: operations.largestPower }))
        .map(([operand, exponent]) => power(operand, exponent)),
    ),
  })).node;
}

/** Gives a part a name of its own. */
const withName: Unary = (operand) => named(`part_${(serial += 1)}`, operand);

/** Expressions of + - * / ^ min max abs floor: those with an exact rational value. */
export const rationalExpressions: fc.Arbitrary<Expression> = expressionsOf({
  unary: [negate, absolute, floor, withName],
  binary: [minimum, maximum],
  largestPower: 4,
  maxDepth: 4,
});

/** Expressions of + - * / ^ min max abs: those that have derivatives. */
export const differentiableExpressions: fc.Arbitrary<Expression> = expressionsOf({
  unary: [negate, absolute, withName],
  binary: [minimum, maximum],
  largestPower: 4,
  maxDepth: 4,
});

/** Expressions of + - * / ^ alone: those without a kink. */
export const smoothExpressions: fc.Arbitrary<Expression> = expressionsOf({
  unary: [negate, withName],
  binary: [],
  largestPower: 3,
  maxDepth: 4,
});

/** Expressions of every operation. */
export const allExpressions: fc.Arbitrary<Expression> = expressionsOf({
  unary: [negate, absolute, floor, exponential, logarithm, squareRoot, withName],
  binary: [minimum, maximum],
  largestPower: 5,
  maxDepth: 5,
});

/** Like {@link allExpressions} without floor. */
export const expressionsWithoutFloor: fc.Arbitrary<Expression> = expressionsOf({
  unary: [negate, absolute, exponential, logarithm, squareRoot],
  binary: [minimum, maximum],
  largestPower: 4,
  maxDepth: 4,
});

/** The limits of one symbol and a place between them: 0 the lower end, 1 the upper. */
export interface Limited {
  readonly lower: number;
  readonly upper: number;
  /** A double between the limits, ends included. */
  readonly member: number;
}

/**
 * Limits as they occur: around a value of either sign from a microunit to a hundred, a point, a
 * per mille or several times the value wide; one place in three is an end.
 */
export const limited: fc.Arbitrary<Limited> = fc
  .record({
    digits: fc.integer({ min: -9_999, max: 9_999 }),
    exponent: fc.integer({ min: -6, max: -2 }),
    width: fc.constantFrom(0, 1, 20, 300, 2_000, 9_000),
    place: fc.oneof(fc.constantFrom(0, 1_000), fc.integer({ min: 0, max: 1_000 })),
  })
  .map(({ digits, exponent, width, place }) => {
    const middle = Number(`${digits}e${exponent}`);
    const half = Number(`${width}e${exponent}`) / 2;
    const [lower, upper] = [middle - half, middle + half];
    const inside = lower + (place / 1_000) * (upper - lower);
    return { lower, upper, member: Math.min(Math.max(inside, lower), upper) };
  });

/** Limits of the three symbols. */
export const limitedSymbols: fc.Arbitrary<readonly Limited[]> = fc.tuple(limited, limited, limited);

/** Lower limits, upper limits and members as arrays in the order of {@link SYMBOLS}. */
export function boxOf(symbols: readonly Limited[]): {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  readonly member: Float64Array;
} {
  return {
    lower: Float64Array.from(symbols, ({ lower }) => lower),
    upper: Float64Array.from(symbols, ({ upper }) => upper),
    member: Float64Array.from(symbols, ({ member }) => member),
  };
}
