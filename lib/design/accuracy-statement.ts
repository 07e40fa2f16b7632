import { OutsideDomainError } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { exactDecimal } from "../quantity/exact-decimal.ts";

/** +/-(share of the indication + volts), as "2 % of reading + 0.8 V". */
export interface IndicationStatement {
  readonly kind: "indication";
  /** Free text that stands beside the figure. */
  readonly name: string;
  /** Fraction of the magnitude of the indication, zero or above. */
  readonly share: Decimal;
  /** V, zero or above. */
  readonly volts: Decimal;
}

/** +/-(share of a fiducial value): the same volts at every voltage. */
export interface FiducialStatement {
  readonly kind: "fiducial";
  readonly name: string;
  /** Fraction of the fiducial value, zero or above. */
  readonly share: Decimal;
  /** Which value the share refers to; for +/-400 V the two differ by a factor of two. */
  readonly fiducial: "span" | "upperLimit";
  /** V, above zero. */
  readonly value: Decimal;
}

/**
 * The rounding of an ideal converter alone, which no instrument with that many bits stays below.
 */
export interface ResolutionStatement {
  readonly kind: "resolution";
  readonly name: string;
  /** Whole number from 1 to 32. */
  readonly bits: number;
  /** V from the lowest to the highest code, above zero. */
  readonly span: Decimal;
  /** Half a code where codes are rounded to the nearest, one code where they are truncated. */
  readonly codes: "half" | "one";
}

/** What an instrument promises about its error of indication. */
export type AccuracyStatement = IndicationStatement | FiducialStatement | ResolutionStatement;

/** The common form of every statement: |error| <= share * |indication| + volts. */
export interface ShareAndVolts {
  readonly share: Decimal;
  /** V. */
  readonly volts: Decimal;
}

/** Digits kept of a quotient: far more than a double holds. */
const QUOTIENT_DIGITS = 40;

function refuse(quantity: string, permitted: string, received: string): never {
  throw new OutsideDomainError({ path: "", quantity, permitted, received });
}

function notNegative(quantity: string, value: Decimal, unit: string): Decimal {
  if (value.sign() >= 0) return value;
  return refuse(quantity, "zero or above", `${value.toString()}${unit}`);
}

function positive(quantity: string, value: Decimal): Decimal {
  return value.sign() > 0 ? value : refuse(quantity, "greater than zero", `${value.toString()} V`);
}

function resolutionVolts(statement: ResolutionStatement): Decimal {
  const { bits, codes } = statement;
  if (!Number.isInteger(bits) || bits < 1 || bits > 32) {
    refuse("number of bits", "an integer from 1 to 32", String(bits));
  }
  const halvings = codes === "half" ? bits + 1 : bits;
  // Dividing by 2^n is multiplying by 5^n and moving the point by n places.
  const power = Decimal.ofScaled(5n ** BigInt(halvings), -halvings);
  return positive("span", statement.span).multiply(power);
}

/**
 * Writes a statement as |error| <= share * |indication| + volts, exactly. Throws OutsideDomainError
 * for a negative share or voltage, a fiducial value or span that is not above zero, or an unfit bit
 * count.
 */
export function shareAndVolts(statement: AccuracyStatement): ShareAndVolts {
  switch (statement.kind) {
    case "indication":
      return {
        share: notNegative("share of indication", statement.share, ""),
        volts: notNegative("constant part of the statement", statement.volts, " V"),
      };
    case "fiducial": {
      const share = notNegative("share of the fiducial value", statement.share, "");
      const value = positive("fiducial value", statement.value);
      return { share: Decimal.zero, volts: share.multiply(value) };
    }
    case "resolution":
      return { share: Decimal.zero, volts: resolutionVolts(statement) };
  }
}

function permittedErrorExactly(statement: AccuracyStatement, indication: Decimal): Decimal {
  const { share, volts } = shareAndVolts(statement);
  return share.multiply(indication.absolute()).add(volts);
}

/**
 * Maximum permissible error of a statement at an indication, V, the same on both sides. The share
 * is taken of the *indication*; the signed errors allowed at a true voltage are another figure, see
 * `permittedErrors` of requirement.ts. Nearest double of the exact value. Throws InvalidInputError
 * for an indication that is not finite and OutsideDomainError as {@link shareAndVolts} does.
 *
 * Source: JCGM 200 (VIM) 4.26, maximum permissible measurement error.
 */
export function permittedError(statement: AccuracyStatement, indication: number | Decimal): number {
  return permittedErrorExactly(statement, exactDecimal(indication)).toNumber();
}

/**
 * {@link permittedError} as a fraction of the magnitude of the indication, nearest double. Throws
 * OutsideDomainError at an indication of zero, where no fraction exists.
 */
export function permittedFraction(
  statement: AccuracyStatement,
  indication: number | Decimal,
): number {
  const shown = exactDecimal(indication).absolute();
  if (shown.isZero()) refuse("indication", "other than zero", "0 V");
  return permittedErrorExactly(statement, shown).divide(shown, QUOTIENT_DIGITS, "up").toNumber();
}

/**
 * Voltage below which a statement permits more than the stated fraction of the indication: at every
 * smaller indication it permits more, from this one on it does not. "never" where no indication
 * above zero lets it pass the fraction, "always" where every one does. V, nearest double. Throws
 * OutsideDomainError for a negative fraction.
 */
export function voltageBelowWhichExceeds(
  statement: AccuracyStatement,
  fraction: number | Decimal,
): number | "never" | "always" {
  const { share, volts } = shareAndVolts(statement);
  const asked = notNegative("fraction of indication", exactDecimal(fraction), "");
  const left = asked.subtract(share);
  if (left.sign() < 0) return "always";
  if (volts.isZero()) return "never";
  if (left.isZero()) return "always";
  return volts.divide(left, QUOTIENT_DIGITS, "up").toNumber();
}
