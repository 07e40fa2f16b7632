import type { Term } from "./circuit.ts";
import type { NetworkSolver } from "./network-solver.ts";
import { TURN } from "./signal.ts";

/** Modal amounts as phasors. */
export interface Phasors {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** Known voltages and injected currents as phasors by exponent. */
export class Sources {
  private readonly solver: NetworkSolver;

  constructor(solver: NetworkSolver) {
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
