import { OutsideDomainError } from "../lib/errors.ts";
import { factorCapacitance } from "./capacitance-factor.ts";
import type { CapacitanceEntry, CapacitanceFactor } from "./capacitance-factor.ts";
import { EARTH } from "./circuit.ts";
import type { Circuit, Term } from "./circuit.ts";
import { frequencyOf, generalModes, resistiveModes } from "./modes.ts";
import type { Modes } from "./modes.ts";
import { groupNodes } from "./node-groups.ts";
import type { NodeGroups } from "./node-groups.ts";
import { reduceNetwork } from "./reduced-network.ts";
import type { ReducedNetwork } from "./reduced-network.ts";
import { TURN, addScaled, derivative, zeroSignal } from "./signal.ts";
import type { Basis, Signal } from "./signal.ts";

/** State of a network at one instant. */
export interface NetworkState {
  /** V against earth, just before the instant. */
  readonly voltage: ReadonlyMap<string, number>;
  /** A through each inductor. */
  readonly current: ReadonlyMap<string, number>;
}

/** Every voltage and current of a network between two events, in closed form. */
export interface CircuitSolution {
  readonly basis: Basis;
  readonly nodes: readonly string[];
  /** Ids of the inductors. */
  readonly inductors: readonly string[];
  /** V against earth. */
  voltage(node: string): Signal;
  /** A, from the first node of the inductor to its second. */
  inductorCurrent(id: string): Signal;
  /** A that flows into a node from its joined neighbours and its source. */
  currentInto(node: string): Signal;
}

/** Where a segment begins and from what; without a state it begins settled. */
export interface SegmentStart {
  /** s. */
  readonly instant: number;
  readonly state?: NetworkState;
}

/** Fastest rate over slowest beyond which a network of resistors and capacitors is refused. */
const STIFFEST = 1e15;

/** An exponential driven at its own rate: relative distance below which it counts as the same. */
const SAME_RATE = 1e-12;

/** Share of the fastest rate below which a computed rate is that of a part nothing discharges. */
const NO_RATE = 1e-29;

interface Exponent {
  readonly rate: number;
  readonly frequency: number;
}

class Exponents {
  readonly list: Exponent[] = [];

  indexOf({ rate, frequency }: Exponent): number {
    const at = this.list.findIndex((one) => one.rate === rate && one.frequency === frequency);
    if (at >= 0) return at;
    this.list.push({ rate, frequency });
    return this.list.length - 1;
  }
}

/** A network with its modes, ready to be driven and started. */
class Solver {
  readonly circuit: Circuit;
  readonly groups: NodeGroups;
  readonly reduced: ReducedNetwork;
  readonly stateOf: ReadonlyMap<number, number>;
  readonly factor: CapacitanceFactor;
  readonly modes: Modes;
  readonly exponents = new Exponents();
  private readonly size: number;

