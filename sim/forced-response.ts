import { OutsideDomainError } from "../lib/errors.ts";
import { NO_RATE } from "./modes.ts";
import type { Modes } from "./modes.ts";
import type { Exponent } from "./network-solver.ts";
import { TURN } from "./signal.ts";
import type { Phasors } from "./sources.ts";

/** An exponential driven at its own rate: relative distance below which it counts as the same. */
const SAME_RATE = 1e-12;

function divideComplex(a: number, b: number, c: number, d: number): readonly [number, number] {
  const norm = c * c + d * d;
  return [(a * c + b * d) / norm, (b * c - a * d) / norm];
}

function requireNoResonance(drive: number, largest: number): void {
  if (Math.abs(drive) <= 1e-9 * largest) return;
  throw new OutsideDomainError({
    path: "",
    quantity: "source of a part of the network",
    permitted:
      "at another rate than the part's own, so that the response stays a sum of exponentials",
    received: "one at the same rate, as a constant current into a part that nothing discharges",
    hint: "give the part a resistance to earth, or change the rate by a part in a million",
  });
}

/** Forced response of the modes to one exponent. */
export function forcedResponse(modes: Modes, drive: Phasors, exponent: Exponent): Phasors {
  const size = modes.rate.length;
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  const omega = TURN * exponent.frequency;
  const fastest = Math.max(0, ...[...modes.rate].map(Math.abs));
  const largest = Math.max(0, ...[...drive.re, ...drive.im].map(Math.abs));
  for (let k = 0; k < size; k += 1) {
    if (modes.second[k]) continue;
    const c = exponent.rate - modes.rate[k]!;
    const beta = modes.omega[k]!;
    if (beta === 0) {
      const scale = Math.max(Math.abs(modes.rate[k]!) * SAME_RATE, fastest * NO_RATE);
      if (omega === 0 && Math.abs(c) <= scale) {
        requireNoResonance(drive.re[k]!, largest);
        continue;
      }
      [re[k], im[k]] = divideComplex(drive.re[k]!, drive.im[k]!, c, omega);
      continue;
    }
    // (s - D) y = f with D = [[alpha, beta], [-beta, alpha]].
    const detRe = c * c - omega * omega + beta * beta;
    const detIm = 2 * c * omega;
    const f = [drive.re[k]!, drive.im[k]!, drive.re[k + 1]!, drive.im[k + 1]!] as const;
    const firstRe = c * f[0] - omega * f[1] + beta * f[2];
    const firstIm = c * f[1] + omega * f[0] + beta * f[3];
    const secondRe = c * f[2] - omega * f[3] - beta * f[0];
    const secondIm = c * f[3] + omega * f[2] - beta * f[1];
    [re[k], im[k]] = divideComplex(firstRe, firstIm, detRe, detIm);
    [re[k + 1], im[k + 1]] = divideComplex(secondRe, secondIm, detRe, detIm);
  }
  return { re, im };
}
