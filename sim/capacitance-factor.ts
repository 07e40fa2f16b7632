import { OutsideDomainError } from "../lib/errors.ts";

/** A capacitance between two states, or of one state to nodes whose voltage is known. */
export interface CapacitanceEntry {
  readonly i: number;
  /** -1: to a node of known voltage. */
  readonly j: number;
  readonly farad: number;
}

/**
 * Factor of the capacitance matrix C = L D L^T of a network, found without a single subtraction, so
 * that a picofarad to earth beside a microfarad between the pins keeps its relative accuracy.
 */
export interface CapacitanceFactor {
  /** D^(-1/2) L^(-1) e. */
  forward(e: Float64Array): Float64Array;
}

/**
 * Factors the capacitances of a network. Throws OutsideDomainError where a set of nodes has no
 * capacitance to any node of known voltage.
 */
export function factorCapacitance(
  size: number,
  entries: readonly CapacitanceEntry[],
  nameOf: (state: number) => string,
): CapacitanceFactor {
  const between = Array.from({ length: size }, () => new Float64Array(size));
  const outward = new Float64Array(size);
  for (const { i, j, farad } of entries) {
    if (j < 0) outward[i]! += farad;
    else {
      between[i]![j]! += farad;
      between[j]![i]! += farad;
    }
  }
  const ratios = Array.from({ length: size }, () => new Float64Array(size));
  const root = new Float64Array(size);
  for (let k = 0; k < size; k += 1) {
    let total = outward[k]!;
    for (let j = k + 1; j < size; j += 1) total += between[k]![j]!;
    if (!(total > 0)) {
      throw new OutsideDomainError({
        path: nameOf(k),
        quantity: "capacitance to earth of a part of the network",
        permitted: "greater than zero",
        received: "0 F",
        hint: "give the product or the tester a capacitance to earth",
      });
    }
    root[k] = Math.sqrt(total);
    for (let i = k + 1; i < size; i += 1) {
      const ratio = between[i]![k]! / total;
      ratios[i]![k] = ratio;
      outward[i]! += ratio * outward[k]!;
      for (let j = k + 1; j < size; j += 1) if (j !== i) between[i]![j]! += ratio * between[k]![j]!;
    }
  }
  return {
    forward(e) {
      const y = e.slice();
      for (let i = 0; i < size; i += 1)
        for (let k = 0; k < i; k += 1) y[i]! += ratios[i]![k]! * y[k]!;
      for (let i = 0; i < size; i += 1) y[i]! /= root[i]!;
      return y;
    },
  };
}
