import { invariant } from "../errors.ts";
import type { Expression } from "./node.ts";
import { topologicalOrder } from "./node.ts";

/** Operation codes of a tape; every evaluator switches on these. */
export const OP = {
  constant: 0,
  symbol: 1,
  negate: 2,
  exp: 3,
  log: 4,
  sqrt: 5,
  abs: 6,
  floor: 7,
  add: 8,
  subtract: 9,
  multiply: 10,
  divide: 11,
  min: 12,
  max: 13,
  power: 14,
} as const;

/**
 * The graph laid out for evaluation: one row per distinct node, operands before use. Equal
 * sub-expressions share a row, names vanish.
 */
export interface Tape {
  readonly length: number;
  readonly operation: Uint8Array;
  /** Row of the left or only operand; for a symbol its slot. */
  readonly left: Int32Array;
  /** Row of the right operand; for a power the exponent. */
  readonly right: Int32Array;
  /** Enclosure and nearest double of each constant row, 0 elsewhere. */
  readonly constantLower: Float64Array;
  readonly constantUpper: Float64Array;
  readonly constantNearest: Float64Array;
  /** Names of the symbols; a slot is an index into this list. */
  readonly symbols: readonly string[];
  readonly slotOf: ReadonlyMap<string, number>;
  /** Rows of the roots in the order given. */
  readonly roots: Int32Array;
  /** The node each row came from, for messages. */
  readonly nodes: readonly Expression[];
}

interface Row {
  readonly operation: number;
  readonly left: number;
  readonly right: number;
  readonly node: Expression;
}

function rowOf(node: Expression, rowIndex: Map<Expression, number>, slot: (n: string) => number) {
  const at = (operand: Expression): number => rowIndex.get(operand)!;
  switch (node.kind) {
    case "constant":
      return { operation: OP.constant, left: -1, right: -1, node };
    case "symbol":
      return { operation: OP.symbol, left: slot(node.name), right: -1, node };
    case "unary":
      return { operation: OP[node.operation], left: at(node.operand), right: -1, node };
    case "binary":
      return { operation: OP[node.operation], left: at(node.left), right: at(node.right), node };
    case "power":
      return { operation: OP.power, left: at(node.operand), right: node.exponent, node };
    case "named":
      return undefined;
  }
}

function keyOf(row: Row): string {
  if (row.operation === OP.constant && row.node.kind === "constant")
    return `c${row.node.value.toString()}`;
  const commutes = row.operation === OP.add || row.operation === OP.multiply;
  const swap = commutes && row.left > row.right;
  return swap
    ? `${row.operation},${row.right},${row.left}`
    : `${row.operation},${row.left},${row.right}`;
}

/**
 * Lays out the roots for evaluation. `symbols` fixes the order of the slots; every symbol of the
 * roots must be in it.
 */
export function compileTape(roots: readonly Expression[], symbols: readonly string[]): Tape {
  const slotOf = new Map(symbols.map((name, index) => [name, index]));
  const slot = (name: string): number => {
    const index = slotOf.get(name);
    invariant(index !== undefined, `symbol ${name} has no slot`);
    return index;
  };
  const rows: Row[] = [];
  const rowIndex = new Map<Expression, number>();
  const known = new Map<string, number>();
  for (const node of topologicalOrder(roots)) {
    const row = rowOf(node, rowIndex, slot);
    if (row === undefined) {
      invariant(node.kind === "named", "only a name has no row");
      rowIndex.set(node, rowIndex.get(node.operand)!);
      continue;
    }
    const key = keyOf(row);
    const existing = known.get(key);
    if (existing !== undefined) {
      rowIndex.set(node, existing);
      continue;
    }
    known.set(key, rows.length);
    rowIndex.set(node, rows.length);
    rows.push(row);
  }
  const constants = rows.map((row) => (row.node.kind === "constant" ? row.node.value : undefined));
  return {
    length: rows.length,
    operation: Uint8Array.from(rows, (row) => row.operation),
    left: Int32Array.from(rows, (row) => row.left),
    right: Int32Array.from(rows, (row) => row.right),
    constantLower: Float64Array.from(constants, (value) => value?.lowerNumber() ?? 0),
    constantUpper: Float64Array.from(constants, (value) => value?.upperNumber() ?? 0),
    constantNearest: Float64Array.from(constants, (value) => value?.toNumber() ?? 0),
    symbols: [...symbols],
    slotOf,
    roots: Int32Array.from(roots, (root) => rowIndex.get(root)!),
    nodes: rows.map((row) => row.node),
  };
}
