// Part of the checker of certificates, which shares no code with the search.
import type { CertificateRow } from "../certificate.ts";
import {
  ONE,
  UNIT,
  ZERO,
  absolute,
  add,
  decimalOf,
  divide,
  exponential,
  isZero,
  least,
  most,
  multiply,
  negate,
  pointLogarithm,
  power,
  refuse,
  subtract,
} from "./fixed-point.ts";
import type { Box, Fixed } from "./fixed-point.ts";

/** A function of the certificate: value, gradient and one second derivative over a box. */
export class Rows {
  private readonly rows: readonly CertificateRow[];
  private readonly slotOf: ReadonlyMap<string, number>;
  private readonly constants: readonly (Fixed | undefined)[];
  private readonly values: Fixed[] = [];

  constructor(rows: readonly CertificateRow[], names: readonly string[]) {
    this.rows = rows;
    this.slotOf = new Map(names.map((name, slot) => [name, slot]));
    this.constants = rows.map((row) => (row[0] === "decimal" ? decimalOf(row[1]) : undefined));
  }

  private slot(name: string): number {
    return this.slotOf.get(name) ?? refuse(`the unknown symbol ${name}`);
  }

  value(box: Box): Fixed {
    const { values } = this;
    for (const [index, row] of this.rows.entries()) {
      const at = (operand: number): Fixed => values[operand]!;
      switch (row[0]) {
        case "decimal":
          values[index] = this.constants[index]!;
          break;
        case "symbol":
          values[index] = box[this.slot(row[1])]!;
          break;
        case "negate":
          values[index] = negate(at(row[1]));
          break;
        case "exp":
          values[index] = exponential(at(row[1]));
          break;
        case "log":
          values[index] = {
            low: pointLogarithm(at(row[1]).low).low,
            high: pointLogarithm(at(row[1]).high).high,
          };
          break;
        case "abs":
          values[index] = absolute(at(row[1]));
          break;
        case "+":
          values[index] = add(at(row[1]), at(row[2]));
          break;
        case "-":
          values[index] = subtract(at(row[1]), at(row[2]));
          break;
        case "*":
          values[index] = multiply(at(row[1]), at(row[2]));
          break;
        case "/":
          values[index] = divide(at(row[1]), at(row[2]));
          break;
        case "min":
          values[index] = {
            low: least(at(row[1]).low, at(row[2]).low),
            high: least(at(row[1]).high, at(row[2]).high),
          };
          break;
        case "max":
          values[index] = {
            low: most(at(row[1]).low, at(row[2]).low),
            high: most(at(row[1]).high, at(row[2]).high),
          };
          break;
        case "^":
          values[index] = power(at(row[1]), row[2]);
          break;
        default:
          refuse(`the operation ${row[0]} in a proof`);
      }
    }
    return values.at(-1)!;
  }

  /** Partial derivatives of a row by its operands, from the values of the last {@link value}. */
  private partials(index: number): readonly (readonly [number, Fixed])[] {
    const row = this.rows[index]!;
    const at = (operand: number): Fixed => this.values[operand]!;
    const between: Fixed = { low: 0n, high: ONE };
    switch (row[0]) {
      case "negate":
        return [[row[1], negate(UNIT)]];
      case "exp":
        return [[row[1], this.values[index]!]];
      case "log":
        return [[row[1], divide(UNIT, at(row[1]))]];
      case "abs": {
        const a = at(row[1]);
        const rising = a.low > 0n || (a.low === 0n && a.high > 0n);
        const falling = a.high < 0n || (a.high === 0n && a.low < 0n);
        return [[row[1], { low: rising ? ONE : -ONE, high: falling ? -ONE : ONE }]];
      }
      case "+":
        return [
          [row[1], UNIT],
          [row[2], UNIT],
        ];
      case "-":
        return [
          [row[1], UNIT],
          [row[2], negate(UNIT)],
        ];
      case "*":
        return [
          [row[1], at(row[2])],
          [row[2], at(row[1])],
        ];
      case "/":
        return [
          [row[1], divide(UNIT, at(row[2]))],
          [row[2], negate(divide(this.values[index]!, at(row[2])))],
        ];
      case "min":
      case "max": {
        const [a, b] = [at(row[1]), at(row[2])];
        const leftWins = row[0] === "min" ? a.high < b.low : a.low > b.high;
        const rightWins = row[0] === "min" ? b.high < a.low : b.low > a.high;
        if (leftWins) return [[row[1], UNIT]];
        return rightWins
          ? [[row[2], UNIT]]
          : [
              [row[1], between],
              [row[2], between],
            ];
      }
      case "^": {
        const slope = power(at(row[1]), row[2] - 1);
        return [[row[1], { low: slope.low * BigInt(row[2]), high: slope.high * BigInt(row[2]) }]];
      }
      default:
        return [];
    }
  }

