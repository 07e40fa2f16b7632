import { add, constant, divide, isConstant, multiply, negate, power, subtract } from "./build.ts";
import type { Expression } from "./node.ts";

function strip(node: Expression): Expression {
  let inner = node;
  while (inner.kind === "named") inner = inner.operand;
  return inner;
}

function sameLeaf(before: Expression, after: Expression): boolean {
  if (before.kind === "constant" && after.kind === "constant")
    return before.value.equals(after.value);
  return before.kind === "symbol" && after.kind === "symbol" && before.name === after.name;
}

function isProduct(node: Expression): boolean {
  return node.kind === "binary" && (node.operation === "multiply" || node.operation === "divide");
}

interface Factor {
  readonly node: Expression;
  /** Stands in the denominator. */
  readonly inverse: boolean;
}

function factorsOf(node: Expression, inverse = false): Factor[] {
  const inner = strip(node);
  if (inner.kind === "binary" && isProduct(inner)) {
    const rightInverse = inner.operation === "divide" ? !inverse : inverse;
    return [...factorsOf(inner.left, inverse), ...factorsOf(inner.right, rightInverse)];
  }
  return isConstant(inner, 1) ? [] : [{ node: inner, inverse }];
}

/** Same outermost operation, so that the two may be one factor on two occasions. */
function alike(before: Expression, after: Expression): boolean {
  if (before.kind === "symbol" || before.kind === "constant") return false;
  if (before.kind !== after.kind) return false;
  return !("operation" in before && "operation" in after) || before.operation === after.operation;
}

/** A factor that counts from 1: (1 + x) - 1 is x. */
function minusOne(node: Expression): Expression {
  if (node.kind === "binary" && node.operation === "add") {
    if (isConstant(node.left, 1)) return node.right;
    if (isConstant(node.right, 1)) return node.left;
  }
  return subtract(node, 1);
}

/**
 * The change of an expression from one occasion to another, written so that what both occasions
 * share cancels by algebra and not by subtraction of two large figures. Both expressions must come
 * from the same builder, so that they have the same shape; where they differ in shape the plain
 * difference or quotient is formed.
 *
 * Rules, with 1 before and 2 after: d(a+b) = da + db; d(ab) = da b2 + a1 db;
 * d(a/b) = (da - (a1/b1) db) / b2; rel(ab) = ra (1 + rb) + rb; rel(a/b) = (ra - rb) / (1 + rb);
 * rel(a+b) = (da + db) / (a1 + b1); rel(a^n) = (1 + ra)^n - 1. Each is an identity; the certificate
 * checker tests the whole form exactly against the plain one.
 */
export class Change {
  private readonly differences = new Map<Expression, Map<Expression, Expression>>();
  private readonly relatives = new Map<Expression, Map<Expression, Expression>>();
  private readonly neverZero: (node: Expression) => boolean;

  /** `neverZero` tells whether an expression excludes zero over the whole box. */
  constructor(neverZero: (node: Expression) => boolean) {
    this.neverZero = neverZero;
  }

  /** after - before. */
  difference(before: Expression, after: Expression): Expression {
    return this.remember(this.differences, before, after, () =>
      this.formDifference(strip(before), strip(after)),
    );
  }

  /** after / before - 1; `before` must exclude zero. */
  relative(before: Expression, after: Expression): Expression {
    return this.remember(this.relatives, before, after, () =>
      this.formRelative(strip(before), strip(after)),
    );
  }

  private remember(
    memory: Map<Expression, Map<Expression, Expression>>,
    before: Expression,
    after: Expression,
    form: () => Expression,
  ): Expression {
    const known = memory.get(before)?.get(after);
    if (known !== undefined) return known;
    const formed = before === after ? constant(0) : form();
    const inner = memory.get(before) ?? new Map<Expression, Expression>();
    memory.set(before, inner.set(after, formed));
    return formed;
  }

