import type { Expression } from "../expression/node.ts";
import { topologicalOrder } from "../expression/node.ts";

/**
 * The same expression with expressions in place of some of its symbols; a node used twice stays one
 * node. Definitions lose their names, which no longer fit what they stand for.
 */
export function withSymbols(
  root: Expression,
  replacement: (name: string) => Expression | undefined,
): Expression {
  const known = new Map<Expression, Expression>();
  const of = (node: Expression): Expression => known.get(node) ?? node;
  for (const node of topologicalOrder([root])) {
    switch (node.kind) {
      case "constant":
        break;
      case "symbol":
        known.set(node, replacement(node.name) ?? node);
        break;
      case "named":
        known.set(node, of(node.operand));
        break;
      case "unary":
      case "power":
        known.set(node, { ...node, operand: of(node.operand) });
        break;
      case "binary":
        known.set(node, { ...node, left: of(node.left), right: of(node.right) });
        break;
    }
  }
  return of(root);
}
