import { InvalidInputError, OutsideDomainError } from "../errors.ts";
import { doubleOfFraction, partsOfDouble } from "./double-of-fraction.ts";
import type { DoubleRounding } from "./double-of-fraction.ts";
import {
  digitCount,
  divideDirected,
  integerSquareRoot,
  magnitude,
  powerOfTen,
} from "./integer-arithmetic.ts";

/** Towards minus infinity or towards plus infinity. */
export type Direction = "down" | "up";

const TEXT = /^([+-]?)(?:(\d+)(?:\.(\d+))?|\.(\d+))(?:[eE]([+-]?\d{1,6}))?$/;
const LONGEST_TEXT = 2_000;
const LARGEST_TEXT_EXPONENT = 5_000;
const LONGEST_PLAIN_TEXT = 400;
/**
 * A person types at most this many digits; a double holds every such decimal without a collision.
 */
const TYPED_DIGITS = 15;

function checkedCount(quantity: string, count: number, lowest: number): number {
  if (Number.isInteger(count) && count >= lowest && count <= 1_000) return count;
  const permitted = `an integer from ${lowest} to 1000`;
  throw new OutsideDomainError({ path: "", quantity, permitted, received: String(count) });
}

function refuse(permitted: string, received: string): never {
  const shown = received.length > 60 ? `${received.slice(0, 60)}...` : received;
  const fault = { path: "", quantity: "decimal number", permitted, received: shown };
  throw new InvalidInputError("decimal number", [fault]);
}

/**
 * An exact decimal number, `mantissa * 10^exponent`, without unit. Immutable. The mantissa carries
 * no trailing zero, so that equal numbers have equal parts. Sums, differences and products are
 * exact; quotients, roots and doubles say in which direction they were rounded.
 */
export class Decimal {
  static readonly zero: Decimal = Decimal.ofScaled(0n, 0);
  static readonly one: Decimal = Decimal.ofScaled(1n, 0);

  readonly mantissa: bigint;
  readonly exponent: number;

  private constructor(mantissa: bigint, exponent: number) {
    this.mantissa = mantissa;
    this.exponent = exponent;
  }

  /** The number `mantissa * 10^exponent`; the exponent is an integer. */
  static ofScaled(mantissa: bigint, exponent: number): Decimal {
    if (mantissa === 0n) return new Decimal(0n, 0);
    let [digits, power] = [mantissa, exponent];
    for (const step of [64, 16, 4, 1]) {
      const divisor = powerOfTen(step);
      while (digits % divisor === 0n) {
        digits /= divisor;
        power += step;
      }
    }
    return new Decimal(digits, power);
  }

  /**
   * Reads plain ("-0.05") or exponent notation ("5e-5"), exactly; a point, no grouping, no unit.
   * Throws InvalidInputError for anything else.
   */
  static parse(text: string): Decimal {
    const permitted = 'a decimal number such as "-0.05" or "5e-5"';
    const match = text.length <= LONGEST_TEXT ? TEXT.exec(text) : null;
    if (match === null) refuse(permitted, JSON.stringify(text));
    const fraction = match[3] ?? match[4] ?? "";
    const power = Number(match[5] ?? "0");
    if (Math.abs(power) > LARGEST_TEXT_EXPONENT) {
      refuse(`${permitted} with an exponent of at most ${LARGEST_TEXT_EXPONENT}`, text);
    }
    const digits = BigInt(`${match[2] ?? ""}${fraction}`);
    return Decimal.ofScaled(match[1] === "-" ? -digits : digits, power - fraction.length);
  }

  /**
   * An integer, exactly. Throws InvalidInputError for a number with a fraction, NaN or infinity.
   */
  static ofInteger(value: bigint | number): Decimal {
    if (typeof value === "number" && !Number.isInteger(value)) refuse("an integer", String(value));
    return Decimal.ofScaled(BigInt(value), 0);
  }