  constructor(circuit: Circuit) {
    this.circuit = circuit;
    this.groups = groupNodes(circuit);
    this.reduced = reduceNetwork(circuit, this.groups);
    this.size = this.reduced.dynamic.length;
    this.stateOf = new Map(this.reduced.dynamic.map((group, state) => [group, state]));
    this.factor = factorCapacitance(this.size, this.capacitances(), (state) => this.nameOf(state));
    this.modes = circuit.inductors.length === 0 ? this.resistive() : this.general();
    this.requireResolved();
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

  private general(): Modes {
    const { inductors } = this.circuit;
    const total = this.size + inductors.length;
    const matrix = Array.from({ length: total }, () => new Float64Array(total));
    for (const row of this.branchRows())
      for (let i = 0; i < this.size; i += 1)
        for (let j = 0; j < this.size; j += 1) matrix[i]![j]! -= row[i]! * row[j]!;
    for (const [index, { a, b, henry, ohm }] of inductors.entries()) {
      const column = this.row({ i: this.stateAt(a), j: this.stateAt(b) });
      const at = this.size + index;
      const root = Math.sqrt(henry);
      for (let i = 0; i < this.size; i += 1) {
        matrix[i]![at]! -= column[i]! / root;
        matrix[at]![i]! += column[i]! / root;
      }
      matrix[at]![at]! -= ohm / henry;
    }
    return generalModes(matrix);
  }

  private requireResolved(): void {
    const rates = [...this.modes.rate].map(Math.abs);
    const fastest = Math.max(0, ...rates);
    const slowest = Math.min(...rates.filter((rate) => rate > fastest * NO_RATE));
    if (rates.length === 0 || fastest === 0) return;
    if (Number.isFinite(fastest) && fastest <= STIFFEST * slowest) return;
    throw new OutsideDomainError({
      path: "",
      quantity: "ratio of the fastest rate of the network to the slowest",
      permitted: `at most ${STIFFEST.toExponential(0)}`,
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

interface Phasors {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** Known voltages and injected currents as phasors by exponent. */
class Sources {
  private readonly solver: Solver;

  constructor(solver: Solver) {
    this.solver = solver;
    const { circuit, exponents } = solver;
    for (const terms of circuit.fixed.values()) for (const term of terms) exponents.indexOf(term);
    for (const { terms } of circuit.currents) for (const term of terms) exponents.indexOf(term);
  }

  /** Phasor of the terms at one exponent. */
  at(terms: readonly Term[], exponent: number): readonly [number, number] {
    let re = 0;
    let im = 0;
    for (const term of terms) {
      if (this.solver.exponents.indexOf(term) !== exponent) continue;
      re += term.re;
      im += term.im;
    }
    return [re, im];
  }

  knownTerms(node: string): readonly Term[] | undefined {
    const { groups } = this.solver;
    return groups.known.get(groups.of.get(node)!);
  }

  /** Modal drive at one exponent. */
  drive(exponent: number): Phasors {
    const { solver } = this;
    const { circuit, reduced, stateOf, groups } = solver;
    const re = new Float64Array(stateOf.size);
    const im = new Float64Array(stateOf.size);
    const { rate, frequency } = solver.exponents.list[exponent]!;
    const omega = TURN * frequency;
    for (const { group, factor, terms } of reduced.injections) {
      const state = stateOf.get(group);
      if (state === undefined) continue;
      const [a, b] = this.at(terms, exponent);
      re[state]! += factor * a;
      im[state]! += factor * b;
    }
    for (const { i, j, siemens } of reduced.branches) {
      for (const [own, other] of [
        [i, j],
        [j, i],
      ] as const) {
        const state = stateOf.get(own);
        const terms = groups.known.get(other);
        if (state === undefined || terms === undefined) continue;
        const [a, b] = this.at(terms, exponent);
        re[state]! += siemens * a;
        im[state]! += siemens * b;
      }
    }
    for (const { a: one, b: two, farad } of circuit.capacitors) {
      for (const [own, other] of [
        [one, two],
        [two, one],
      ] as const) {
        const state = solver.stateAt(own);
        const terms = this.knownTerms(other);
        if (state === undefined || terms === undefined) continue;
        const [a, b] = this.at(terms, exponent);
        re[state]! += farad * (rate * a - omega * b);
        im[state]! += farad * (rate * b + omega * a);
      }
    }
    const volts = circuit.inductors.map(({ a, b }) => {
      const one = this.at(this.knownTerms(a) ?? [], exponent);
      const two = this.at(this.knownTerms(b) ?? [], exponent);
      return [one[0] - two[0], one[1] - two[1]] as const;
    });
    return {
      re: solver.modal(
        re,
        volts.map(([value]) => value),
      ),
      im: solver.modal(
        im,
        volts.map(([, value]) => value),
      ),
    };
  }
}

function divideComplex(a: number, b: number, c: number, d: number): readonly [number, number] {
  const norm = c * c + d * d;
  return [(a * c + b * d) / norm, (b * c - a * d) / norm];
}

function requireNoResonance(drive: number, largest: number): void {
  if (Math.abs(drive) <= 1e-9 * largest) return;
  throw new OutsideDomainError({
    path: "",
    quantity: "source of a part of the network",
    permitted:
      "at another rate than the part's own, so that the response stays a sum of exponentials",
    received: "one at the same rate, as a constant current into a part that nothing discharges",
    hint: "give the part a resistance to earth, or change the rate by a part in a million",
  });
}

/** Forced response of the modes to one exponent. */
function forced(modes: Modes, drive: Phasors, exponent: Exponent): Phasors {
  const size = modes.rate.length;
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  const omega = TURN * exponent.frequency;
  const fastest = Math.max(0, ...[...modes.rate].map(Math.abs));
  const largest = Math.max(0, ...[...drive.re, ...drive.im].map(Math.abs));
  for (let k = 0; k < size; k += 1) {
    if (modes.second[k]) continue;
    const c = exponent.rate - modes.rate[k]!;
    const beta = modes.omega[k]!;
    if (beta === 0) {
      const scale = Math.max(Math.abs(modes.rate[k]!) * SAME_RATE, fastest * NO_RATE);
      if (omega === 0 && Math.abs(c) <= scale) {
        requireNoResonance(drive.re[k]!, largest);
        continue;
      }
      [re[k], im[k]] = divideComplex(drive.re[k]!, drive.im[k]!, c, omega);
      continue;
    }
    // (s - D) y = f with D = [[alpha, beta], [-beta, alpha]].
    const detRe = c * c - omega * omega + beta * beta;
    const detIm = 2 * c * omega;
    const f = [drive.re[k]!, drive.im[k]!, drive.re[k + 1]!, drive.im[k + 1]!] as const;
    const firstRe = c * f[0] - omega * f[1] + beta * f[2];
    const firstIm = c * f[1] + omega * f[0] + beta * f[3];
    const secondRe = c * f[2] - omega * f[3] - beta * f[0];
    const secondIm = c * f[3] + omega * f[2] - beta * f[1];
    [re[k], im[k]] = divideComplex(firstRe, firstIm, detRe, detIm);
    [re[k + 1], im[k + 1]] = divideComplex(secondRe, secondIm, detRe, detIm);
  }
  return { re, im };
}

/** Charge of the capacitors on each state with the state's own voltage yet to be found, C. */
function startingCharges(solver: Solver, sources: Sources, state: NetworkState): Float64Array {
  const charges = new Float64Array(solver.stateOf.size);
  const before = (node: string): number => (node === EARTH ? 0 : (state.voltage.get(node) ?? 0));
  const held = (node: string): number =>
    (sources.knownTerms(node) ?? []).reduce((sum, term) => sum + term.re, 0);
  for (const { a: one, b: two, farad } of solver.circuit.capacitors) {
    for (const [own, other] of [
      [one, two],
      [two, one],
    ] as const) {
      const at = solver.stateAt(own);
      if (at === undefined) continue;
      charges[at]! += farad * (before(own) - before(other));
      if (solver.stateAt(other) === undefined) charges[at]! += farad * held(other);
    }
  }
  return charges;
}

/** Amounts of the modes beside the forced response, at the start. */
function startingModes(solver: Solver, sources: Sources, parts: StartParts): Float64Array {
  const free = new Float64Array(solver.order);
  const { state, responses } = parts;
  if (state === undefined) return free;
  const charges = startingCharges(solver, sources, state);
  const fluxes = solver.circuit.inductors.map(
    ({ id, henry }) => henry * (state.current.get(id) ?? 0),
  );
  const total = solver.modal(charges, fluxes);
  for (let k = 0; k < free.length; k += 1) {
    free[k] = total[k]!;
    for (const response of responses) free[k]! -= response.re[k]!;
  }
  return free;
}

interface StartParts {
  readonly state: NetworkState | undefined;
  readonly responses: readonly Phasors[];
}

function basisOf(solver: Solver, start: number): Basis {
  const { modes, exponents } = solver;
  const kept = [...modes.rate.keys()].filter((column) => !modes.second[column]);
  return {
    start,
    rate: Float64Array.from([
      ...kept.map((column) => modes.rate[column]!),
      ...exponents.list.map(({ rate }) => rate),
    ]),
    frequency: Float64Array.from([
      ...kept.map((column) => frequencyOf(modes, column)),
      ...exponents.list.map(({ frequency }) => frequency),
    ]),
  };
}

/** Turns modal amounts into signals. */
class Solution implements CircuitSolution {
  readonly basis: Basis;
  private readonly solver: Solver;
  private readonly sources: Sources;
  private readonly responses: readonly Phasors[];
  private readonly free: Float64Array;
  private readonly byGroup = new Map<number, Signal>();

  constructor(solver: Solver, start: SegmentStart) {
    this.solver = solver;
    this.sources = new Sources(solver);
    this.responses = solver.exponents.list.map((exponent, index) =>
      forced(solver.modes, this.sources.drive(index), exponent),
    );
    this.free = startingModes(solver, this.sources, {
      state: start.state,
      responses: this.responses,
    });
    this.basis = basisOf(solver, start.instant);
  }

  get nodes(): readonly string[] {
    return [...this.solver.groups.of.keys()];
  }

  get inductors(): readonly string[] {
    return this.solver.circuit.inductors.map(({ id }) => id);
  }

  private combine(row: Float64Array): Signal {
    const signal = zeroSignal(this.basis);
    const { modes } = this.solver;
    let column = 0;
    for (let k = 0; k < row.length; k += 1) {
      if (modes.second[k]) continue;
      signal.re[column] = row[k]! * this.free[k]!;
      if (modes.omega[k] !== 0) {
        // The pair is (Re z, -Im z) with z = y1 - j y2, and z grows as one complex exponential.
        const a = this.free[k]!;
        const b = -this.free[k + 1]!;
        signal.re[column] = row[k]! * a - row[k + 1]! * b;
        signal.im[column] = row[k]! * b + row[k + 1]! * a;
      }
      column += 1;
    }
    for (const response of this.responses) {
      for (let k = 0; k < row.length; k += 1) {
        signal.re[column]! += row[k]! * response.re[k]!;
        signal.im[column]! += row[k]! * response.im[k]!;
      }
      column += 1;
    }
    return signal;
  }

  private ofTerms(terms: readonly Term[]): Signal {
    const signal = zeroSignal(this.basis);
    const first = this.basis.rate.length - this.responses.length;
    for (const term of terms) {
      const at = first + this.solver.exponents.indexOf(term);
      signal.re[at]! += term.re;
      signal.im[at]! += term.im;
    }
    return signal;
  }

  private group(number: number): Signal {
    const earlier = this.byGroup.get(number);
    if (earlier !== undefined) return earlier;
    const signal = this.groupSignal(number);
    this.byGroup.set(number, signal);
    return signal;
  }

  private groupSignal(number: number): Signal {
    const known = this.solver.groups.known.get(number);
    if (known !== undefined) return this.ofTerms(known);
    const state = this.solver.stateOf.get(number);
    if (state !== undefined) return this.combine(this.solver.output({ state }));
    const fixed = this.solver.reduced.removed.find(({ group }) => group === number)!;
    const signal = zeroSignal(this.basis);
    for (const { group, weight } of fixed.weights) addScaled(signal, weight, this.group(group));
    for (const { factor, terms } of fixed.injections)
      addScaled(signal, factor / fixed.siemens, this.ofTerms(terms));
    return signal;
  }

  voltage(node: string): Signal {
    return this.group(this.solver.groups.of.get(node)!);
  }

  inductorCurrent(id: string): Signal {
    const inductor = this.solver.circuit.inductors.findIndex((one) => one.id === id);
    return this.combine(this.solver.output({ inductor }));
  }

  currentInto(node: string): Signal {
    const { circuit } = this.solver;
    const sum = zeroSignal(this.basis);
    const across = (a: string, b: string, factor: number, wrap: (signal: Signal) => Signal) => {
      if (a !== node && b !== node) return;
      const other = a === node ? b : a;
      addScaled(sum, factor, wrap(this.voltage(node)));
      addScaled(sum, -factor, wrap(this.voltage(other)));
    };
    for (const { a, b, siemens } of circuit.resistors) across(a, b, siemens, (signal) => signal);
    for (const { a, b, farad } of circuit.capacitors) across(a, b, farad, derivative);
    for (const { id, a, b } of circuit.inductors) {
      if (a === node) addScaled(sum, 1, this.inductorCurrent(id));
      if (b === node) addScaled(sum, -1, this.inductorCurrent(id));
    }
    for (const { from, into, terms } of circuit.currents) {
      if (into === node) addScaled(sum, -1, this.ofTerms(terms));
      if (from === node) addScaled(sum, 1, this.ofTerms(terms));
    }
    return sum;
  }
}

/**
 * Solves a linear network exactly from an instant on, until its next event. Charges are conserved
 * on every part of the network that no source holds: nodes that a switch has just joined share
 * theirs at once.
 *
 * Throws OutsideDomainError for a network that doubles cannot resolve, nodes without capacitance
 * to anything known, or sources that are shorted.
 */
export function solveCircuit(circuit: Circuit, start: SegmentStart): CircuitSolution {
  return new Solution(new Solver(circuit), start);
}
