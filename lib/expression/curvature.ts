import { above, below } from "../interval/rounding.ts";
import type { IntervalEvaluator } from "./enclose.ts";
import { productLower, productUpper, quotientLower, quotientUpper } from "./end-arithmetic.ts";
import type { Tape } from "./tape.ts";

/**
 * Encloses the second derivative of the first root along one symbol, by a forward pass over the
 * rows that depend on it. Values come from the last enclosure of the evaluator given.
 */
export class CurvatureEvaluator {
  private readonly tape: Tape;
  private readonly values: IntervalEvaluator;
  /** Rows that depend on each slot, first use on demand. */
  private readonly dependent = new Map<number, Int32Array>();
  private readonly firstLower: Float64Array;
  private readonly firstUpper: Float64Array;
  private readonly secondLower: Float64Array;
  private readonly secondUpper: Float64Array;
  /** Ends of the interval computed last. */
  private readonly scratch = new Float64Array(2);

  constructor(values: IntervalEvaluator) {
    const { length } = values.tape;
    this.tape = values.tape;
    this.values = values;
    this.firstLower = new Float64Array(length);
    this.firstUpper = new Float64Array(length);
    this.secondLower = new Float64Array(length);
    this.secondUpper = new Float64Array(length);
  }

  private rowsOf(slot: number): Int32Array {
    const known = this.dependent.get(slot);
    if (known !== undefined) return known;
    const { operation, left, right, length } = this.tape;
    const depends = new Uint8Array(length);
    const rows: number[] = [];
    for (let row = 0; row < length; row += 1) {
      const code = operation[row]!;
      if (code === 0) continue;
      const hit =
        code === 1
          ? left[row] === slot
          : depends[left[row]!] === 1 || (code >= 8 && code <= 13 && depends[right[row]!] === 1);
      if (!hit) continue;
      depends[row] = 1;
      rows.push(row);
    }
    const found = Int32Array.from(rows);
    this.dependent.set(slot, found);
    return found;
  }

  /** scratch := first(a) first(b), twice when asked. */
  private firstProduct(a: number, b: number): void {
    const { firstLower, firstUpper, scratch } = this;
    scratch[0] = productLower(firstLower[a]!, firstUpper[a]!, firstLower[b]!, firstUpper[b]!);
    scratch[1] = productUpper(firstLower[a]!, firstUpper[a]!, firstLower[b]!, firstUpper[b]!);
  }

  private multiplyRow(row: number, a: number, b: number): void {
    const { firstLower, firstUpper, secondLower, secondUpper, scratch } = this;
    const { lower, upper } = this.values;
    const [al, ah, bl, bh] = [lower[a]!, upper[a]!, lower[b]!, upper[b]!];
    firstLower[row] = below(
      productLower(firstLower[a]!, firstUpper[a]!, bl, bh) +
        productLower(firstLower[b]!, firstUpper[b]!, al, ah),
    );
    firstUpper[row] = above(
      productUpper(firstLower[a]!, firstUpper[a]!, bl, bh) +
        productUpper(firstLower[b]!, firstUpper[b]!, al, ah),
    );
    this.firstProduct(a, b);
    secondLower[row] = below(
      below(
        productLower(secondLower[a]!, secondUpper[a]!, bl, bh) +
          productLower(secondLower[b]!, secondUpper[b]!, al, ah),
      ) +
        2 * scratch[0]!,
    );
    secondUpper[row] = above(
      above(
        productUpper(secondLower[a]!, secondUpper[a]!, bl, bh) +
          productUpper(secondLower[b]!, secondUpper[b]!, al, ah),
      ) +
        2 * scratch[1]!,
    );
  }

  /** q' = (a' - q b') / b and q'' = (a'' - 2 q' b' - q b'') / b. */
  private divideRow(row: number, a: number, b: number): void {
    const { firstLower, firstUpper, secondLower, secondUpper, scratch } = this;
    const { lower, upper } = this.values;
    const [bl, bh, ql, qh] = [lower[b]!, upper[b]!, lower[row]!, upper[row]!];
    const low = below(firstLower[a]! - productUpper(ql, qh, firstLower[b]!, firstUpper[b]!));
    const high = above(firstUpper[a]! - productLower(ql, qh, firstLower[b]!, firstUpper[b]!));
    firstLower[row] = quotientLower(low, high, bl, bh);
    firstUpper[row] = quotientUpper(low, high, bl, bh);
    this.firstProduct(row, b);
    const secondLow = below(
      below(secondLower[a]! - 2 * scratch[1]!) -
        productUpper(ql, qh, secondLower[b]!, secondUpper[b]!),
    );
    const secondHigh = above(
      above(secondUpper[a]! - 2 * scratch[0]!) -
        productLower(ql, qh, secondLower[b]!, secondUpper[b]!),
    );
    secondLower[row] = quotientLower(secondLow, secondHigh, bl, bh);
    secondUpper[row] = quotientUpper(secondLow, secondHigh, bl, bh);
  }

