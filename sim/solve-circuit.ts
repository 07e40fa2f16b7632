import { EARTH } from "./circuit.ts";
import type { Circuit, Term } from "./circuit.ts";
import { forcedResponse } from "./forced-response.ts";
import { frequencyOf } from "./modes.ts";
import { NetworkSolver } from "./network-solver.ts";
import type { SolvedNetworks } from "./network-solver.ts";
import { addScaled, derivative, zeroSignal } from "./signal.ts";
import type { Basis, Signal } from "./signal.ts";
import { Sources } from "./sources.ts";
import type { Phasors } from "./sources.ts";

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
  /** Networks of the same scenario solved earlier; this one is added. */
  readonly solved?: SolvedNetworks;
}

/** Charge of the capacitors on each state with the state's own voltage yet to be found, C. */
function startingCharges(
  solver: NetworkSolver,
  sources: Sources,
  state: NetworkState,
): Float64Array {
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
function startingModes(solver: NetworkSolver, sources: Sources, parts: StartParts): Float64Array {
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

function basisOf(solver: NetworkSolver, start: number): Basis {
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
  private readonly solver: NetworkSolver;
  private readonly sources: Sources;
  private readonly responses: readonly Phasors[];
  private readonly free: Float64Array;
  private readonly byGroup = new Map<number, Signal>();

  constructor(solver: NetworkSolver, start: SegmentStart) {
    this.solver = solver;
    this.sources = new Sources(solver);
    this.responses = solver.exponents.list.map((exponent, index) =>
      forcedResponse(solver.modes, this.sources.drive(index), exponent),
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
  return new Solution(new NetworkSolver(circuit, start.solved), start);
}
