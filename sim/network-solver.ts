import { OutsideDomainError } from "../lib/errors.ts";
import { factorCapacitance } from "./capacitance-factor.ts";
import type { CapacitanceEntry, CapacitanceFactor } from "./capacitance-factor.ts";
import type { Circuit } from "./circuit.ts";
import { NO_RATE, dot, generalModes, resistiveModes, throughParts } from "./modes.ts";
import type { Modes } from "./modes.ts";
import { groupNodes } from "./node-groups.ts";
import type { NodeGroups } from "./node-groups.ts";
import { reduceNetwork } from "./reduced-network.ts";
import type { ReducedNetwork } from "./reduced-network.ts";

/** Fastest rate over slowest beyond which a network of resistors and capacitors is refused. */
const STIFFEST = 1e15;

/**
 * The same with inductors, whose modes are found by rotations that keep the accuracy of the whole
 * and not of each rate: at this ratio the slowest rate is still right to about 1e-7.
 */
const STIFFEST_WITH_INDUCTORS = 1e14;

/** Rate, 1/s, and frequency, Hz, of a source. */
export interface Exponent {
  readonly rate: number;
  readonly frequency: number;
}

/** The different exponents of the sources of a network. */
export class Exponents {
  readonly list: Exponent[] = [];

  indexOf({ rate, frequency }: Exponent): number {
    const at = this.list.findIndex((one) => one.rate === rate && one.frequency === frequency);
    if (at >= 0) return at;
    this.list.push({ rate, frequency });
    return this.list.length - 1;
  }
}

/** What depends on the parts of a network alone, and not on its sources. */
interface SolvedParts {
  readonly factor: CapacitanceFactor;
  readonly modes: Modes;
}

/** Networks of the same parts come back again and again: their modes are found once. */
export type SolvedNetworks = Map<string, SolvedParts>;

/** The same text for networks whose parts and nodes are the same, whatever their sources do. */
function partsKey({ resistors, capacitors, inductors, currents, fixed, joins }: Circuit): string {
  const injected = currents.map(({ from, into }) => [from, into]);
  return JSON.stringify([resistors, capacitors, inductors, injected, [...fixed.keys()], joins]);
}

/** A network with its modes, ready to be driven and started. */
export class NetworkSolver {
  readonly circuit: Circuit;
  readonly groups: NodeGroups;
  readonly reduced: ReducedNetwork;
  readonly stateOf: ReadonlyMap<number, number>;
  readonly factor: CapacitanceFactor;
  readonly modes: Modes;
  readonly exponents = new Exponents();
  private readonly size: number;

  constructor(circuit: Circuit, solved?: SolvedNetworks) {
    this.circuit = circuit;
    this.groups = groupNodes(circuit);
    this.reduced = reduceNetwork(circuit, this.groups);
    this.size = this.reduced.dynamic.length;
    this.stateOf = new Map(this.reduced.dynamic.map((group, state) => [group, state]));
    const key = solved === undefined ? "" : partsKey(circuit);
    const earlier = solved?.get(key);
    this.factor =
      earlier?.factor ??
      factorCapacitance(this.size, this.capacitances(), (state) => this.nameOf(state));
    this.modes =
      earlier?.modes ?? (circuit.inductors.length === 0 ? this.resistive() : this.general());
    if (earlier !== undefined) return;
    this.requireResolved();
    solved?.set(key, { factor: this.factor, modes: this.modes });
  }

  private nameOf(state: number): string {
    const group = this.reduced.dynamic[state];
    return [...this.groups.of].find(([, number]) => number === group)?.[0] ?? "";
  }

  private capacitances(): CapacitanceEntry[] {
    return this.circuit.capacitors.flatMap(({ a, b, farad }) => {
      const i = this.stateAt(a);
      const j = this.stateAt(b);
      if (this.groups.of.get(a) === this.groups.of.get(b)) return [];
      if (i === undefined && j === undefined) return [];
      return [i === undefined ? { i: j!, j: -1, farad } : { i, j: j ?? -1, farad }];
    });
  }

  stateAt(node: string): number | undefined {
    return this.stateOf.get(this.groups.of.get(node)!);
  }

  /** Vector of a branch in scaled coordinates, times a factor. */
  private row(ends: { readonly i: number | undefined; readonly j: number | undefined }) {
    const e = new Float64Array(this.size);
    if (ends.i !== undefined) e[ends.i]! += 1;
    if (ends.j !== undefined) e[ends.j]! -= 1;
    return this.factor.forward(e);
  }

