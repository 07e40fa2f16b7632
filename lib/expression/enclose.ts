import { InvariantBrokenError, UnboundedResultError } from "../errors.ts";
import {
  expAbove,
  expBelow,
  logAbove,
  logBelow,
  sqrtAbove,
  sqrtBelow,
} from "../interval/elementary.ts";
import { above, below } from "../interval/rounding.ts";
import { productLower, productUpper, quotientLower, quotientUpper } from "./end-arithmetic.ts";
import { toInfix } from "./infix.ts";
import { symbolsOf } from "./node.ts";
import type { Tape } from "./tape.ts";

/**
 * Interval evaluation of a tape with outward rounding, and the interval gradient by reverse
 * accumulation over the same rows. Bounds are kept in flat arrays and reused between calls.
 *
 * Guarantee: for every point of the box the exact value of each row lies between `lower[row]` and
 * `upper[row]`, and the exact partial derivative between the two gradient figures. There is no
 * switch that turns the rounding off.
 */
export class IntervalEvaluator {
  readonly tape: Tape;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  private readonly adjointLower: Float64Array;
  private readonly adjointUpper: Float64Array;
  /** Rows that depend on a symbol whose interval is no point: only these have derivatives to pass. */
  private readonly open: Uint8Array;

  constructor(tape: Tape) {
    this.tape = tape;
    this.lower = Float64Array.from(tape.constantLower);
    this.upper = Float64Array.from(tape.constantUpper);
    this.adjointLower = new Float64Array(tape.length);
    this.adjointUpper = new Float64Array(tape.length);
    this.open = new Uint8Array(tape.length);
  }

  private setPower(row: number, a: number, exponent: number): void {
    const al = this.lower[a]!;
    const ah = this.upper[a]!;
    const least = al > 0 ? al : ah < 0 ? -ah : 0;
    const most = Math.max(-al, ah);
    const even = exponent % 2 === 0;
    let [leastPower, mostPower, al2, ah2] = [least, most, Math.abs(al), Math.abs(ah)];
    for (let count = 1; count < exponent; count += 1) {
      leastPower = Math.max(0, below(leastPower * least));
      mostPower = above(mostPower * most);
      al2 = al < 0 ? above(al2 * -al) : Math.max(0, below(al2 * al));
      ah2 = ah < 0 ? Math.max(0, below(ah2 * -ah)) : above(ah2 * ah);
    }
    this.lower[row] = even ? leastPower : al < 0 ? -al2 : al2;
    this.upper[row] = even ? mostPower : ah < 0 ? -ah2 : ah2;
  }

  private unbounded(row: number, boxLower: Float64Array, boxUpper: Float64Array): never {
    const node = this.tape.nodes[row]!;
    const { definitions, infix } = toInfix(node);
    const box: Record<string, [number, number]> = {};
    for (const name of symbolsOf([node])) {
      const slot = this.tape.slotOf.get(name)!;
      box[name] = [boxLower[slot]!, boxUpper[slot]!];
    }
    const shown = definitions.length === 0 ? infix : `${infix} with named parts expanded`;
    throw new UnboundedResultError(shown, box);
  }

  /**
   * Encloses every row over the box; read the result from `lower` and `upper` at a root's row.
   * Throws {@link UnboundedResultError} naming the operation when a divisor or a logarithm can
   * reach zero or a bound overflows.
   */
  enclose(boxLower: Float64Array, boxUpper: Float64Array): void {
    const { operation, left, right, length } = this.tape;
    const { lower, upper, open } = this;
    for (let row = 0; row < length; row += 1) {
      const a = left[row]!;
      const b = right[row]!;
      switch (operation[row]) {
        case 0: // constant
          continue;
        case 1: // symbol
          if (!(boxLower[a]! <= boxUpper[a]!)) this.unbounded(row, boxLower, boxUpper);
          lower[row] = boxLower[a]!;
          upper[row] = boxUpper[a]!;
          open[row] = boxLower[a] === boxUpper[a] ? 0 : 1;
          continue;
        case 2: // negate
          lower[row] = -upper[a]!;
          upper[row] = -lower[a]!;
          break;
        case 8: // add
          lower[row] = below(lower[a]! + lower[b]!);
          upper[row] = above(upper[a]! + upper[b]!);
          break;
        case 9: // subtract
          lower[row] = below(lower[a]! - upper[b]!);
          upper[row] = above(upper[a]! - lower[b]!);
          break;
        case 10: // multiply
          lower[row] = productLower(lower[a]!, upper[a]!, lower[b]!, upper[b]!);
          upper[row] = productUpper(lower[a]!, upper[a]!, lower[b]!, upper[b]!);
          break;
        case 11: // divide
          if (lower[b]! <= 0 && upper[b]! >= 0) this.unbounded(row, boxLower, boxUpper);
          lower[row] = quotientLower(lower[a]!, upper[a]!, lower[b]!, upper[b]!);
          upper[row] = quotientUpper(lower[a]!, upper[a]!, lower[b]!, upper[b]!);
          break;
        default:
          this.encloseOther(row, boxLower, boxUpper);
      }
      const binary = operation[row]! >= 8 && operation[row]! <= 13;
      open[row] = open[a]! | (binary ? open[b]! : 0);
      const low = lower[row]!;
      const high = upper[row]!;
      if (!(low > -Infinity && high < Infinity && low <= high))
        this.unbounded(row, boxLower, boxUpper);
    }
  }