  private formDifference(before: Expression, after: Expression): Expression {
    if (before === after || sameLeaf(before, after)) return constant(0);
    if (before.kind === "unary" && after.kind === "unary" && before.operation === after.operation) {
      const inner = this.difference(before.operand, after.operand);
      if (isConstant(inner, 0)) return inner;
      if (before.operation === "negate") return negate(inner);
    }
    if (
      before.kind === "binary" &&
      after.kind === "binary" &&
      before.operation === after.operation
    ) {
      const dl = this.difference(before.left, after.left);
      const dr = this.difference(before.right, after.right);
      if (isConstant(dl, 0) && isConstant(dr, 0)) return dl;
      switch (before.operation) {
        case "add":
          return add(dl, dr);
        case "subtract":
          return subtract(dl, dr);
        case "multiply":
          return this.differenceOfProduct(before, after, dl, dr);
        case "divide":
          return isConstant(dr, 0)
            ? divide(dl, after.right)
            : this.neverZero(before.left)
              ? multiply(before, this.relative(before, after))
              : divide(subtract(dl, multiply(before, dr)), after.right);
        default:
      }
    }
    if (before.kind === "power" && after.kind === "power" && before.exponent === after.exponent) {
      if (isConstant(this.difference(before.operand, after.operand), 0)) return constant(0);
    }
    return subtract(after, before);
  }

  private differenceOfProduct(
    before: Expression & { kind: "binary" },
    after: Expression & { kind: "binary" },
    dl: Expression,
    dr: Expression,
  ): Expression {
    if (isConstant(dl, 0)) return multiply(before.left, dr);
    if (isConstant(dr, 0)) return multiply(dl, before.right);
    if (this.neverZero(before.left) && this.neverZero(before.right))
      return multiply(before, this.relative(before, after));
    return add(multiply(dl, after.right), multiply(before.left, dr));
  }

  private formRelative(before: Expression, after: Expression): Expression {
    if (before === after || sameLeaf(before, after)) return constant(0);
    if (isProduct(before) || isProduct(after)) return this.relativeOfProduct(before, after);
    if (before.kind === "unary" && after.kind === "unary" && before.operation === after.operation) {
      if (before.operation === "negate") return this.relative(before.operand, after.operand);
    }
    if (before.kind === "power" && after.kind === "power" && before.exponent === after.exponent) {
      const inner = this.relative(before.operand, after.operand);
      return isConstant(inner, 0) ? inner : subtract(power(add(1, inner), before.exponent), 1);
    }
    const ofSum = this.relativeOfSum(before, after);
    if (ofSum !== undefined) return ofSum;
    const difference = this.difference(before, after);
    return isConstant(difference, 0) ? difference : divide(difference, before);
  }

  /**
   * Factors are paired, those that stay the same drop out, and one that only the later reading has
   * counts from 1; rel(ab) and rel(a/b) join the rest.
   */
  private relativeOfProduct(before: Expression, after: Expression): Expression {
    const earlier = factorsOf(before);
    const later = factorsOf(after);
    let relative: Expression = constant(0);
    const join = (change: Expression, inverse: boolean): void => {
      if (isConstant(change, 0)) return;
      relative = inverse
        ? divide(subtract(relative, change), add(1, change))
        : isConstant(relative, 0)
          ? change
          : add(multiply(relative, add(1, change)), change);
    };
    for (const { node, inverse } of earlier) {
      const same = later.findIndex(
        (other) => other.inverse === inverse && isConstant(this.difference(node, other.node), 0),
      );
      const like = later.findIndex((other) => other.inverse === inverse && alike(node, other.node));
      const at = same >= 0 ? same : like;
      const [partner] = at < 0 ? [] : later.splice(at, 1);
      if (partner === undefined) join(minusOne(node), !inverse);
      else join(this.relative(node, partner.node), inverse);
    }
    for (const { node, inverse } of later) join(minusOne(node), inverse);
    return relative;
  }

  /** rel(a + b) with a unchanged is rel(b) / (1 + a/b), in which b stands once. */
  private relativeOfSum(before: Expression, after: Expression): Expression | undefined {
    if (before.kind !== "binary" || after.kind !== "binary") return undefined;
    if (before.operation !== "add" || after.operation !== "add") return undefined;
    const sides = [
      [before.left, after.left, before.right, after.right],
      [before.right, after.right, before.left, after.left],
    ] as const;
    for (const [fixed, fixedAfter, moving, movingAfter] of sides) {
      if (!isConstant(this.difference(fixed, fixedAfter), 0) || !this.neverZero(moving)) continue;
      return divide(this.relative(moving, movingAfter), add(1, divide(fixed, moving)));
    }
    return undefined;
  }
}
