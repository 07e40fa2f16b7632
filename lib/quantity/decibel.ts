import { Decimal } from "./decimal.ts";

/**
 * Digits kept in the result: far beyond a double, so that the rounding below is never seen in one.
 */
const DIGITS = 20;
const WORKING_DIGITS = 32;
const BINARY_PLACES = 100;
const TWO = Decimal.ofInteger(2);
const LARGEST_DECIBELS = Decimal.ofInteger(400);

/**
 * The fraction of a disturbance that passes a rejection of so many decibels, `10^(-dB / 20)`,
 * rounded up to 20 significant digits, so that a rejection is never overstated; exact for multiples
 * of 20 dB. Undefined below 0 dB (the disturbance would be amplified) and above 400 dB.
 *
 * Source: IEC 60027-3 (level of a field quantity: 20 times the decimal logarithm of the ratio).
 */
export function passedFraction(decibels: Decimal): Decimal | undefined {
  if (decibels.sign() < 0 || decibels.compare(LARGEST_DECIBELS) > 0) return undefined;
  const decades = decibels.multiply(Decimal.parse("0.05"));
  const wholeDecades = decades.roundUp(0);

  // The fraction is 10^-whole times 10^rest with 0 <= rest < 1, and 10^rest is the product of the
  // roots 10^(1/2), 10^(1/4), ... that the binary digits of the rest select. All are rounded up,
  // and what is left of the rest after the last place counts as a whole one.
  let rest = wholeDecades.subtract(decades);
  let root = Decimal.ofInteger(10);
  let power = Decimal.one;
  for (let place = 1; place <= BINARY_PLACES && !rest.isZero(); place += 1) {
    root = root.squareRoot(WORKING_DIGITS, "up");
    rest = rest.multiply(TWO);
    if (rest.compare(Decimal.one) < 0) continue;
    power = power.multiply(root).divide(Decimal.one, WORKING_DIGITS, "up");
    rest = rest.subtract(Decimal.one);
  }
  if (!rest.isZero()) power = power.multiply(root);
  const fraction = power.multiply(Decimal.ofScaled(1n, -wholeDecades.toNumber()));
  // Rounded up, the fraction of a rejection near 0 dB would pass 1, which it cannot.
  return Decimal.min(Decimal.one, fraction.divide(Decimal.one, DIGITS, "up"));
}