  /** Gradient over the box of the last {@link value}, by slot. */
  gradient(slots: number): Fixed[] {
    const adjoints: (Fixed | undefined)[] = this.rows.map(() => undefined);
    const gradient = Array.from({ length: slots }, () => ZERO);
    adjoints[this.rows.length - 1] = UNIT;
    for (let index = this.rows.length - 1; index >= 0; index -= 1) {
      const seed = adjoints[index];
      if (seed === undefined) continue;
      const row = this.rows[index]!;
      if (row[0] === "symbol")
        gradient[this.slot(row[1])] = add(gradient[this.slot(row[1])]!, seed);
      for (const [operand, partial] of this.partials(index)) {
        const part = multiply(seed, partial);
        const known = adjoints[operand];
        adjoints[operand] = known === undefined ? part : add(known, part);
      }
    }
    return gradient;
  }

  /** Second derivative along a slot over the box of the last {@link value}. */
  curvature(slot: number): Fixed {
    const first: Fixed[] = [];
    const second: Fixed[] = [];
    for (const [index, row] of this.rows.entries()) {
      const isSymbol = row[0] === "symbol";
      first[index] = isSymbol && this.slot(row[1]) === slot ? UNIT : ZERO;
      second[index] = ZERO;
      if (isSymbol || row[0] === "decimal") continue;
      const partials = this.partials(index);
      if (partials.every(([operand]) => isZero(first[operand]!) && isZero(second[operand]!)))
        continue;
      if (row[0] === "/") {
        // q = a / b: q' = (a' - q b') / b and q'' = (a'' - 2 q' b' - q b'') / b.
        const [quotient, divisor] = [this.values[index]!, this.values[row[2]]!];
        const part = (of: readonly Fixed[]): Fixed =>
          subtract(of[row[1]]!, multiply(quotient, of[row[2]]!));
        const slope = divide(part(first), divisor);
        const cross = multiply(slope, first[row[2]]!);
        first[index] = slope;
        second[index] = divide(subtract(part(second), add(cross, cross)), divisor);
        continue;
      }
      const chain = (of: readonly Fixed[]): Fixed =>
        partials.reduce(
          (sum, [operand, partial]) => add(sum, multiply(partial, of[operand]!)),
          ZERO,
        );
      first[index] = chain(first);
      if (row[0] === "exp") {
        // (e^a)'' = e^a (a'^2 + a''), in one product as intervals multiply more tightly so.
        const bend = add(power(first[row[1]]!, 2), second[row[1]]!);
        second[index] = multiply(this.values[index]!, bend);
        continue;
      }
      second[index] = add(chain(second), this.bend(row, index, first));
    }
    return second.at(-1)!;
  }

  /** The part of a second derivative that the operation itself bends. */
  private bend(row: CertificateRow, index: number, first: readonly Fixed[]): Fixed {
    const twice = (a: Fixed): Fixed => ({ low: 2n * a.low, high: 2n * a.high });
    const square = (a: Fixed): Fixed => power(a, 2);
    switch (row[0]) {
      case "negate":
      case "+":
      case "-":
        return ZERO;
      case "log":
        return negate(square(divide(first[row[1]]!, this.values[row[1]]!)));
      case "*":
        return twice(multiply(first[row[1]]!, first[row[2]]!));
      case "^":
        if (row[2] === 2) return twice(square(first[row[1]]!));
        return refuse("a step to ends across a higher power");
      case "abs":
      case "min":
      case "max":
        if (this.partials(index).every(([, partial]) => partial.low === partial.high)) return ZERO;
        return refuse("a step to ends across a kink");
      default:
        return refuse("a step to ends across an operation without second derivative");
    }
  }
}
