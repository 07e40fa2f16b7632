import type { Expression } from "../../lib/expression/node.ts";
import { topologicalOrder } from "../../lib/expression/node.ts";

/** 2^61 - 1, a prime: arithmetic modulo it is exact and has quotients. */
export const PRIME = (1n << 61n) - 1n;

/** Thrown where a divisor is zero modulo the prime; says nothing about the expression. */
export class NoQuotient extends Error {}

function residue(value: bigint): bigint {
  const rest = value % PRIME;
  return rest < 0n ? rest + PRIME : rest;
}

function powerOf(base: bigint, exponent: bigint): bigint {
  let [result, square] = [1n, base];
  for (let rest = exponent; rest > 0n; rest >>= 1n) {
    if ((rest & 1n) === 1n) result = (result * square) % PRIME;
    square = (square * square) % PRIME;
  }
  return result;
}

/** By Fermat: a^(p-2) is 1/a. */
function inverse(value: bigint): bigint {
  if (value === 0n) throw new NoQuotient("division by zero modulo the prime");
  return powerOf(value, PRIME - 2n);
}

/** Any function of its arguments will do, as long as equal arguments give equal results. */
function opaque(operation: string, ...operands: bigint[]): bigint {
  let mixed = 0x5bd1e995n;
  for (const letter of operation)
    mixed = residue(mixed * 1_000_003n + BigInt(letter.charCodeAt(0)));
  for (const operand of operands)
    mixed = residue(powerOf(residue(mixed + operand), 3n) + 0x9e3779b97f4a7c15n);
  return mixed;
}

/**
 * Value of an expression modulo 2^61 - 1. exp, log, sqrt, abs, floor, min and max are opaque: a
 * number that depends on the values of their operands and on nothing else. Two expressions that are
 * equal by algebra have the same value at every point; two that are not agree at a random point
 * with a chance of about their degree over 2^61.
 *
 * Source: R. Zippel, Probabilistic algorithms for sparse polynomials (1979); J. T. Schwartz, Fast
 * probabilistic algorithms for verification of polynomial identities, J. ACM 27 (1980) 701-717.
 */
export function modularValue(root: Expression, values: ReadonlyMap<string, bigint>): bigint {
  const known = new Map<Expression, bigint>();
  const of = (node: Expression): bigint => known.get(node)!;
  for (const node of topologicalOrder([root])) {
    switch (node.kind) {
      case "constant": {
        const { mantissa, exponent } = node.value;
        const scale = powerOf(10n, BigInt(Math.abs(exponent)));
        known.set(node, residue(residue(mantissa) * (exponent < 0 ? inverse(scale) : scale)));
        break;
      }
      case "symbol":
        known.set(node, residue(values.get(node.name)!));
        break;
      case "named":
        known.set(node, of(node.operand));
        break;
      case "unary":
        known.set(
          node,
          node.operation === "negate"
            ? residue(-of(node.operand))
            : opaque(node.operation, of(node.operand)),
        );
        break;
      case "power":
        known.set(node, powerOf(of(node.operand), BigInt(node.exponent)));
        break;
      case "binary":
        known.set(node, binary(node.operation, of(node.left), of(node.right)));
    }
  }
  return of(root);
}

function binary(operation: string, left: bigint, right: bigint): bigint {
  switch (operation) {
    case "add":
      return residue(left + right);
    case "subtract":
      return residue(left - right);
    case "multiply":
      return residue(left * right);
    case "divide":
      return residue(left * inverse(right));
    default:
      return opaque(operation, left, right);
  }
}
