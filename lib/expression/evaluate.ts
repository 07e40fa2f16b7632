import { OP } from "./tape.ts";
import type { Tape } from "./tape.ts";

function integerPower(base: number, exponent: number): number {
  let result = base;
  for (let count = 1; count < exponent; count += 1) result *= base;
  return result;
}

/**
 * Plain double evaluation of a tape; reuses its work arrays, so one evaluator serves one loop.
 * Results are ordinary doubles and carry no guarantee.
 */
export class PlainEvaluator {
  readonly tape: Tape;
  private readonly value: Float64Array;
  private readonly adjoint: Float64Array;
  /** All rows but those of the constants. */
  private readonly rows: Int32Array;

  constructor(tape: Tape) {
    this.tape = tape;
    this.rows = Int32Array.from(
      [...tape.operation.keys()].filter((row) => tape.operation[row] !== OP.constant),
    );
    this.value = Float64Array.from(tape.constantNearest);
    this.adjoint = new Float64Array(tape.length);
  }

  /** Evaluates every row at the point (one number per symbol slot); returns the first root. */
  evaluate(point: ArrayLike<number>): number {
    return this.evaluateRows(point, this.rows);
  }

  /** The rows that change with any of these slots, for {@link evaluateRows}. */
  rowsOf(slots: readonly number[]): Int32Array {
    const { operation, left, right } = this.tape;
    const changes = new Uint8Array(this.tape.length);
    return this.rows.filter((row) => {
      const operands = operation[row]! >= OP.add && operation[row]! <= OP.max ? 2 : 1;
      const does =
        operation[row] === OP.symbol
          ? slots.includes(left[row]!)
          : changes[left[row]!] === 1 || (operands === 2 && changes[right[row]!] === 1);
      changes[row] = does ? 1 : 0;
      return does;
    });
  }

  /**
   * Evaluates the rows at a point that differs from the one before only in the slots the rows were
   * listed for; returns the first root.
   */
  evaluateRows(point: ArrayLike<number>, rows: Int32Array): number {
    const { operation, left, right, roots } = this.tape;
    const value = this.value;
    for (let index = 0; index < rows.length; index += 1) {
      const row = rows[index]!;
      const a = left[row]!;
      const b = right[row]!;
      switch (operation[row]) {
        case 1: // symbol
          value[row] = point[a]!;
          break;
        case 2: // negate
          value[row] = -value[a]!;
          break;
        case 3: // exp
          value[row] = Math.exp(value[a]!);
          break;
        case 4: // log
          value[row] = Math.log(value[a]!);
          break;
        case 5: // sqrt
          value[row] = Math.sqrt(value[a]!);
          break;
        case 6: // abs
          value[row] = Math.abs(value[a]!);
          break;
        case 7: // floor
          value[row] = Math.floor(value[a]!);
          break;
        case 8: // add
          value[row] = value[a]! + value[b]!;
          break;
        case 9: // subtract
          value[row] = value[a]! - value[b]!;
          break;
        case 10: // multiply
          value[row] = value[a]! * value[b]!;
          break;
        case 11: // divide
          value[row] = value[a]! / value[b]!;
          break;
        case 12: // min
          value[row] = Math.min(value[a]!, value[b]!);
          break;
        case 13: // max
          value[row] = Math.max(value[a]!, value[b]!);
          break;
        default:
          value[row] = integerPower(value[a]!, b);
      }
    }
    return value[roots[0]!]!;
  }

  /** Value of root number `index` after the last {@link evaluate}. */
  root(index: number): number {
    return this.value[this.tape.roots[index]!]!;
  }

  /**
   * Partial derivatives of root number `index` at the point of the last {@link evaluate}, written
   * to `gradient` by symbol slot. A floor counts as flat; a kink takes the branch of its operand.
   */
  gradient(index: number, gradient: Float64Array): void {
    const { operation, left, right, roots } = this.tape;
    const { value, adjoint } = this;
    adjoint.fill(0);
    gradient.fill(0);
    adjoint[roots[index]!] = 1;
    for (let row = roots[index]!; row >= 0; row -= 1) {
      const seed = adjoint[row]!;
      if (seed === 0) continue;
      const a = left[row]!;
      const b = right[row]!;
      switch (operation[row]) {
        case 1: // symbol
          gradient[a]! += seed;
          break;
        case 2: // negate
          adjoint[a]! -= seed;
          break;
        case 3: // exp
          adjoint[a]! += seed * value[row]!;
          break;
        case 4: // log
          adjoint[a]! += seed / value[a]!;
          break;
        case 5: // sqrt
          adjoint[a]! += seed / (2 * value[row]!);
          break;
        case 6: // abs
          adjoint[a]! += value[a]! < 0 ? -seed : seed;
          break;
        case 8: // add
          adjoint[a]! += seed;
          adjoint[b]! += seed;
          break;
        case 9: // subtract
          adjoint[a]! += seed;
          adjoint[b]! -= seed;
          break;
        case 10: // multiply
          adjoint[a]! += seed * value[b]!;
          adjoint[b]! += seed * value[a]!;
          break;
        case 11: // divide
          adjoint[a]! += seed / value[b]!;
          adjoint[b]! -= (seed * value[row]!) / value[b]!;
          break;
        case 12: // min
          adjoint[value[a]! <= value[b]! ? a : b]! += seed;
          break;
        case 13: // max
          adjoint[value[a]! >= value[b]! ? a : b]! += seed;
          break;
        case 14: // power
          adjoint[a]! += seed * b * (b === 2 ? value[a]! : integerPower(value[a]!, b - 1));
          break;
        default:
      }
    }
  }
}
