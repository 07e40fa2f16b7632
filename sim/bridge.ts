import { EARTH, constantTerm } from "./circuit.ts";
import type { Circuit } from "./circuit.ts";
import type { Product } from "./scenario.ts";
import { addConstant, addScaled, difference, zeroSignal } from "./signal.ts";
import type { Signal } from "./signal.ts";
import type { CircuitSolution } from "./solve-circuit.ts";

type Rectifier = Extract<Product, { kind: "rectifier" }>;

/** Nodes of the bulk capacitor of a bridge whose four diodes conduct each for itself. */
export const BULK_PLUS = "bulk";
export const BULK_MINUS = "bulkMinus";

/** Whether a rectifier is simulated diode by diode: where its bulk has a capacitance to earth. */
export function isBridge(product: Product): boolean {
  return product.kind === "rectifier" && (product.bulkEarthCapacitance ?? 0) > 0;
}

/** V above its drop at which a diode begins, so that one left at its drop does not chatter. */
export const READY = 1e-5;

/** A diode, in the direction of its current. */
export interface Diode {
  readonly from: string;
  readonly into: string;
}

/** The four diodes. */
export const DIODES: readonly Diode[] = [
  { from: "L", into: BULK_PLUS },
  { from: "N", into: BULK_PLUS },
  { from: BULK_MINUS, into: "L" },
  { from: BULK_MINUS, into: "N" },
];

/**
 * Adds bulk, load and the diodes that conduct. Half of the bridge's drop and resistance belongs to
 * each diode. The bulk's capacitance to earth takes part in the common mode: while no diode
 * conducts, the pins and the bulk float apart.
 */
export function addBridge(
  circuit: Circuit,
  product: Rectifier,
  conducting: ReadonlySet<Diode>,
): void {
  const farad = product.bulkEarthCapacitance ?? 0;
  circuit.capacitors.push(
    { a: BULK_PLUS, b: BULK_MINUS, farad: product.bulk },
    { a: BULK_MINUS, b: EARTH, farad },
  );
  if (product.load > 0)
    circuit.resistors.push({ a: BULK_PLUS, b: BULK_MINUS, siemens: 1 / product.load });
  const siemens = 2 / product.resistance;
  for (const { from, into } of conducting) {
    circuit.resistors.push({ a: from, b: into, siemens });
    const terms = [constantTerm((siemens * product.forwardVoltage) / 2)];
    circuit.currents.push({ from: into, into: from, terms });
  }
}

/** Signal that becomes positive when a diode changes its state. */
export function diodeSignal(
  product: Rectifier,
  solution: CircuitSolution,
  { diode, conducts }: { readonly diode: Diode; readonly conducts: boolean },
): Signal {
  const across = difference(solution.voltage(diode.from), solution.voltage(diode.into));
  const forward = addConstant(across, -product.forwardVoltage / 2);
  if (!conducts) return addConstant(forward, -READY);
  const backward = zeroSignal(forward.basis);
  addScaled(backward, -1, forward);
  return backward;
}