  /**
   * The shortest decimal that reads back as the double `value`. `typed` is true when it has at most
   * 15 significant digits: it is then what a person typed and stands for itself, exactly. More
   * digits mean a computed double, known only to its own rounding. Throws InvalidInputError for NaN
   * and infinity.
   */
  static fromNumber(value: number): { value: Decimal; typed: boolean } {
    if (!Number.isFinite(value)) refuse("a finite number", String(value));
    const decimal = Decimal.parse(String(value));
    return { value: decimal, typed: digitCount(decimal.mantissa) <= TYPED_DIGITS };
  }

  /**
   * The very value a double holds, with all its digits: 0.1 gives
   * 0.1000000000000000055511151231257827021181583404541015625. Throws InvalidInputError for NaN and
   * infinity.
   */
  static ofDouble(value: number): Decimal {
    if (!Number.isFinite(value)) refuse("a finite number", String(value));
    const { significand, exponent } = partsOfDouble(value);
    if (exponent >= 0) return Decimal.ofScaled(significand << BigInt(exponent), 0);
    return Decimal.ofScaled(significand * 5n ** BigInt(-exponent), exponent);
  }

  /** The smaller of two. */
  static min(first: Decimal, second: Decimal): Decimal {
    return second.compare(first) < 0 ? second : first;
  }

  /** The larger of two. */
  static max(first: Decimal, second: Decimal): Decimal {
    return second.compare(first) > 0 ? second : first;
  }

  add(other: Decimal): Decimal {
    const exponent = Math.min(this.exponent, other.exponent);
    return Decimal.ofScaled(this.mantissaAt(exponent) + other.mantissaAt(exponent), exponent);
  }

  subtract(other: Decimal): Decimal {
    return this.add(other.negate());
  }

  multiply(other: Decimal): Decimal {
    return Decimal.ofScaled(this.mantissa * other.mantissa, this.exponent + other.exponent);
  }

  negate(): Decimal {
    return new Decimal(-this.mantissa, this.exponent);
  }

  absolute(): Decimal {
    return this.mantissa < 0n ? this.negate() : this;
  }

  sign(): -1 | 0 | 1 {
    if (this.mantissa === 0n) return 0;
    return this.mantissa < 0n ? -1 : 1;
  }

  isZero(): boolean {
    return this.mantissa === 0n;
  }

  equals(other: Decimal): boolean {
    return this.mantissa === other.mantissa && this.exponent === other.exponent;
  }

  /** -1, 0 or 1 as this number is below, equal to or above the other. */
  compare(other: Decimal): -1 | 0 | 1 {
    const exponent = Math.min(this.exponent, other.exponent);
    const [mine, theirs] = [this.mantissaAt(exponent), other.mantissaAt(exponent)];
    if (mine === theirs) return 0;
    return mine < theirs ? -1 : 1;
  }

  /**
   * Quotient with the stated number of significant digits, rounded in the stated direction; exact
   * where that many digits hold it. Throws OutsideDomainError for a divisor of zero.
   */
  divide(other: Decimal, significantDigits: number, direction: Direction): Decimal {
    checkedCount("number of significant digits", significantDigits, 1);
    if (other.isZero()) {
      const fault = { path: "", quantity: "divisor", permitted: "other than zero", received: "0" };
      throw new OutsideDomainError(fault);
    }
    const missing = significantDigits + digitCount(other.mantissa) - digitCount(this.mantissa);
    const shift = Math.max(0, missing);
    const dividend = this.mantissa * powerOfTen(shift);
    const quotient = divideDirected(dividend, other.mantissa, direction);
    const exponent = this.exponent - other.exponent - shift;
    return Decimal.ofScaled(quotient, exponent).withDigits(significantDigits, direction);
  }

  /**
   * Square root with the stated number of significant digits, rounded in the stated direction;
   * exact where that many digits hold it. Throws OutsideDomainError for a negative number.
   */
  squareRoot(significantDigits: number, direction: Direction): Decimal {
    checkedCount("number of significant digits", significantDigits, 1);
    if (this.mantissa < 0n) {
      throw new OutsideDomainError({
        path: "",
        quantity: "number under a square root",
        permitted: "zero or above",
        received: this.toString(),
      });
    }
    const missing = Math.max(0, 2 * significantDigits - digitCount(this.mantissa));
    const shift = (missing + this.exponent) % 2 === 0 ? missing : missing + 1;
    const square = this.mantissa * powerOfTen(shift);
    const floor = integerSquareRoot(square);
    const root = direction === "up" && floor * floor < square ? floor + 1n : floor;
    const exponent = (this.exponent - shift) / 2;
    return Decimal.ofScaled(root, exponent).withDigits(significantDigits, direction);
  }