  /** Copies or reflects a row: factor 1 or -1. */
  private copyRow(row: number, a: number, negative: boolean): void {
    const { firstLower, firstUpper, secondLower, secondUpper } = this;
    const [fl, fh, sl, sh] = [firstLower[a]!, firstUpper[a]!, secondLower[a]!, secondUpper[a]!];
    firstLower[row] = negative ? -fh : fl;
    firstUpper[row] = negative ? -fl : fh;
    secondLower[row] = negative ? -sh : sl;
    secondUpper[row] = negative ? -sl : sh;
  }

  private exponentialRow(row: number, a: number): void {
    const { firstLower, firstUpper, secondLower, secondUpper, scratch } = this;
    const [el, eh] = [this.values.lower[row]!, this.values.upper[row]!];
    firstLower[row] = productLower(el, eh, firstLower[a]!, firstUpper[a]!);
    firstUpper[row] = productUpper(el, eh, firstLower[a]!, firstUpper[a]!);
    this.firstProduct(a, a);
    const low = below(Math.max(0, scratch[0]!) + secondLower[a]!);
    const high = above(scratch[1]! + secondUpper[a]!);
    secondLower[row] = productLower(el, eh, low, high);
    secondUpper[row] = productUpper(el, eh, low, high);
  }

  private unknownRow(row: number): void {
    this.firstLower[row] = -Infinity;
    this.firstUpper[row] = Infinity;
    this.secondLower[row] = -Infinity;
    this.secondUpper[row] = Infinity;
  }

  private otherRow(row: number, a: number, b: number): void {
    const { lower, upper } = this.values;
    const code = this.tape.operation[row]!;
    if (code === 6 && lower[a]! >= 0) return this.copyRow(row, a, false); // abs
    if (code === 6 && upper[a]! <= 0) return this.copyRow(row, a, true);
    if (code === 12 || code === 13) {
      const leftWins = code === 12 ? upper[a]! < lower[b]! : lower[a]! > upper[b]!; // min, max
      const rightWins = code === 12 ? upper[b]! < lower[a]! : lower[b]! > upper[a]!;
      if (leftWins) return this.copyRow(row, a, false);
      if (rightWins) return this.copyRow(row, b, false);
    }
    if (code === 14 && b === 2) return this.multiplyRow(row, a, a); // power
    return this.unknownRow(row);
  }

  /**
   * Least value the second derivative along the slot can take over the box of the last enclosure;
   * -Infinity where nothing is known, as across a kink.
   */
  leastCurvature(slot: number): number {
    const { firstLower, firstUpper, secondLower, secondUpper } = this;
    const { operation, left, right, roots } = this.tape;
    const rows = this.rowsOf(slot);
    firstLower.fill(0);
    firstUpper.fill(0);
    secondLower.fill(0);
    secondUpper.fill(0);
    for (const row of rows) {
      const a = left[row]!;
      const b = right[row]!;
      switch (operation[row]) {
        case 1: // symbol
          firstLower[row] = 1;
          firstUpper[row] = 1;
          break;
        case 2: // negate
          this.copyRow(row, a, true);
          break;
        case 3: // exp
          this.exponentialRow(row, a);
          break;
        case 8: // add
          firstLower[row] = below(firstLower[a]! + firstLower[b]!);
          firstUpper[row] = above(firstUpper[a]! + firstUpper[b]!);
          secondLower[row] = below(secondLower[a]! + secondLower[b]!);
          secondUpper[row] = above(secondUpper[a]! + secondUpper[b]!);
          break;
        case 9: // subtract
          firstLower[row] = below(firstLower[a]! - firstUpper[b]!);
          firstUpper[row] = above(firstUpper[a]! - firstLower[b]!);
          secondLower[row] = below(secondLower[a]! - secondUpper[b]!);
          secondUpper[row] = above(secondUpper[a]! - secondLower[b]!);
          break;
        case 10: // multiply
          this.multiplyRow(row, a, b);
          break;
        case 11: // divide
          this.divideRow(row, a, b);
          break;
        default:
          this.otherRow(row, a, b);
      }
    }
    const least = secondLower[roots[0]!]!;
    return least === least ? least : -Infinity;
  }
}
