import {
  absolute,
  add,
  constant,
  divide,
  exponential,
  logarithm,
  maximum,
  minimum,
  multiply,
  named,
  power,
  subtract,
} from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { highestCrest } from "../design/node-quantities.ts";
import type { Design } from "../design/design.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { ReadingSymbols } from "./reading-symbols.ts";

/** Below this voltage the product is taken to decay no faster than at it, V. */
export const SLOPE_FLOOR_VOLTS = Decimal.parse("0.000001");

/**
 * ln(x)^2 is not concave below x = e; the least concave function above it exceeds it by less than
 * this.
 */
const MIXTURE_ROOM = Decimal.parse("0.18");

/** ... and by less than this times ln(x). */
const MIXTURE_SLOPE = Decimal.parse("0.7");

/** A concave function of x = exp(fall) that is nowhere below fall^2. */
function concaveSquare(fall: Expression): Expression {
  return add(power(fall, 2), minimum(constant(MIXTURE_ROOM), multiply(MIXTURE_SLOPE, fall)));
}

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
 * y = (window / 2 instant) ln(V0 / V), which bounds sinh(y)/y for y up to 1.4; the square is replaced
 * by a concave function above it, which covers mixtures of exponentials.
 */
function windowFactor(reading: ReadingSymbols, fall: Expression): Expression {
  const { timing, conditions } = reading.design;
  if (timing?.window === undefined) return constant(1);
  const half = divide(timing.window.duration, conditions.instant.multiply(Decimal.ofInteger(2)));
  const square = multiply(power(half, 2), concaveSquare(fall));
  const most = divide(multiply(square, add(1, divide(square, 19))), 6);
  return add(1, multiply(reading.here("window_curvature"), most));
}

/**
 * Latest the reading can be, s, and more. Early readings rise with the rate as the lag does, so
 * that no mixture exceeds the single exponential there.
 */
function largestLateness({ timing, conditions }: Design): Decimal {
  if (timing === undefined) return Decimal.zero;
  const { lower, upper } = timing.clockTolerance;
  const clock = upper.subtract(lower);
  const window = timing.window?.position === "leading" ? timing.window.duration : Decimal.zero;
  return Decimal.max(Decimal.zero, timing.latency.upper)
    .add(Decimal.one.divide(timing.sampleRate, 20, "up"))
    .add((timing.jitter ?? Decimal.zero).multiply(conditions.noiseCut))
    .add(window.multiply(Decimal.parse("0.5")))
    .add(conditions.instant.multiply(clock));
}

/**
 * Filter and lateness share one rate in the model of a single exponential: to second order the
 * voltage seen is 1 - a ln(x) + b ln(x)^2 with x = exp(rate t), b = tau^2 + tau d + d^2 / 2 over
 * t^2. A mixture reaches the concave envelope of this, which exceeds the largest value of a single
 * exponential most where the two terms cancel at the fastest rate: by b (L + u) u exp(-u) at the
 * best u, with L = ln(V0 / V), and that is less than b (0.2 + L / 2).
 */
function mixtureFactor(reading: ReadingSymbols, fall: Expression): Expression {
  const { filter, conditions } = reading.design;
  if (filter === undefined) return constant(1);
  const tau = filter.timeConstant.multiply(Decimal.one.add(filter.tolerance));
  const late = largestLateness(reading.design);
  // Room for the terms of third order and above, at falls down to a few millivolts.
  const higher = tau
    .add(late)
    .multiply(Decimal.ofInteger(10))
    .divide(conditions.instant, 12, "up")
    .add(Decimal.one);
  const second = tau
    .multiply(tau)
    .add(tau.multiply(late))
    .add(late.multiply(late).multiply(Decimal.parse("0.5")))
    .multiply(higher)
    .divide(conditions.instant.multiply(conditions.instant), 12, "up");
  const most = multiply(second, add(Decimal.parse("0.2"), multiply(Decimal.parse("0.5"), fall)));
  return add(1, multiply(reading.here("mixture"), most));
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
  const factor = named(
    "timing_use",
    divide(multiply(decayed, windowFactor(reading, fall), mixtureFactor(reading, fall)), lag),
  );
  return named("sampled_use", multiply(voltage, factor));
}
