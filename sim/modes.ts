import { EigenvalueDecomposition, Matrix, inverse } from "ml-matrix";
import { OutsideDomainError, invariant } from "../lib/errors.ts";
import { TURN } from "./signal.ts";

/**
 * Natural modes of a linear network: x' = A x with A = right D left. A real mode has one column; a
 * mode that rings has two, the first of which carries its frequency.
 */
export interface Modes {
  /** 1/s, one per column. */
  readonly rate: Float64Array;
  /** rad/s; zero for a real mode, and for the second column of a pair. */
  readonly omega: Float64Array;
  /** Whether the column is the second of a pair. */
  readonly second: readonly boolean[];
  /** State from modes; rows are states. */
  readonly right: readonly Float64Array[];
  /** Modes from state; rows are modes. */
  readonly left: readonly Float64Array[];
}

const MOST_SWEEPS = 60;
const EPSILON = 2.220446049250313e-16;

/** Share of all rates below which one is that of a part nothing discharges: rounding, not a rate. */
export const NO_RATE = 1e-28;

/** Sum of products. */
export function dot(one: Float64Array, other: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < one.length; k += 1) sum += one[k]! * other[k]!;
  return sum;
}

function rotate(one: Float64Array, other: Float64Array, turn: { c: number; s: number }): void {
  const { c, s } = turn;
  for (let k = 0; k < one.length; k += 1) {
    const x = one[k]!;
    const y = other[k]!;
    one[k] = c * x - s * y;
    other[k] = s * x + c * y;
  }
}

/**
 * Modes of x' = -M^T M x, a network of resistors and capacitors whose branches are the rows of M.
 * One-sided Jacobi rotations never form the product, so that the slowest rates keep their relative
 * accuracy beside rates that are orders of magnitude faster.
 *
 * Source: J. Demmel, K. Veselic, Jacobi's method is more accurate than QR, SIAM J. Matrix Anal.
 * Appl. 13 (1992) 1204-1245.
 */
export function resistiveModes(branches: readonly Float64Array[], size: number): Modes {
  const columns = Array.from({ length: size }, (_, index) =>
    Float64Array.from(branches, (row) => row[index]!),
  );
  const vectors = Array.from({ length: size }, (_, index) => {
    const unit = new Float64Array(size);
    unit[index] = 1;
    return unit;
  });
  const total = columns.reduce((sum, column) => sum + dot(column, column), 0);
  let rotated = true;
  for (let sweep = 0; rotated; sweep += 1) {
    invariant(sweep < MOST_SWEEPS, "Jacobi rotations converge");
    rotated = false;
    for (let p = 0; p < size; p += 1) {
      for (let q = p + 1; q < size; q += 1) {
        const alpha = dot(columns[p]!, columns[p]!);
        const beta = dot(columns[q]!, columns[q]!);
        const gamma = dot(columns[p]!, columns[q]!);
        if (alpha <= NO_RATE * total) columns[p]!.fill(0);
        if (beta <= NO_RATE * total) columns[q]!.fill(0);
        if (Math.min(alpha, beta) <= NO_RATE * total) continue;
        if (Math.abs(gamma) <= EPSILON * Math.sqrt(alpha) * Math.sqrt(beta)) continue;
        rotated = true;
        const zeta = (beta - alpha) / (2 * gamma);
        const t = (zeta < 0 ? -1 : 1) / (Math.abs(zeta) + Math.sqrt(1 + zeta * zeta));
        const c = 1 / Math.sqrt(1 + t * t);
        const turn = { c, s: c * t };
        rotate(columns[p]!, columns[q]!, turn);
        rotate(vectors[p]!, vectors[q]!, turn);
      }
    }
  }
  return {
    rate: Float64Array.from(columns, (column) => -dot(column, column)),
    omega: new Float64Array(size),
    second: vectors.map(() => false),
    right: Array.from({ length: size }, (_, state) =>
      Float64Array.from(vectors, (vector) => vector[state]!),
    ),
    left: vectors,
  };
}

