import { InvalidInputError } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { Expression, UnaryOperation } from "./node.ts";

/** What the builders accept: a node, an exact decimal, or an integer. */
export type Operand = Expression | Decimal | bigint | number;

const IDENTIFIER = /^[A-Za-z_][A-Za-z0-9_]*$/;

/** Words that have a meaning of their own in the printed equation or in common evaluators. */
const RESERVED = new Set(["exp", "log", "sqrt", "abs", "min", "max", "floor", "pi", "i", "e"]);

function checkName(name: string): void {
  if (IDENTIFIER.test(name) && !RESERVED.has(name)) return;
  throw new InvalidInputError("expression", [
    {
      path: name,
      quantity: "name of a quantity",
      permitted: "letters, digits and underscores, not starting with a digit, and no function name",
      received: JSON.stringify(name),
    },
  ]);
}

/** An exact constant. A plain number is taken as the shortest decimal that prints as it. */
export function constant(value: Decimal | bigint | number): Expression {
  if (value instanceof Decimal) return { kind: "constant", value };
  if (typeof value === "bigint") return { kind: "constant", value: Decimal.ofInteger(value) };
  return { kind: "constant", value: Decimal.fromNumber(value).value };
}

/** A quantity by its stable name. */
export function symbol(name: string): Expression {
  checkName(name);
  return { kind: "symbol", name };
}

/** Gives a sub-expression a name in the printed equation; the value is unchanged. */
export function named(name: string, operand: Expression): Expression {
  checkName(name);
  return { kind: "named", name, operand };
}

function lift(operand: Operand): Expression {
  return typeof operand === "object" && "kind" in operand ? operand : constant(operand);
}

function constantValue(node: Expression): Decimal | undefined {
  return node.kind === "constant" ? node.value : undefined;
}

/** Whether the node is the constant given. */
export function isConstant(node: Expression, value: number): boolean {
  return constantValue(node)?.equals(Decimal.ofInteger(value)) === true;
}

/** Sum of the operands; zeros vanish, constants are added exactly. */
export function add(...operands: Operand[]): Expression {
  let sum: Expression | undefined;
  for (const operand of operands) {
    const node = lift(operand);
    if (isConstant(node, 0)) continue;
    if (sum === undefined) {
      sum = node;
      continue;
    }
    const left = constantValue(sum);
    const right = constantValue(node);
    sum =
      left !== undefined && right !== undefined
        ? constant(left.add(right))
        : { kind: "binary", operation: "add", left: sum, right: node };
  }
  return sum ?? constant(0);
}

/** Difference `left - right`. */
export function subtract(left: Operand, right: Operand): Expression {
  const a = lift(left);
  const b = lift(right);
  if (isConstant(b, 0)) return a;
  if (isConstant(a, 0)) return negate(b);
  const x = constantValue(a);
  const y = constantValue(b);
  if (x !== undefined && y !== undefined) return constant(x.subtract(y));
  return { kind: "binary", operation: "subtract", left: a, right: b };
}

/** Product of the operands; ones vanish, a zero wins, constants are multiplied exactly. */
export function multiply(...operands: Operand[]): Expression {
  let product: Expression | undefined;
  for (const operand of operands) {
    const node = lift(operand);
    if (isConstant(node, 0)) return constant(0);
    if (isConstant(node, 1)) continue;
    if (product === undefined) {
      product = node;
      continue;
    }
    const left = constantValue(product);
    const right = constantValue(node);
    product =
      left !== undefined && right !== undefined
        ? constant(left.multiply(right))
        : { kind: "binary", operation: "multiply", left: product, right: node };
  }
  return product ?? constant(1);
}

/** Quotient `left / right`. A constant zero as divisor is refused. */
export function divide(left: Operand, right: Operand): Expression {
  const a = lift(left);
  const b = lift(right);
  if (isConstant(b, 0)) {
    throw new InvalidInputError("expression", [
      { path: "", quantity: "divisor", permitted: "other than zero", received: "0" },
    ]);
  }
  if (isConstant(a, 0)) return a;
  if (isConstant(b, 1)) return a;
  return { kind: "binary", operation: "divide", left: a, right: b };
}

function unary(operation: UnaryOperation, operand: Operand): Expression {
  return { kind: "unary", operation, operand: lift(operand) };
}

/** Sign reversed. */
export function negate(operand: Operand): Expression {
  const node = lift(operand);
  const value = constantValue(node);
  return value === undefined ? unary("negate", node) : constant(value.negate());
}

/** e to the operand. */
export function exponential(operand: Operand): Expression {
  return unary("exp", operand);
}

/** Natural logarithm. */
export function logarithm(operand: Operand): Expression {
  return unary("log", operand);
}

/** Square root. */
export function squareRoot(operand: Operand): Expression {
  return unary("sqrt", operand);
}

/** Absolute value. */
export function absolute(operand: Operand): Expression {
  return unary("abs", operand);
}

/** Largest integer not above the operand. */
export function floor(operand: Operand): Expression {
  return unary("floor", operand);
}

/** The smaller of two. */
export function minimum(left: Operand, right: Operand): Expression {
  return { kind: "binary", operation: "min", left: lift(left), right: lift(right) };
}

/** The larger of two. */
export function maximum(left: Operand, right: Operand): Expression {
  return { kind: "binary", operation: "max", left: lift(left), right: lift(right) };
}

/** Integer power; exponent 0 gives 1, exponent 1 the operand, a negative one the reciprocal. */
export function power(operand: Operand, exponent: number): Expression {
  if (!Number.isInteger(exponent) || Math.abs(exponent) > 64) {
    throw new InvalidInputError("expression", [
      {
        path: "",
        quantity: "exponent",
        permitted: "an integer from -64 to 64",
        received: String(exponent),
      },
    ]);
  }
  const node = lift(operand);
  if (exponent === 0) return constant(1);
  if (exponent === 1) return node;
  if (exponent < 0) return divide(constant(1), power(node, -exponent));
  return { kind: "power", operand: node, exponent };
}
