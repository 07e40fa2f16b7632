import { logBelow } from "../interval/elementary.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { AccuracyPart } from "./accuracy-part.ts";

/** Digits of the quotient of the ends: more than a double holds. */
const RATIO_DIGITS = 30;

/**
 * Mean of |V| over log |V| in the part of the range, (to - from) / ln(to / from), V: a statement's
 * width share * |V| + volts at this voltage is its mean width over log |V|. The part begins above
 * zero. Good to about 1e-15, and the same on every engine; it chooses among proven pairs and
 * proves nothing itself.
 */
export function meanVoltage({ from, to }: AccuracyPart): Decimal {
  const ratio = to.divide(from, RATIO_DIGITS, "down").toNumber();
  // Both figures come from the same rounded ratio, so that ends close together cancel nothing.
  const factor = ratio === 1 ? 1 : (ratio - 1) / logBelow(ratio);
  return from.multiply(Decimal.ofDouble(factor));
}