  private encloseOther(row: number, boxLower: Float64Array, boxUpper: Float64Array): void {
    const { lower, upper } = this;
    const a = this.tape.left[row]!;
    const b = this.tape.right[row]!;
    const al = lower[a]!;
    const ah = upper[a]!;
    switch (this.tape.operation[row]) {
      case 3: // exp
        lower[row] = expBelow(al);
        upper[row] = expAbove(ah);
        break;
      case 4: // log
        if (al <= 0) this.unbounded(row, boxLower, boxUpper);
        lower[row] = logBelow(al);
        upper[row] = logAbove(ah);
        break;
      case 5: // sqrt
        if (al < 0) this.unbounded(row, boxLower, boxUpper);
        lower[row] = sqrtBelow(al);
        upper[row] = sqrtAbove(ah);
        break;
      case 6: // abs
        lower[row] = al >= 0 ? al : ah <= 0 ? -ah : 0;
        upper[row] = Math.max(-al, ah);
        break;
      case 7: // floor
        lower[row] = Math.floor(al);
        upper[row] = Math.floor(ah);
        break;
      case 12: // min
        lower[row] = Math.min(al, lower[b]!);
        upper[row] = Math.min(ah, upper[b]!);
        break;
      case 13: // max
        lower[row] = Math.max(al, lower[b]!);
        upper[row] = Math.max(ah, upper[b]!);
        break;
      default:
        this.setPower(row, a, b);
    }
  }

  private accumulate(row: number, low: number, high: number): void {
    if (this.open[row] === 0) return;
    const l = this.adjointLower[row]!;
    const h = this.adjointUpper[row]!;
    this.adjointLower[row] = l === 0 ? low : below(l + low);
    this.adjointUpper[row] = h === 0 ? high : above(h + high);
  }

  private passProduct(row: number, sl: number, sh: number, fl: number, fh: number): void {
    this.accumulate(row, productLower(sl, sh, fl, fh), productUpper(sl, sh, fl, fh));
  }

  private passQuotient(row: number, sl: number, sh: number, dl: number, dh: number): void {
    this.accumulate(row, quotientLower(sl, sh, dl, dh), quotientUpper(sl, sh, dl, dh));
  }