  /**
   * Rounded towards minus infinity to that many decimals; negative counts round to tens, hundreds.
   */
  roundDown(decimals: number): Decimal {
    return this.withDecimals(checkedCount("number of decimals", decimals, -1_000), "down");
  }

  /**
   * Rounded towards plus infinity to that many decimals; negative counts round to tens, hundreds.
   */
  roundUp(decimals: number): Decimal {
    return this.withDecimals(checkedCount("number of decimals", decimals, -1_000), "up");
  }

  /**
   * Nearest double, ties to even; never minus zero. Throws OutsideDomainError when the number
   * rounds beyond the largest double.
   */
  toNumber(): number {
    return this.toDouble("nearest");
  }

  /**
   * Largest double that does not exceed this number. Throws OutsideDomainError where none is
   * finite.
   */
  lowerNumber(): number {
    return this.toDouble(this.mantissa < 0n ? "awayFromZero" : "towardsZero");
  }

  /** Smallest double not below this number. Throws OutsideDomainError where none is finite. */
  upperNumber(): number {
    return this.toDouble(this.mantissa < 0n ? "towardsZero" : "awayFromZero");
  }

  /**
   * Exact plain text, such as "0.00005", "-430" or "33.98"; exponent notation, still exact, only
   * where plain text would take more than 400 digits.
   */
  toString(): string {
    const sign = this.mantissa < 0n ? "-" : "";
    const digits = magnitude(this.mantissa).toString();
    const point = digits.length + this.exponent;
    const width = Math.max(point, digits.length, digits.length - point + 1);
    if (width > LONGEST_PLAIN_TEXT) {
      const tail = digits.length > 1 ? `.${digits.slice(1)}` : "";
      return `${sign}${digits[0]}${tail}e${point - 1}`;
    }
    if (this.exponent >= 0) return sign + digits + "0".repeat(this.exponent);
    if (point > 0) return `${sign}${digits.slice(0, point)}.${digits.slice(point)}`;
    return `${sign}0.${"0".repeat(-point)}${digits}`;
  }

  /** The exact text, so that a decimal inside a record is written as a decimal string. */
  toJSON(): string {
    return this.toString();
  }

  private mantissaAt(exponent: number): bigint {
    return this.mantissa === 0n ? 0n : this.mantissa * powerOfTen(this.exponent - exponent);
  }

  private withDecimals(decimals: number, direction: Direction): Decimal {
    const dropped = -decimals - this.exponent;
    if (dropped <= 0) return this;
    const kept = divideDirected(this.mantissa, powerOfTen(dropped), direction);
    return Decimal.ofScaled(kept, -decimals);
  }

  private withDigits(significantDigits: number, direction: Direction): Decimal {
    const dropped = digitCount(this.mantissa) - significantDigits;
    return dropped <= 0 ? this : this.withDecimals(-(this.exponent + dropped), direction);
  }

  private toDouble(rounding: DoubleRounding): number {
    if (this.mantissa === 0n) return 0;
    const numerator = magnitude(this.mantissa) * powerOfTen(Math.max(0, this.exponent));
    const denominator = powerOfTen(Math.max(0, -this.exponent));
    const size = doubleOfFraction({ numerator, denominator }, rounding);
    if (size === Number.POSITIVE_INFINITY && rounding === "towardsZero") return Number.MAX_VALUE;
    if (size === Number.POSITIVE_INFINITY) {
      throw new OutsideDomainError({
        path: "",
        quantity: "number",
        permitted: "at most 1.7976931348623157e308 in magnitude",
        received: this.toString(),
      });
    }
    // Adding zero turns minus zero into zero.
    return (this.mantissa < 0n ? -size : size) + 0;
  }
}