/** Largest entry of right times left minus one that is taken as a sound decomposition. */
const SOUND = 1e-7;

function rows(matrix: Matrix): Float64Array[] {
  return matrix.to2DArray().map((row) => Float64Array.from(row));
}

function requireSound(right: Matrix, left: Matrix): void {
  const product = right.mmul(left).sub(Matrix.eye(right.rows));
  const worst = Math.max(product.max(), -product.min());
  if (worst < SOUND) return;
  throw new OutsideDomainError({
    path: "product",
    quantity: "damping of the network with inductors",
    permitted: "away from critical, where two modes fall into one",
    received: `modes that differ from independent ones by ${worst.toExponential(1)}`,
    hint: "change a resistance, an inductance or a capacitance by a part in a million",
  });
}

/** Rates with the smallest real ones, which are rounding, put to zero. */
function ratesWith(zeros: number, real: readonly number[], imaginary: readonly number[]) {
  const rates = Float64Array.from(real);
  const slowest = [...rates.keys()]
    .filter((column) => imaginary[column] === 0)
    .sort((one, other) => Math.abs(rates[one]!) - Math.abs(rates[other]!));
  for (const column of slowest.slice(0, zeros)) rates[column] = 0;
  return rates;
}

/**
 * Modes of x' = A x for any real matrix with independent modes; those that ring come in pairs. So
 * many modes are known not to decay at all.
 */
export function generalModes(matrix: readonly Float64Array[], zeros: number): Modes {
  const size = matrix.length;
  const system = new Matrix(matrix.map((row) => Array.from(row)));
  const decomposition = new EigenvalueDecomposition(system, { assumeSymmetric: false });
  const right = decomposition.eigenvectorMatrix;
  // Columns of equal length, so that independence can be judged.
  for (let column = 0; column < size; column += 1) {
    if (decomposition.imaginaryEigenvalues[column]! < 0) continue;
    const pair = decomposition.imaginaryEigenvalues[column]! > 0;
    const second = pair ? right.getColumn(column + 1) : [];
    const length = Math.sqrt(
      [...right.getColumn(column), ...second].reduce((sum, value) => sum + value * value, 0),
    );
    for (let row = 0; row < size; row += 1) {
      right.set(row, column, right.get(row, column) / length);
      if (pair) right.set(row, column + 1, right.get(row, column + 1) / length);
    }
  }
  let left: Matrix;
  try {
    left = inverse(right);
  } catch {
    left = Matrix.zeros(size, size);
  }
  requireSound(right, left);
  const imaginary = decomposition.imaginaryEigenvalues;
  return {
    rate: ratesWith(zeros, decomposition.realEigenvalues, imaginary),
    omega: Float64Array.from(imaginary, (value) => Math.max(0, value)),
    second: imaginary.map((value) => value < 0),
    right: rows(right),
    left: rows(left),
  };
}

/** Modes found in the coordinates of other modes, which come first, in those of the states. */
export function throughParts(modes: Modes, parts: Modes): Modes {
  const size = parts.rate.length;
  const columns = [...modes.rate.keys()];
  const right = parts.right.map((row) =>
    Float64Array.from(columns, (column) => {
      let sum = 0;
      for (let k = 0; k < size; k += 1) sum += row[k]! * modes.right[k]![column]!;
      return sum;
    }),
  );
  const left = modes.left.map((row) => {
    const states = Float64Array.from(row);
    for (let state = 0; state < size; state += 1) {
      states[state] = 0;
      for (let k = 0; k < size; k += 1) states[state]! += row[k]! * parts.left[k]![state]!;
    }
    return states;
  });
  return { ...modes, right: [...right, ...modes.right.slice(size)], left };
}

/** Frequency of a column, Hz. */
export function frequencyOf(modes: Modes, column: number): number {
  return modes.omega[column]! / TURN;
}