  /**
   * Encloses the partial derivatives of root number `index` over the box of the last
   * {@link enclose}, by symbol slot; 0 for symbols whose interval is a point. Throws {@link InvariantBrokenError} for an equation with a
   * floor: proofs use the form with rounding quantities.
   */
  gradient(index: number, gradientLower: Float64Array, gradientUpper: Float64Array): void {
    const { operation, left, right, roots } = this.tape;
    const { lower, upper, adjointLower, adjointUpper, open } = this;
    adjointLower.fill(0);
    adjointUpper.fill(0);
    gradientLower.fill(0);
    gradientUpper.fill(0);
    const start = roots[index]!;
    adjointLower[start] = 1;
    adjointUpper[start] = 1;
    for (let row = start; row >= 0; row -= 1) {
      const sl = adjointLower[row]!;
      const sh = adjointUpper[row]!;
      if (sl === 0 && sh === 0) continue;
      const a = left[row]!;
      const b = right[row]!;
      switch (operation[row]) {
        case 0: // constant
          break;
        case 1: // symbol
          // An overflow on the way leaves no number: then nothing is known of the sign.
          gradientLower[a] = sl <= sh ? sl : -Infinity;
          gradientUpper[a] = sl <= sh ? sh : Infinity;
          break;
        case 2: // negate
          this.accumulate(a, -sh, -sl);
          break;
        case 8: // add
          this.accumulate(a, sl, sh);
          this.accumulate(b, sl, sh);
          break;
        case 9: // subtract
          this.accumulate(a, sl, sh);
          this.accumulate(b, -sh, -sl);
          break;
        case 10: // multiply
          if (open[a] === 1) this.passProduct(a, sl, sh, lower[b]!, upper[b]!);
          if (open[b] === 1) this.passProduct(b, sl, sh, lower[a]!, upper[a]!);
          break;
        case 11: {
          // divide
          const ql = quotientLower(sl, sh, lower[b]!, upper[b]!);
          const qh = quotientUpper(sl, sh, lower[b]!, upper[b]!);
          this.accumulate(a, ql, qh);
          if (open[b] === 1) this.passProduct(b, ql, qh, -upper[row]!, -lower[row]!);
          break;
        }
        default:
          this.gradientOther(row, sl, sh);
      }
    }
  }

  private gradientOther(row: number, sl: number, sh: number): void {
    const { lower, upper } = this;
    const a = this.tape.left[row]!;
    const b = this.tape.right[row]!;
    switch (this.tape.operation[row]) {
      case 3: // exp
        this.passProduct(a, sl, sh, lower[row]!, upper[row]!);
        break;
      case 4: // log
        this.passQuotient(a, sl, sh, lower[a]!, upper[a]!);
        break;
      case 5: // sqrt
        if (lower[row]! <= 0) throw new InvariantBrokenError("derivative of a root at zero");
        this.passQuotient(a, sl, sh, 2 * lower[row]!, 2 * upper[row]!);
        break;
      case 6: // abs
        // An operand that touches zero from one side only keeps that side's slope.
        this.passProduct(
          a,
          sl,
          sh,
          lower[a]! > 0 || (lower[a] === 0 && upper[a]! > 0) ? 1 : -1,
          upper[a]! < 0 || (upper[a] === 0 && lower[a]! < 0) ? -1 : 1,
        );
        break;
      case 12: // min
      case 13: {
        // max
        const leftWins =
          this.tape.operation[row] === 12 ? upper[a]! < lower[b]! : lower[a]! > upper[b]!;
        const rightWins =
          this.tape.operation[row] === 12 ? upper[b]! < lower[a]! : lower[b]! > upper[a]!;
        this.passProduct(a, sl, sh, leftWins ? 1 : 0, rightWins ? 0 : 1);
        this.passProduct(b, sl, sh, rightWins ? 1 : 0, leftWins ? 0 : 1);
        break;
      }
      case 14: // power
        this.powerGradient(row, sl, sh);
        break;
      default:
        throw new InvariantBrokenError("a floor has no derivative: use the form with rounding");
    }
  }

  private powerGradient(row: number, sl: number, sh: number): void {
    const a = this.tape.left[row]!;
    const exponent = this.tape.right[row]!;
    const { lower, upper } = this;
    // n a^(n-1): monotone in a for even n, of one sign and least at zero for odd n.
    const ends = (value: number, up: boolean): number => {
      let size = Math.abs(value);
      const outward = value >= 0 ? up : exponent % 2 === 0 ? !up : up;
      const base = size;
      for (let count = 1; count < exponent - 1; count += 1)
        size = outward ? above(size * base) : Math.max(0, below(size * base));
      size = outward ? above(size * exponent) : Math.max(0, below(size * exponent));
      return value < 0 && exponent % 2 === 0 ? -size : size;
    };
    const al = lower[a]!;
    const ah = upper[a]!;
    if (exponent % 2 === 0) {
      this.passProduct(a, sl, sh, ends(al, false), ends(ah, true));
      return;
    }
    const least = al > 0 ? ends(al, false) : ah < 0 ? ends(ah, false) : 0;
    this.passProduct(a, sl, sh, least, Math.max(ends(al, true), ends(ah, true)));
  }
}
