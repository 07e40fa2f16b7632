import { invariant } from "../lib/errors.ts";
import { cosineOfTurns, exponential, sineOfTurns } from "./elementary.ts";

/**
 * Exponential functions of time that a set of signals shares: e^(rate t) at a frequency, counted
 * from `start`. A real exponential has frequency zero.
 */
export interface Basis {
  /** Instant, s, at which the local time of the exponentials is zero. */
  readonly start: number;
  /** 1/s; negative where it decays. */
  readonly rate: Float64Array;
  /** Hz. */
  readonly frequency: Float64Array;
}

/**
 * One quantity as a sum of exponentials: the real part of (re + j im) e^((rate + j 2 pi f) t).
 * Evaluated directly at any instant, so that no error gathers with time.
 */
export interface Signal {
  readonly basis: Basis;
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** 2 pi. */
export const TURN = 6.283185307179586;

/** A signal that is zero throughout. */
export function zeroSignal(basis: Basis): Signal {
  const size = basis.rate.length;
  return { basis, re: new Float64Array(size), im: new Float64Array(size) };
}

/** Adds a multiple of another signal on the same basis, in place. */
export function addScaled(target: Signal, factor: number, other: Signal): void {
  for (let k = 0; k < target.re.length; k += 1) {
    target.re[k]! += factor * other.re[k]!;
    target.im[k]! += factor * other.im[k]!;
  }
}

/** Difference of two signals on one basis. */
export function difference(one: Signal, other: Signal): Signal {
  const result = { basis: one.basis, re: one.re.slice(), im: one.im.slice() };
  addScaled(result, -1, other);
  return result;
}

/** A signal with a constant added. Its basis has a constant term unless the constant is zero. */
export function addConstant(signal: Signal, value: number): Signal {
  const { basis } = signal;
  const at = basis.rate.findIndex((rate, k) => rate === 0 && basis.frequency[k] === 0);
  invariant(at >= 0 || value === 0, "a network with an offset has a constant source");
  const result = { basis, re: signal.re.slice(), im: signal.im.slice() };
  if (at >= 0) result.re[at]! += value;
  return result;
}

/** Derivative with respect to time. */
export function derivative({ basis, re, im }: Signal): Signal {
  const result = zeroSignal(basis);
  for (let k = 0; k < re.length; k += 1) {
    const rate = basis.rate[k]!;
    const omega = TURN * basis.frequency[k]!;
    result.re[k] = rate * re[k]! - omega * im[k]!;
    result.im[k] = rate * im[k]! + omega * re[k]!;
  }
  return result;
}

/** Value of a signal at an instant, s. */
export function valueAt({ basis, re, im }: Signal, instant: number): number {
  const t = instant - basis.start;
  let sum = 0;
  for (let k = 0; k < re.length; k += 1) {
    const a = re[k]!;
    const b = im[k]!;
    if (a === 0 && b === 0) continue;
    const rate = basis.rate[k]!;
    const frequency = basis.frequency[k]!;
    const size = rate === 0 ? 1 : exponential(rate * t);
    if (frequency === 0) sum += size * a;
    else sum += size * (a * cosineOfTurns(frequency * t) - b * sineOfTurns(frequency * t));
  }
  return sum;
}

/** Closest a filter's pole may lie to an exponential it is driven with, relative. */
const POLE_DISTANCE = 1e-7;

/** How a first-order low-pass starts. */
export interface Lag {
  /** s. */
  readonly timeConstant: number;
  /** Output at the start of the basis; absent: settled, the filter's own exponential is not there. */
  readonly initial?: number;
}

/**
 * Output of a first-order low-pass of unit gain driven by a signal. Each exponential passes with
 * 1 / (1 + s tau); one more exponential, e^(-t / tau), carries the start. A pole closer than 1e-7
 * (relative) to an exponential that drives it is moved by that much, which changes the output by
 * less than 1e-7 of the exponential concerned.
 */
export function lagged(input: Signal, { timeConstant, initial }: Lag): Signal {
  const { basis } = input;
  const size = basis.rate.length;
  let tau = timeConstant;
  for (let k = 0; k < size; k += 1) {
    const close = Math.abs(1 + basis.rate[k]! * tau) < POLE_DISTANCE;
    if (close && basis.frequency[k] === 0) tau *= 1 + 2 * POLE_DISTANCE;
  }
  const rate = new Float64Array(size + 1);
  const frequency = new Float64Array(size + 1);
  rate.set(basis.rate);
  frequency.set(basis.frequency);
  rate[size] = -1 / tau;
  const output = zeroSignal({ start: basis.start, rate, frequency });
  let begun = 0;
  for (let k = 0; k < size; k += 1) {
    const c = 1 + basis.rate[k]! * tau;
    const d = TURN * basis.frequency[k]! * tau;
    const norm = c * c + d * d;
    output.re[k] = (input.re[k]! * c + input.im[k]! * d) / norm;
    output.im[k] = (input.im[k]! * c - input.re[k]! * d) / norm;
    begun += output.re[k]!;
  }
  output.re[size] = initial === undefined ? 0 : initial - begun;
  return output;
}
