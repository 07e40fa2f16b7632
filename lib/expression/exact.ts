import { InvariantBrokenError } from "../errors.ts";
import type { Decimal } from "../quantity/decimal.ts";
import type { Expression } from "./node.ts";
import { topologicalOrder } from "./node.ts";

/** A rational number; the denominator is positive, the fraction need not be in lowest terms. */
export interface Fraction {
  readonly numerator: bigint;
  readonly denominator: bigint;
}

/** The fraction a decimal is. */
export function fractionOf(value: Decimal): Fraction {
  const { mantissa, exponent } = value;
  return exponent >= 0
    ? { numerator: mantissa * 10n ** BigInt(exponent), denominator: 1n }
    : { numerator: mantissa, denominator: 10n ** BigInt(-exponent) };
}

function floorDivide(numerator: bigint, denominator: bigint): bigint {
  const quotient = numerator / denominator;
  return numerator < 0n && quotient * denominator !== numerator ? quotient - 1n : quotient;
}

function combine(operation: string, left: Fraction, right: Fraction): Fraction {
  const cross = left.numerator * right.denominator;
  const other = right.numerator * left.denominator;
  const denominator = left.denominator * right.denominator;
  switch (operation) {
    case "add":
      return { numerator: cross + other, denominator };
    case "subtract":
      return { numerator: cross - other, denominator };
    case "multiply":
      return { numerator: left.numerator * right.numerator, denominator };
    case "divide": {
      if (right.numerator === 0n) throw new InvariantBrokenError("exact division by zero");
      const sign = right.numerator < 0n ? -1n : 1n;
      return {
        numerator: sign * left.numerator * right.denominator,
        denominator: sign * left.denominator * right.numerator,
      };
    }
    case "min":
      return cross <= other ? left : right;
    default:
      return cross >= other ? left : right;
  }
}

function apply(operation: string, { numerator, denominator }: Fraction): Fraction {
  switch (operation) {
    case "negate":
      return { numerator: -numerator, denominator };
    case "abs":
      return { numerator: numerator < 0n ? -numerator : numerator, denominator };
    case "floor":
      return { numerator: floorDivide(numerator, denominator), denominator: 1n };
    default:
      throw new InvariantBrokenError(`${operation} has no exact value`);
  }
}

/**
 * Exact value of an expression of + - * / ^ min max abs floor at rational values of its symbols.
 * Throws {@link InvariantBrokenError} for exp, log and sqrt, which have none.
 */
export function evaluateExactly(root: Expression, values: ReadonlyMap<string, Fraction>): Fraction {
  const known = new Map<Expression, Fraction>();
  const of = (node: Expression): Fraction => known.get(node)!;
  for (const node of topologicalOrder([root])) {
    switch (node.kind) {
      case "constant":
        known.set(node, fractionOf(node.value));
        break;
      case "symbol": {
        const value = values.get(node.name);
        if (value === undefined) throw new InvariantBrokenError(`${node.name} has no value`);
        known.set(node, value);
        break;
      }
      case "named":
        known.set(node, of(node.operand));
        break;
      case "unary":
        known.set(node, apply(node.operation, of(node.operand)));
        break;
      case "binary":
        known.set(node, combine(node.operation, of(node.left), of(node.right)));
        break;
      case "power": {
        const base = of(node.operand);
        const exponent = BigInt(node.exponent);
        known.set(node, {
          numerator: base.numerator ** exponent,
          denominator: base.denominator ** exponent,
        });
      }
    }
  }
  return of(root);
}
