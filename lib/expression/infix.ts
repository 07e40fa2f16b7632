import type { Expression } from "./node.ts";
import { topologicalOrder } from "./node.ts";

/** A named part of the printed equation. */
export interface Definition {
  readonly name: string;
  /** Right-hand side: symbols, earlier definitions, decimals and the operations of the contract. */
  readonly infix: string;
}

const PRECEDENCE = { sum: 1, product: 2, sign: 3, power: 4, atom: 5 } as const;

interface Printed {
  readonly text: string;
  readonly precedence: number;
}

function wrap(printed: Printed, least: number): string {
  return printed.precedence < least ? `(${printed.text})` : printed.text;
}

const SYMBOL_OF = { add: "+", subtract: "-", multiply: "*", divide: "/" } as const;

function printBinary(operation: keyof typeof SYMBOL_OF, left: Printed, right: Printed): Printed {
  const product = operation === "multiply" || operation === "divide";
  const precedence = product ? PRECEDENCE.product : PRECEDENCE.sum;
  // Floating-point addition is not associative: the right operand keeps its own grouping.
  const text = `${wrap(left, precedence)} ${SYMBOL_OF[operation]} ${wrap(right, precedence + 1)}`;
  return { text, precedence };
}

function printNode(node: Expression, printed: ReadonlyMap<Expression, Printed>): Printed {
  const of = (operand: Expression): Printed => printed.get(operand)!;
  switch (node.kind) {
    case "constant": {
      const text = node.value.toString();
      return { text, precedence: text.startsWith("-") ? PRECEDENCE.sign : PRECEDENCE.atom };
    }
    case "symbol":
    case "named":
      return { text: node.name, precedence: PRECEDENCE.atom };
    case "unary":
      return node.operation === "negate"
        ? { text: `-${wrap(of(node.operand), PRECEDENCE.power)}`, precedence: PRECEDENCE.sign }
        : { text: `${node.operation}(${of(node.operand).text})`, precedence: PRECEDENCE.atom };
    case "power":
      return {
        text: `${wrap(of(node.operand), PRECEDENCE.atom)}^${node.exponent}`,
        precedence: PRECEDENCE.power,
      };
    case "binary":
      return node.operation === "min" || node.operation === "max"
        ? {
            text: `${node.operation}(${of(node.left).text}, ${of(node.right).text})`,
            precedence: PRECEDENCE.atom,
          }
        : printBinary(node.operation, of(node.left), of(node.right));
  }
}

/**
 * Prints an expression in ordinary infix notation: its named parts as definitions, each using only
 * symbols and earlier definitions, and the expression itself. Operations: + - * / ^ (integer
 * exponent), exp, log (natural), sqrt, abs, min and max of two arguments, floor.
 */
export function toInfix(root: Expression): { definitions: Definition[]; infix: string } {
  const printed = new Map<Expression, Printed>();
  const definitions: Definition[] = [];
  const defined = new Map<string, Expression>();
  for (const node of topologicalOrder([root])) {
    if (node.kind === "named" && defined.get(node.name) !== node) {
      const infix = printed.get(node.operand)!.text;
      const earlier = definitions.find((definition) => definition.name === node.name);
      if (earlier === undefined) definitions.push({ name: node.name, infix });
      else if (earlier.infix !== infix) throw new Error(`two definitions of ${node.name}`);
      defined.set(node.name, node);
    }
    printed.set(node, printNode(node, printed));
  }
  return { definitions, infix: printed.get(root)!.text };
}
