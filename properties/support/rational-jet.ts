import type { Expression } from "../../lib/expression/node.ts";
import { topologicalOrder } from "../../lib/expression/node.ts";
import { Rational } from "./rational.ts";

/** Exact value, slope and curvature of an expression along one symbol. */
export interface Jet {
  readonly value: Rational;
  readonly first: Rational;
  readonly second: Rational;
}

const ZERO = Rational.of(0n);
const ONE = Rational.of(1n);
const TWO = Rational.of(2n);

function flat(value: Rational): Jet {
  return { value, first: ZERO, second: ZERO };
}

function each(a: Jet, b: Jet, join: (one: Rational, other: Rational) => Rational): Jet {
  return {
    value: join(a.value, b.value),
    first: join(a.first, b.first),
    second: join(a.second, b.second),
  };
}

function product(a: Jet, b: Jet): Jet {
  return {
    value: a.value.mul(b.value),
    first: a.first.mul(b.value).add(a.value.mul(b.first)),
    second: a.second.mul(b.value).add(TWO.mul(a.first).mul(b.first)).add(a.value.mul(b.second)),
  };
}

/** By (a/b)' = (a' - q b') / b and (a/b)'' = (a'' - 2 q' b' - q b'') / b, with q = a/b. */
function quotient(a: Jet, b: Jet): Jet {
  const value = a.value.div(b.value);
  const first = a.first.sub(value.mul(b.first)).div(b.value);
  const second = a.second.sub(TWO.mul(first).mul(b.first)).sub(value.mul(b.second)).div(b.value);
  return { value, first, second };
}

const negative = ({ value, first, second }: Jet): Jet => ({
  value: value.negate(),
  first: first.negate(),
  second: second.negate(),
});

function binary(operation: string, a: Jet, b: Jet): Jet {
  switch (operation) {
    case "add":
      return each(a, b, (one, other) => one.add(other));
    case "subtract":
      return each(a, b, (one, other) => one.sub(other));
    case "multiply":
      return product(a, b);
    case "divide":
      return quotient(a, b);
    case "min":
      return a.value.compare(b.value) <= 0 ? a : b;
    case "max":
      return a.value.compare(b.value) >= 0 ? a : b;
    default:
      throw new RangeError(`${operation} is not rational`);
  }
}

function unary(operation: string, a: Jet): Jet {
  switch (operation) {
    case "negate":
      return negative(a);
    case "abs":
      return a.value.compare(ZERO) < 0 ? negative(a) : a;
    case "floor":
      return flat(Rational.of(a.value.floor()));
    default:
      throw new RangeError(`${operation} is not rational`);
  }
}

/** A number of the expression as written, read from its text and not from its stored parts. */
function rationalOfText(text: string): Rational {
  const [coefficient = "", power = "0"] = text.toLowerCase().split("e");
  const [whole = "", fraction = ""] = coefficient.split(".");
  const exponent = Number(power) - fraction.length;
  const digits = BigInt(`${whole}${fraction}`);
  return exponent >= 0
    ? Rational.of(digits * 10n ** BigInt(exponent))
    : Rational.of(digits, 10n ** BigInt(-exponent));
}

/**
 * Exact value, slope and curvature along the symbol `along`, by rules of its own; at a kink the
 * slope of one side. RangeError for exp, log and sqrt, and for a division by zero.
 */
export function jetOf(
  root: Expression,
  values: ReadonlyMap<string, Rational>,
  along?: string,
): Jet {
  const known = new Map<Expression, Jet>();
  const of = (node: Expression): Jet => known.get(node)!;
  for (const node of topologicalOrder([root])) {
    switch (node.kind) {
      case "constant":
        known.set(node, flat(rationalOfText(node.value.toString())));
        break;
      case "symbol": {
        const value = values.get(node.name);
        if (value === undefined) throw new RangeError(`${node.name} has no value`);
        known.set(node, node.name === along ? { value, first: ONE, second: ZERO } : flat(value));
        break;
      }
      case "named":
        known.set(node, of(node.operand));
        break;
      case "unary":
        known.set(node, unary(node.operation, of(node.operand)));
        break;
      case "binary":
        known.set(node, binary(node.operation, of(node.left), of(node.right)));
        break;
      case "power": {
        let result = of(node.operand);
        for (let count = 1; count < node.exponent; count += 1)
          result = product(result, of(node.operand));
        known.set(node, result);
      }
    }
  }
  return of(root);
}

/** Exact value of an expression of + - * / ^ min max abs floor. */
export function exactValue(root: Expression, values: ReadonlyMap<string, Rational>): Rational {
  return jetOf(root, values).value;
}
