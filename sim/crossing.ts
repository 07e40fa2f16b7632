import { OutsideDomainError } from "../lib/errors.ts";
import type { Signal } from "./signal.ts";
import { derivative, valueAt } from "./signal.ts";

/** Samples per period of the fastest oscillation that is still there. */
const PER_PERIOD = 64;

/** Growth of the step while nothing oscillates. */
const GROWTH = 1.3;

/** First step, s: shorter than any contact bounce or diode commutation. */
const FIRST_STEP = 1e-8;

/** Share of a signal's size below which a term, or a value, counts as nothing. */
const NOTHING = 1e-10;

const MOST_STEPS = 20_000_000;
const MOST_HALVINGS = 80;

function sizeOf({ re, im }: Signal): number {
  let sum = 0;
  for (let k = 0; k < re.length; k += 1) sum += Math.abs(re[k]!) + Math.abs(im[k]!);
  return sum;
}

/** Fastest frequency, Hz, of the terms that have not died away after a duration, s. */
function liveFrequency(signal: Signal, after: number, size: number): number {
  const { basis, re, im } = signal;
  let fastest = 0;
  for (let k = 0; k < re.length; k += 1) {
    const frequency = basis.frequency[k]!;
    if (frequency <= fastest) continue;
    // e^-x < 1 / (1 + x + x^2 / 2): enough to see a term die without an exponential.
    const x = -basis.rate[k]! * after;
    const left = (Math.abs(re[k]!) + Math.abs(im[k]!)) / (x > 0 ? 1 + x + (x * x) / 2 : 1);
    if (left > size * 1e-9) fastest = frequency;
  }
  return fastest;
}

function refine(signal: Signal, below: number, above: number): number {
  let low = below;
  let high = above;
  for (let step = 0; step < MOST_HALVINGS; step += 1) {
    const middle = low + (high - low) / 2;
    if (middle <= low || middle >= high) break;
    if (valueAt(signal, middle) >= 0) high = middle;
    else low = middle;
  }
  return high;
}

/**
 * First instant in (from, to] at which a signal that is negative becomes zero or positive; `from`
 * itself where it is positive already, or zero and rising; undefined where that never happens.
 * Located to the last bits of the instant. A visit to the positive side that is shorter than 1/64
 * of the fastest period may be overlooked.
 */
export function firstCrossing(signal: Signal, from: number, to: number): number | undefined {
  const size = sizeOf(signal);
  if (size === 0) return undefined;
  const begin = valueAt(signal, from);
  if (begin > NOTHING * size) return from;
  const rising = valueAt(derivative(signal), from) > 0;
  if (begin >= -NOTHING * size && rising) return from;
  let step = FIRST_STEP;
  let previous = from;
  for (let count = 0; previous < to && count < MOST_STEPS; count += 1) {
    const frequency = liveFrequency(signal, previous - from, size);
    const longest = frequency === 0 ? Infinity : 1 / (PER_PERIOD * frequency);
    step = Math.min(step * GROWTH, longest);
    const next = Math.min(previous + step, to);
    const value = valueAt(signal, next);
    // A value within rounding of zero right after the start is still the start.
    if (value > 0 && (previous > from || value > NOTHING * size))
      return refine(signal, previous, next);
    previous = next;
  }
  if (previous >= to) return undefined;
  throw new OutsideDomainError({
    path: "",
    quantity: "periods of the fastest oscillation between two events",
    permitted: `at most ${MOST_STEPS / PER_PERIOD}`,
    received: `more, from ${from} s to ${to} s`,
    hint: "shorten the scenario, or lower the frequency of what rings",
  });
}
