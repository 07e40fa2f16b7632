import type { Decimal } from "../quantity/decimal.ts";

/** Operations of one operand. `floor` is the largest integer not above; `log` is natural. */
export type UnaryOperation = "negate" | "exp" | "log" | "sqrt" | "abs" | "floor";

/** Operations of two operands. */
export type BinaryOperation = "add" | "subtract" | "multiply" | "divide" | "min" | "max";

/**
 * A node of the measurement equation: an immutable directed graph in which a node that is used twice
 * is the same quantity twice. Constants are exact decimals, so that no reading of the equation
 * inherits another's rounding.
 */
export type Expression =
  | { readonly kind: "constant"; readonly value: Decimal }
  | { readonly kind: "symbol"; readonly name: string }
  /** A definition: a sub-expression that the printed equation gives a name of its own. */
  | { readonly kind: "named"; readonly name: string; readonly operand: Expression }
  | {
      readonly kind: "unary";
      readonly operation: UnaryOperation;
      readonly operand: Expression;
    }
  | {
      readonly kind: "binary";
      readonly operation: BinaryOperation;
      readonly left: Expression;
      readonly right: Expression;
    }
  /** Integer power, exponent at least 2. */
  | { readonly kind: "power"; readonly operand: Expression; readonly exponent: number };

/** The direct operands of a node, left to right. */
export function operandsOf(node: Expression): readonly Expression[] {
  switch (node.kind) {
    case "constant":
    case "symbol":
      return [];
    case "named":
    case "unary":
    case "power":
      return [node.operand];
    case "binary":
      return [node.left, node.right];
  }
}

/**
 * Every node reachable from the roots, each once, operands before the nodes that use them.
 * Iterative, so that a long sum cannot exhaust the stack.
 */
export function topologicalOrder(roots: readonly Expression[]): Expression[] {
  const order: Expression[] = [];
  const seen = new Set<Expression>();
  const stack: { node: Expression; entered: boolean }[] = [];
  for (const root of roots) {
    stack.push({ node: root, entered: false });
    while (stack.length > 0) {
      const top = stack.pop()!;
      if (top.entered) {
        order.push(top.node);
        continue;
      }
      if (seen.has(top.node)) continue;
      seen.add(top.node);
      stack.push({ node: top.node, entered: true });
      const operands = operandsOf(top.node);
      for (let index = operands.length - 1; index >= 0; index -= 1) {
        const operand = operands[index]!;
        if (!seen.has(operand)) stack.push({ node: operand, entered: false });
      }
    }
  }
  return order;
}

/** Names of the symbols an expression depends on, in order of first use. */
export function symbolsOf(roots: readonly Expression[]): string[] {
  const names = new Set<string>();
  for (const node of topologicalOrder(roots)) if (node.kind === "symbol") names.add(node.name);
  return [...names];
}
