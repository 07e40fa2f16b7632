import { OutsideDomainError } from "../lib/errors.ts";
import { EARTH } from "./circuit.ts";
import type { Circuit, Term } from "./circuit.ts";

/** Nodes that are one because switches without resistance join them. */
export interface NodeGroups {
  /** Group of every node. */
  readonly of: ReadonlyMap<string, number>;
  readonly count: number;
  /** Voltage of the groups that a source or earth holds. */
  readonly known: ReadonlyMap<number, readonly Term[]>;
}

function nodesOf(circuit: Circuit): Set<string> {
  const nodes = new Set<string>([EARTH, ...circuit.fixed.keys()]);
  for (const { a, b } of [...circuit.resistors, ...circuit.capacitors, ...circuit.inductors]) {
    nodes.add(a);
    nodes.add(b);
  }
  for (const { from, into } of circuit.currents) {
    nodes.add(from);
    nodes.add(into);
  }
  for (const pair of circuit.joins) for (const node of pair) nodes.add(node);
  return nodes;
}

/** Finds the groups. Throws OutsideDomainError where two sources without impedance are joined. */
export function groupNodes(circuit: Circuit): NodeGroups {
  const parent = new Map<string, string>();
  for (const node of nodesOf(circuit)) parent.set(node, node);
  const root = (node: string): string => {
    let top = node;
    while (parent.get(top) !== top) top = parent.get(top)!;
    return top;
  };
  for (const [a, b] of circuit.joins) parent.set(root(a), root(b));
  const numbers = new Map<string, number>();
  const of = new Map<string, number>();
  for (const node of parent.keys()) {
    const top = root(node);
    const number = numbers.get(top) ?? numbers.size;
    numbers.set(top, number);
    of.set(node, number);
  }
  const known = new Map<number, readonly Term[]>([[of.get(EARTH)!, []]]);
  for (const [node, terms] of circuit.fixed) {
    const group = of.get(node)!;
    const earlier = known.get(group);
    if (earlier !== undefined && JSON.stringify(earlier) !== JSON.stringify(terms)) {
      throw new OutsideDomainError({
        path: "mains",
        quantity: "resistance between two sources",
        permitted: "greater than zero",
        received: `none at ${node}`,
        hint: "two sources without impedance are joined",
      });
    }
    known.set(group, terms);
  }
  return { of, count: numbers.size, known };
}
