import type { Tape } from "../expression/tape.ts";

/** Number of coefficients: powers 0 and 1 of the first step, 0 to 2 of the second. */
const TERMS = 6;

/** Derivatives at a point, in directions i and j (the same or different inputs). */
export interface MixedDerivatives {
  readonly value: number;
  /** d/dxj */
  readonly first: number;
  /** d2/dxi dxj */
  readonly mixed: number;
  /** d3/dxi dxj2 */
  readonly third: number;
}

/**
 * Exact second and third derivatives of a tape: it is evaluated on polynomials in two small steps
 * s and t, cut off after s t^2, and the derivatives are read off the coefficients. No differences
 * are formed, so that nothing but the rounding of doubles comes in. Coefficient (a, b) of
 * s^a t^b stands at 3 a + b.
 */
export class TaylorEvaluator {
  private readonly tape: Tape;
  private readonly coefficients: Float64Array;

  constructor(tape: Tape) {
    this.tape = tape;
    this.coefficients = new Float64Array(tape.length * TERMS);
  }

  private product(a: number, b: number, out: number): void {
    const c = this.coefficients;
    const [a0, a1, a2] = [c[a]!, c[a + 1]!, c[a + 2]!];
    const [a3, a4, a5] = [c[a + 3]!, c[a + 4]!, c[a + 5]!];
    const [b0, b1, b2] = [c[b]!, c[b + 1]!, c[b + 2]!];
    const [b3, b4, b5] = [c[b + 3]!, c[b + 4]!, c[b + 5]!];
    c[out] = a0 * b0;
    c[out + 1] = a0 * b1 + a1 * b0;
    c[out + 2] = a0 * b2 + a1 * b1 + a2 * b0;
    c[out + 3] = a0 * b3 + a3 * b0;
    c[out + 4] = a0 * b4 + a1 * b3 + a3 * b1 + a4 * b0;
    c[out + 5] = a0 * b5 + a1 * b4 + a2 * b3 + a3 * b2 + a4 * b1 + a5 * b0;
  }

  /** A function of one operand, from its value and its first three derivatives there. */
  private compose(a: number, out: number, d: readonly [number, number, number, number]): void {
    const c = this.coefficients;
    const [t1, t2, s0, s1, s2] = [c[a + 1]!, c[a + 2]!, c[a + 3]!, c[a + 4]!, c[a + 5]!];
    const [value, first, second, third] = d;
    c[out] = value;
    c[out + 1] = first * t1;
    c[out + 2] = first * t2 + (second / 2) * t1 * t1;
    c[out + 3] = first * s0;
    c[out + 4] = first * s1 + second * s0 * t1;
    c[out + 5] = first * s2 + second * (s0 * t2 + s1 * t1) + (third / 2) * s0 * t1 * t1;
  }

  private copy(a: number, out: number, factor: number): void {
    const c = this.coefficients;
    for (let term = 0; term < TERMS; term += 1) c[out + term] = factor * c[a + term]!;
  }

  private combine(a: number, b: number, out: number, sign: number): void {
    const c = this.coefficients;
    for (let term = 0; term < TERMS; term += 1) c[out + term] = c[a + term]! + sign * c[b + term]!;
  }

  private quotient(a: number, b: number, out: number): void {
    const c = this.coefficients;
    // q b = a, solved coefficient by coefficient.
    const b0 = c[b]!;
    const [b1, b2, b3, b4, b5] = [c[b + 1]!, c[b + 2]!, c[b + 3]!, c[b + 4]!, c[b + 5]!];
    const q0 = c[a]! / b0;
    const q1 = (c[a + 1]! - q0 * b1) / b0;
    const q2 = (c[a + 2]! - q0 * b2 - q1 * b1) / b0;
    const q3 = (c[a + 3]! - q0 * b3) / b0;
    const q4 = (c[a + 4]! - q0 * b4 - q1 * b3 - q3 * b1) / b0;
    const q5 = (c[a + 5]! - q0 * b5 - q1 * b4 - q2 * b3 - q3 * b2 - q4 * b1) / b0;
    c.set([q0, q1, q2, q3, q4, q5], out);
  }

  private power(a: number, out: number, exponent: number): void {
    const x = this.coefficients[a]!;
    const n = exponent;
    this.compose(a, out, [
      x ** n,
      n * x ** (n - 1),
      n * (n - 1) * x ** (n - 2),
      n < 3 ? 0 : n * (n - 1) * (n - 2) * x ** (n - 3),
    ]);
  }

  private row(row: number): void {
    const c = this.coefficients;
    const code = this.tape.operation[row]!;
    const a = this.tape.left[row]! * TERMS;
    const b = this.tape.right[row]! * TERMS;
    const out = row * TERMS;
    const x = c[a]!;
    switch (code) {
      case 2: // negate
        return this.copy(a, out, -1);
      case 3: {
        // exp
        const e = Math.exp(x);
        return this.compose(a, out, [e, e, e, e]);
      }
      case 4: // log
        return this.compose(a, out, [Math.log(x), 1 / x, -1 / (x * x), 2 / (x * x * x)]);
      case 5: {
        // sqrt
        const root = Math.sqrt(x);
        return this.compose(a, out, [root, 0.5 / root, -0.25 / (x * root), 0.375 / (x * x * root)]);
      }
      case 6: // abs
        return this.copy(a, out, x < 0 ? -1 : 1);
      case 7: // floor
        return this.compose(a, out, [Math.floor(x), 0, 0, 0]);
      case 8: // add
        return this.combine(a, b, out, 1);
      case 9: // subtract
        return this.combine(a, b, out, -1);
      case 10: // multiply
        return this.product(a, b, out);
      case 11: // divide
        return this.quotient(a, b, out);
      case 12: // min
        return this.copy(x <= c[b]! ? a : b, out, 1);
      case 13: // max
        return this.copy(x >= c[b]! ? a : b, out, 1);
      default:
        return this.power(a, out, this.tape.right[row]!);
    }
  }

  /** Derivatives of root number `root` at the point, in the directions of slots i and j. */
  evaluate(
    point: ArrayLike<number>,
    { i, j, root }: { readonly i: number; readonly j: number; readonly root: number },
  ): MixedDerivatives {
    const { operation, left, length, constantNearest, roots } = this.tape;
    const c = this.coefficients;
    for (let row = 0; row < length; row += 1) {
      const out = row * TERMS;
      if (operation[row]! > 1) {
        this.row(row);
        continue;
      }
      c.fill(0, out, out + TERMS);
      if (operation[row] === 0) c[out] = constantNearest[row]!;
      else {
        const slot = left[row]!;
        c[out] = point[slot]!;
        if (slot === i) c[out + 3] = 1;
        if (slot === j) c[out + 1] = 1;
      }
    }
    const at = roots[root]! * TERMS;
    return { value: c[at]!, first: c[at + 1]!, mixed: c[at + 4]!, third: 2 * c[at + 5]! };
  }
}