  private branchRows(): Float64Array[] {
    return this.reduced.branches.flatMap(({ i, j, siemens }) => {
      const ends = { i: this.stateOf.get(i), j: this.stateOf.get(j) };
      if (ends.i === undefined && ends.j === undefined) return [];
      const root = Math.sqrt(siemens);
      return [this.row(ends).map((value) => value * root)];
    });
  }

  private resistive(): Modes {
    return resistiveModes(this.branchRows(), this.size);
  }

  /** The modes of resistors and capacitors, coupled by the inductors. */
  private general(): Modes {
    const { inductors } = this.circuit;
    const parts = this.resistive();
    const total = this.size + inductors.length;
    const matrix = Array.from({ length: total }, () => new Float64Array(total));
    for (let mode = 0; mode < this.size; mode += 1) matrix[mode]![mode] = parts.rate[mode]!;
    for (const [index, { a, b, henry, ohm }] of inductors.entries()) {
      const column = this.row({ i: this.stateAt(a), j: this.stateAt(b) });
      const at = this.size + index;
      const root = Math.sqrt(henry);
      for (let mode = 0; mode < this.size; mode += 1) {
        const share = dot(parts.left[mode]!, column) / root;
        matrix[mode]![at]! -= share;
        matrix[at]![mode]! += share;
      }
      matrix[at]![at]! -= ohm / henry;
    }
    return throughParts(generalModes(matrix, this.floatingParts()), parts);
  }

  /** Parts of the network that no resistance and no inductance connects to a known voltage. */
  private floatingParts(): number {
    const parent = new Map<number, number>();
    const root = (group: number): number => {
      let top = group;
      while (parent.has(top)) top = parent.get(top)!;
      return top;
    };
    const join = (i: number, j: number): void => {
      const [one, other] = [root(i), root(j)];
      if (one !== other) parent.set(one, other);
    };
    for (const { i, j } of this.reduced.branches) join(i, j);
    for (const { a, b } of this.circuit.inductors)
      join(this.groups.of.get(a)!, this.groups.of.get(b)!);
    const held = new Set([...this.groups.known.keys()].map(root));
    return new Set(this.reduced.dynamic.map(root).filter((top) => !held.has(top))).size;
  }

  private requireResolved(): void {
    const rates = [...this.modes.rate].map(Math.abs);
    const fastest = Math.max(0, ...rates);
    const slowest = Math.min(...rates.filter((rate) => rate > fastest * NO_RATE));
    if (rates.length === 0 || fastest === 0) return;
    const stiffest = this.circuit.inductors.length === 0 ? STIFFEST : STIFFEST_WITH_INDUCTORS;
    if (Number.isFinite(fastest) && fastest <= stiffest * slowest) return;
    throw new OutsideDomainError({
      path: "",
      quantity: "ratio of the fastest rate of the network to the slowest",
      permitted: `at most ${stiffest.toExponential(0)}`,
      received: (fastest / slowest).toExponential(2),
      hint: "join nodes without resistance instead of through a very small one",
    });
  }

  get order(): number {
    return this.size + this.circuit.inductors.length;
  }

  /** Modal amounts from currents into the groups and voltages of the inductors. */
  modal(currents: Float64Array, volts: readonly number[]): Float64Array {
    const state = new Float64Array(this.order);
    state.set(this.factor.forward(currents));
    for (const [index, { henry }] of this.circuit.inductors.entries())
      state[this.size + index] = volts[index]! / Math.sqrt(henry);
    return Float64Array.from(this.modes.left, (row) => {
      let sum = 0;
      for (let k = 0; k < state.length; k += 1) sum += row[k]! * state[k]!;
      return sum;
    });
  }

  /** How a node's voltage, or an inductor's current, is made of the modes. */
  output(of: { readonly state: number } | { readonly inductor: number }): Float64Array {
    const weights = new Float64Array(this.order);
    if ("state" in of) weights.set(this.row({ i: of.state, j: undefined }));
    else
      weights[this.size + of.inductor] = 1 / Math.sqrt(this.circuit.inductors[of.inductor]!.henry);
    const row = new Float64Array(this.order);
    for (let k = 0; k < this.order; k += 1)
      for (let mode = 0; mode < this.order; mode += 1)
        row[mode]! += weights[k]! * this.modes.right[k]![mode]!;
    return row;
  }
}
