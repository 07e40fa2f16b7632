import { Matrix, inverse } from "ml-matrix";
import odex from "odex";
import type { Circuit, Term } from "../../../sim/circuit.ts";
import type { NetworkState } from "../../../sim/solve-circuit.ts";

/** Value and slope of source terms at a time after the segment's start. */
function sourceAt(terms: readonly Term[], t: number): { value: number; slope: number } {
  let value = 0;
  let slope = 0;
  for (const { rate, frequency, re, im } of terms) {
    const omega = 2 * Math.PI * frequency;
    const size = Math.exp(rate * t);
    const c = Math.cos(omega * t);
    const s = Math.sin(omega * t);
    const wave = size * (re * c - im * s);
    value += wave;
    slope += rate * wave - omega * size * (re * s + im * c);
  }
  return { value, slope };
}

/**
 * The same network written down node by node and integrated by a general-purpose ODE library: dense
 * matrices, no groups, no modes. Joins are not understood.
 */
export function integrate(
  circuit: Circuit,
  start: NetworkState,
  duration: number,
): { readonly voltage: Map<string, number>; readonly current: Map<string, number> } {
  const nodes = [...start.voltage.keys()].filter(
    (node) => node !== "earth" && !circuit.fixed.has(node),
  );
  const n = nodes.length;
  const index = new Map(nodes.map((node, k) => [node, k]));
  const capacitance = Matrix.zeros(n, n);
  for (const { a, b, farad } of circuit.capacitors) {
    const i = index.get(a);
    const j = index.get(b);
    if (i !== undefined) capacitance.set(i, i, capacitance.get(i, i) + farad);
    if (j !== undefined) capacitance.set(j, j, capacitance.get(j, j) + farad);
    if (i !== undefined && j !== undefined) {
      capacitance.set(i, j, capacitance.get(i, j) - farad);
      capacitance.set(j, i, capacitance.get(j, i) - farad);
    }
  }
  const inverted = inverse(capacitance).to2DArray();
  const voltageAt = (node: string, t: number, y: readonly number[]): number => {
    if (node === "earth") return 0;
    const k = index.get(node);
    return k === undefined ? sourceAt(circuit.fixed.get(node)!, t).value : y[k]!;
  };
  const derivative = (t: number, y: number[]): number[] => {
    const into = Array.from({ length: n }, () => 0);
    const add = (node: string, ampere: number): void => {
      const k = index.get(node);
      if (k !== undefined) into[k]! += ampere;
    };
    for (const { a, b, siemens } of circuit.resistors) {
      const ampere = siemens * (voltageAt(a, t, y) - voltageAt(b, t, y));
      add(a, -ampere);
      add(b, ampere);
    }
    for (const { a, b, farad } of circuit.capacitors) {
      if (circuit.fixed.has(a)) add(b, farad * sourceAt(circuit.fixed.get(a)!, t).slope);
      if (circuit.fixed.has(b)) add(a, farad * sourceAt(circuit.fixed.get(b)!, t).slope);
    }
    for (const { from, into: to, terms } of circuit.currents) {
      const { value } = sourceAt(terms, t);
      add(from, -value);
      add(to, value);
    }
    const rest: number[] = [];
    for (const [k, { a, b, henry, ohm }] of circuit.inductors.entries()) {
      const ampere = y[n + k]!;
      add(a, -ampere);
      add(b, ampere);
      rest.push((voltageAt(a, t, y) - voltageAt(b, t, y) - ohm * ampere) / henry);
    }
    const slopes = inverted.map((row) => row.reduce((sum, value, k) => sum + value * into[k]!, 0));
    return [...slopes, ...rest];
  };
  const solver = new odex.Solver(n + circuit.inductors.length);
  solver.relativeTolerance = 1e-13;
  solver.absoluteTolerance = 1e-13;
  solver.initialStepSize = duration / 1000;
  solver.maxSteps = 200_000;
  const { y } = solver.solve(
    derivative,
    0,
    [
      ...nodes.map((node) => start.voltage.get(node)!),
      ...circuit.inductors.map(({ id }) => start.current.get(id) ?? 0),
    ],
    duration,
  );
  return {
    voltage: new Map(nodes.map((node, k) => [node, y[k]!])),
    current: new Map(circuit.inductors.map(({ id }, k) => [id, y[n + k]!])),
  };
}
