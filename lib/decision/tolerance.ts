import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";

/**
 * Limits of a property, in its unit: tolerance limits, or limits within which a measured value is
 * accepted. One of them may be left out; both are inside.
 */
export interface Tolerance {
  readonly lower?: number;
  readonly upper?: number;
}

/** A measured value, or knowledge of a property, as a normal distribution. */
export interface NormalState {
  readonly estimate: number;
  /** Above zero. */
  readonly standardUncertainty: number;
}

/** Every fault of limits that stand at `path`. */
export function toleranceFaults({ lower, upper }: Tolerance, path: string): Fault[] {
  const received = `${lower ?? "none"} to ${upper ?? "none"}`;
  const isFinite = [lower, upper].every((limit) => limit === undefined || Number.isFinite(limit));
  const isSome = lower !== undefined || upper !== undefined;
  const isOrdered = lower === undefined || upper === undefined || lower < upper;
  if (isFinite && isSome && isOrdered) return [];
  const permitted = "one finite limit, or two with the lower below the upper";
  return [{ path, quantity: "limits", permitted, received }];
}

/** Every fault of a normal distribution that stands at `path`. */
export function stateFaults({ estimate, standardUncertainty }: NormalState, path: string): Fault[] {
  const faults: Fault[] = [];
  if (!Number.isFinite(estimate)) {
    const received = String(estimate);
    faults.push({ path, quantity: "estimate", permitted: "a finite number", received });
  }
  if (!(standardUncertainty > 0 && standardUncertainty < Infinity)) {
    const received = String(standardUncertainty);
    const permitted = "a finite number above zero";
    faults.push({ path, quantity: "standard uncertainty", permitted, received });
  }
  return faults;
}

/** Throws InvalidInputError where there is a fault. */
export function throwFaults(subject: string, faults: readonly Fault[]): void {
  if (faults.length > 0) throw new InvalidInputError(subject, faults);
}
