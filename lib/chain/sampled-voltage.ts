import {
  absolute,
  add,
  constant,
  divide,
  exponential,
  logarithm,
  maximum,
  multiply,
  named,
  power,
  subtract,
} from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { highestCrest } from "../design/node-quantities.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { ReadingSymbols } from "./reading-symbols.ts";

/** Below this voltage the product is taken to decay no faster than at it, V. */
export const SLOPE_FLOOR_VOLTS = Decimal.parse("0.000001");

/** Natural logarithm of the highest crest over the voltage, at least 0. */
function fallLogarithm(reading: ReadingSymbols, voltage: Expression): Expression {
  const crest = constant(highestCrest(reading.design));
  const fall = divide(crest, maximum(absolute(voltage), constant(SLOPE_FLOOR_VOLTS)));
  return named("fall_use", logarithm(maximum(fall, 1)));
}

/** How late the reading is taken, s, its averaging window counted from the middle. */
function lateness(reading: ReadingSymbols): Expression {
  const { timing, conditions } = reading.design;
  if (timing === undefined) return constant(0);
  const half = timing.window?.duration.multiply(Decimal.parse("0.5")) ?? Decimal.ofInteger(0);
  const shift = { centred: Decimal.ofInteger(0), trailing: half.negate(), leading: half };
  const clock = subtract(
    multiply(add(1, reading.lasting("clock_tolerance")), reading.driftFactor("clock")),
    1,
  );
  const late = add(
    reading.here("latency"),
    reading.here("grid"),
    reading.hereOrZero("jitter"),
    multiply(conditions.instant, clock),
    shift[timing.window?.position ?? "centred"],
  );
  return named("late_use", late);
}

/**
 * Mean over the averaging window relative to its middle: 1 + at most (y^2 / 6)(1 + y^2 / 19) with
 * y = (window / 2 instant) ln(V0 / V), which bounds sinh(y)/y for y up to 1.4; the constant added
 * under the square covers mixtures of exponentials, for which ln(x)^2 is not concave below e.
 */
function windowFactor(reading: ReadingSymbols, fall: Expression): Expression {
  const { timing, conditions } = reading.design;
  if (timing?.window === undefined) return constant(1);
  const half = divide(timing.window.duration, conditions.instant.multiply(Decimal.ofInteger(2)));
  const square = multiply(power(half, 2), add(power(fall, 2), Decimal.parse("0.2")));
  const most = divide(multiply(square, add(1, divide(square, 19))), 6);
  return add(1, multiply(reading.here("window_curvature"), most));
}

/**
 * The voltage the front end sees when the reading is taken, in terms of the true voltage at the
 * stated instant. For a voltage that is a sum of decaying exponentials with positive weights the
 * logarithm is convex in time, so that its rate of fall lies between nothing and ln(V0/V)/t:
 * V exp(-rate late), times the lag of a first-order filter, 1 / (1 - tau rate).
 */
export function sampledVoltage(reading: ReadingSymbols, voltage: Expression): Expression {
  const { timing, filter, conditions } = reading.design;
  if (timing === undefined && filter === undefined) return voltage;
  const fall = fallLogarithm(reading, voltage);
  const rate = named(
    "rate_use",
    divide(multiply(reading.here("decay_share"), fall), conditions.instant),
  );
  const lag =
    filter === undefined
      ? constant(1)
      : subtract(
          1,
          multiply(filter.timeConstant, add(1, reading.lasting("filter_tolerance")), rate),
        );
  const decayed = exponential(multiply(-1, rate, lateness(reading)));
  const factor = named("timing_use", divide(multiply(decayed, windowFactor(reading, fall)), lag));
  return named("sampled_use", multiply(voltage, factor));
}
