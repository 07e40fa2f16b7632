/** Numerators and denominators longer than this, in hexadecimal digits, are reduced. */
const LONG = 512;

function greatestCommonDivisor(a: bigint, b: bigint): bigint {
  let [larger, smaller] = [a < 0n ? -a : a, b < 0n ? -b : b];
  while (smaller !== 0n) [larger, smaller] = [smaller, larger % smaller];
  return larger;
}

function bitLength(positive: bigint): number {
  const digits = positive.toString(16);
  return 4 * (digits.length - 1) + (32 - Math.clz32(Number.parseInt(digits.slice(0, 1), 16)));
}

/** The quotient of two whole numbers, rounded down; the divisor is above zero. */
function floorQuotient(top: bigint, bottom: bigint): bigint {
  const quotient = top / bottom;
  return top < 0n && quotient * bottom !== top ? quotient - 1n : quotient;
}

/** Quotient of two positive whole numbers to the nearest whole one, ties to the even one. */
function nearestQuotient(top: bigint, bottom: bigint): bigint {
  const quotient = top / bottom;
  const twice = 2n * (top - quotient * bottom);
  const isUp = twice > bottom || (twice === bottom && (quotient & 1n) === 1n);
  return isUp ? quotient + 1n : quotient;
}

/**
 * An exact rational number, to compare arithmetic in doubles with. It shares no code with the
 * library. Values are immutable; an operation throws RangeError where it has no result.
 */
export class Rational {
  /** Numerator; carries the sign. Not always in lowest terms. */
  readonly top: bigint;
  /** Denominator, above zero. */
  readonly bottom: bigint;

  private constructor(top: bigint, bottom: bigint) {
    this.top = top;
    this.bottom = bottom;
  }

  /** `top / bottom`; RangeError for a zero denominator. */
  static of(top: bigint, bottom: bigint = 1n): Rational {
    if (bottom === 0n) throw new RangeError("a denominator must not be zero");
    const [signedTop, positive] = bottom < 0n ? [-top, -bottom] : [top, bottom];
    if (positive.toString(16).length < LONG) return new Rational(signedTop, positive);
    const divisor = greatestCommonDivisor(signedTop, positive);
    return new Rational(signedTop / divisor, positive / divisor);
  }

  /** The very value that a finite double holds; RangeError for NaN and infinities. */
  static fromNumber(value: number): Rational {
    if (!Number.isFinite(value)) throw new RangeError(`${value} is not a rational number`);
    const bits = new BigUint64Array(new Float64Array([value]).buffer)[0]!;
    const field = Number((bits >> 52n) & 2047n);
    const fraction = bits & 0xfffffffffffffn;
    const unsigned = field === 0 ? fraction : fraction | (1n << 52n);
    const significand = bits >> 63n === 1n ? -unsigned : unsigned;
    const exponent = Math.max(field, 1) - 1075;
    return exponent >= 0
      ? new Rational(significand << BigInt(exponent), 1n)
      : new Rational(significand, 1n << BigInt(-exponent));
  }

  add(other: Rational): Rational {
    if (this.bottom === other.bottom) return Rational.of(this.top + other.top, this.bottom);
    return Rational.of(
      this.top * other.bottom + other.top * this.bottom,
      this.bottom * other.bottom,
    );
  }

  sub(other: Rational): Rational {
    return this.add(other.negate());
  }

  mul(other: Rational): Rational {
    return Rational.of(this.top * other.top, this.bottom * other.bottom);
  }

  /** RangeError where `other` is zero. */
  div(other: Rational): Rational {
    return Rational.of(this.top * other.bottom, this.bottom * other.top);
  }

  negate(): Rational {
    return new Rational(-this.top, this.bottom);
  }

  abs(): Rational {
    return this.top < 0n ? this.negate() : this;
  }

  /** Sign of `this - other`. */
  compare(other: Rational): -1 | 0 | 1 {
    const [left, right] = [this.top * other.bottom, other.top * this.bottom];
    if (left === right) return 0;
    return left < right ? -1 : 1;
  }

  /** Sign of `this - other` for any double but NaN; an infinity lies beyond every rational. */
  compareNumber(other: number): -1 | 0 | 1 {
    if (other === Number.POSITIVE_INFINITY) return -1;
    if (other === Number.NEGATIVE_INFINITY) return 1;
    return this.compare(Rational.fromNumber(other));
  }

  /** The largest whole number that is not above this. */
  floor(): bigint {
    return floorQuotient(this.top, this.bottom);
  }

  /** The nearest double, ties to the even one; an infinity where the magnitude overflows. */
  toNumber(): number {
    if (this.top === 0n) return 0;
    const top = this.top < 0n ? -this.top : this.top;
    // The first guess puts the quotient between 2^52 and 2^54; the least exponent is that of the
    // subnormal doubles.
    let exponent = Math.max(bitLength(top) - bitLength(this.bottom) - 53, -1074);
    const quotientAt = (power: number): bigint =>
      power >= 0
        ? nearestQuotient(top, this.bottom << BigInt(power))
        : nearestQuotient(top << BigInt(-power), this.bottom);
    let significand = quotientAt(exponent);
    if (significand > 1n << 53n) {
      exponent += 1;
      significand = quotientAt(exponent);
    }
    const bits = (BigInt(exponent + 1074) << 52n) + significand;
    const overflows = exponent > 971 || bits >= 0x7ffn << 52n;
    const magnitude = overflows
      ? Number.POSITIVE_INFINITY
      : new Float64Array(new BigUint64Array([bits]).buffer)[0]!;
    return this.top < 0n ? -magnitude : magnitude;
  }
}
