import { OutsideDomainError, invariant } from "../lib/errors.ts";
import type { Circuit, Term } from "./circuit.ts";
import type { NodeGroups } from "./node-groups.ts";

/** A conductance between two groups. */
export interface Branch {
  readonly i: number;
  readonly j: number;
  readonly siemens: number;
}

/** A current into a group. */
export interface Injection {
  readonly group: number;
  readonly factor: number;
  readonly terms: readonly Term[];
}

/** A group without capacitance: a weighted mean of its neighbours plus its currents. */
export interface StaticGroup {
  readonly group: number;
  readonly weights: readonly { readonly group: number; readonly weight: number }[];
  readonly injections: readonly Injection[];
  /** S, sum of its conductances. */
  readonly siemens: number;
}

/** A network of groups in which each unknown one has capacitance. */
export interface ReducedNetwork {
  /** Unknown groups with capacitance, in the order of the states. */
  readonly dynamic: readonly number[];
  readonly branches: readonly Branch[];
  readonly injections: readonly Injection[];
  /** In the order in which they were removed. */
  readonly removed: readonly StaticGroup[];
}

function injectionsOf(circuit: Circuit, groups: NodeGroups): Injection[] {
  return circuit.currents.flatMap(({ from, into, terms }) => [
    { group: groups.of.get(into)!, factor: 1, terms },
    { group: groups.of.get(from)!, factor: -1, terms },
  ]);
}

/**
 * Removes the groups that have no capacitance by the star-mesh transformation, whose branches are
 * products and quotients of positive numbers: no cancellation.
 */
export function reduceNetwork(circuit: Circuit, groups: NodeGroups): ReducedNetwork {
  const { of, known } = groups;
  const charged = new Set<number>();
  for (const { a, b } of [...circuit.capacitors, ...circuit.inductors]) {
    if (of.get(a) === of.get(b)) continue;
    charged.add(of.get(a)!);
    charged.add(of.get(b)!);
  }
  let branches: Branch[] = circuit.resistors
    .map(({ a, b, siemens }) => ({ i: of.get(a)!, j: of.get(b)!, siemens }))
    .filter(({ i, j }) => i !== j);
  let injections = injectionsOf(circuit, groups);
  const dynamic: number[] = [];
  const removed: StaticGroup[] = [];
  for (let group = 0; group < groups.count; group += 1) {
    if (known.has(group)) continue;
    if (charged.has(group)) {
      dynamic.push(group);
      continue;
    }
    const own = branches.filter(({ i, j }) => i === group || j === group);
    const siemens = own.reduce((sum, branch) => sum + branch.siemens, 0);
    if (siemens <= 0) {
      const name = [...of].find(([, number]) => number === group)![0];
      throw new OutsideDomainError({
        path: name,
        quantity: "conductance or capacitance of a node",
        permitted: "greater than zero",
        received: "none",
      });
    }
    const ends = own.map(({ i, j, siemens: g }) => ({ group: i === group ? j : i, g }));
    const weights = ends.map(({ group: end, g }) => ({ group: end, weight: g / siemens }));
    const mine = injections.filter((injection) => injection.group === group);
    removed.push({ group, weights, injections: mine, siemens });
    branches = branches.filter(({ i, j }) => i !== group && j !== group);
    for (const [index, one] of ends.entries())
      for (const other of ends.slice(index + 1))
        if (one.group !== other.group)
          branches.push({ i: one.group, j: other.group, siemens: (one.g * other.g) / siemens });
    injections = injections.filter((injection) => injection.group !== group);
    for (const { factor, terms } of mine)
      for (const { group: end, weight } of weights)
        injections.push({ group: end, factor: factor * weight, terms });
  }
  invariant(
    branches.every(({ siemens }) => siemens >= 0),
    "conductances are not negative",
  );
  return { dynamic, branches, injections, removed };
}
