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
import { IntervalKernel } from "./interval-kernel.ts";
import { symbolsOf } from "./node.ts";
import { OP } from "./tape.ts";
import type { Tape } from "./tape.ts";

/**
 * Interval evaluation of a tape with outward rounding, and the interval gradient by reverse
 * accumulation over the same rows. Bounds are kept in flat arrays and reused between calls. The
 * four operations run in {@link IntervalKernel}; all others stand here.
 *
 * Guarantee: for every point of the box the exact value of each row lies between `lower[row]` and
 * `upper[row]`, and the exact partial derivative between the two gradient figures. There is no
 * switch that turns the rounding off.
 */
export class IntervalEvaluator {
  readonly tape: Tape;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  private readonly kernel: IntervalKernel;
  /** Rows of the symbols. */
  private readonly symbolRows: readonly number[];
  /** Ends of the operand of each exp and log row when it was last enclosed. */
  private readonly knownLower: Float64Array;
  private readonly knownUpper: Float64Array;

  constructor(tape: Tape) {
    this.tape = tape;
    this.kernel = new IntervalKernel(tape);
    this.lower = this.kernel.lower;
    this.upper = this.kernel.upper;
    this.symbolRows = [...tape.operation.keys()].filter((row) => tape.operation[row] === OP.symbol);
    this.knownLower = new Float64Array(tape.length).fill(NaN);
    this.knownUpper = new Float64Array(tape.length).fill(NaN);
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
    const { left, length } = this.tape;
    const { kernel } = this;
    for (const row of this.symbolRows) {
      const low = boxLower[left[row]!]!;
      const high = boxUpper[left[row]!]!;
      if (!(low <= high)) this.unbounded(row, boxLower, boxUpper);
      kernel.set(row, low, high);
      kernel.code[4 * row + 3] = low === high ? 0 : 1;
    }
    for (let row = kernel.enclose(0); row < length; row = kernel.enclose(row + 1))
      this.encloseOther(row, boxLower, boxUpper);
  }

  /** True where the operand of a row is what it was; what was found then still stands. */
  private isKnown(row: number, low: number, high: number): boolean {
    return this.knownLower[row] === low && this.knownUpper[row] === high;
  }

  /** A row that the kernel leaves: one of the other operations, or one without a finite result. */
  private encloseOther(row: number, boxLower: Float64Array, boxUpper: Float64Array): void {
    const { lower, upper } = this;
    const { operation, left, right } = this.tape;
    const { code } = this.kernel;
    const a = left[row]!;
    const b = right[row]!;
    const al = lower[a]!;
    const ah = upper[a]!;
    const binary = operation[row] === OP.min || operation[row] === OP.max;
    code[4 * row + 3] = code[4 * a + 3]! | (binary ? code[4 * b + 3]! : 0);
    switch (operation[row]) {
      case 3: // exp
        if (this.isKnown(row, al, ah)) return;
        lower[row] = expBelow(al);
        upper[row] = expAbove(ah);
        break;
      case 4: // log
        if (al <= 0) this.unbounded(row, boxLower, boxUpper);
        if (this.isKnown(row, al, ah)) return;
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
      case 14: // power
        this.setPower(row, a, b);
        break;
      default:
        this.unbounded(row, boxLower, boxUpper);
    }
    const [low, high] = [lower[row]!, upper[row]!];
    if (!(low > -Infinity && high < Infinity && low <= high))
      this.unbounded(row, boxLower, boxUpper);
    this.kernel.set(row, low, high);
    this.knownLower[row] = al;
    this.knownUpper[row] = ah;
  }

  private accumulate(row: number, low: number, high: number): void {
    const { adjoint, code } = this.kernel;
    if (code[4 * row + 3] === 0) return;
    const l = -adjoint[2 * row]!;
    const h = adjoint[2 * row + 1]!;
    adjoint[2 * row] = -(l === 0 ? low : below(l + low));
    adjoint[2 * row + 1] = h === 0 ? high : above(h + high);
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
    const { left, roots } = this.tape;
    const { kernel } = this;
    const { adjoint } = kernel;
    adjoint.fill(0);
    gradientLower.fill(0);
    gradientUpper.fill(0);
    const start = roots[index]!;
    adjoint[2 * start] = -1;
    adjoint[2 * start + 1] = 1;
    let row = kernel.gradient(start);
    for (; row >= 0; row = kernel.gradient(row - 1))
      this.gradientOther(row, -adjoint[2 * row]!, adjoint[2 * row + 1]!);
    for (const symbol of this.symbolRows) {
      const low = 0 - adjoint[2 * symbol]!;
      const high = adjoint[2 * symbol + 1]!;
      // An overflow on the way leaves no number: then nothing is known of any sign.
      const isKnown = row === -1 && low <= high;
      if (!isKnown && kernel.code[4 * symbol + 3] === 0) continue;
      gradientLower[left[symbol]!] = isKnown ? low : -Infinity;
      gradientUpper[left[symbol]!] = isKnown ? high : Infinity;
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
