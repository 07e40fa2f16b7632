import { invariant } from "../lib/errors.ts";
import { cosineOfTurns, exponential, logarithm, sineOfTurns } from "./elementary.ts";
import { TURN, valueAt, zeroSignal } from "./signal.ts";
import type { Basis, Signal } from "./signal.ts";

/**
 * The converter's sampling capacitor as a part: for the acquisition before each sample it hangs on
 * the node, brings its charge along and follows; then it is cut off with what it has reached, and
 * the node recovers on its own until the next acquisition.
 */
export interface SamplingCharge {
  /** F of the sampling capacitor, and of the node without it. */
  readonly farad: number;
  readonly nodeFarad: number;
  /** S of the node to everything else. */
  readonly siemens: number;
  /** s for which the capacitor is connected, and from sample to sample. */
  readonly acquisition: number;
  readonly period: number;
  /** V it starts from; absent: what it reached at the sample before. */
  readonly start?: number;
}

/** What one period makes of the node's deviation from where it were without the capacitor. */
interface Period {
  /** Share of the node's charge that the capacitor takes at once. */
  readonly taken: number;
  /** What is left of a deviation at the end of the acquisition, and of the rest of the period. */
  readonly acquired: number;
  readonly recovered: number;
  /** s, time constant with the capacitor connected. */
  readonly timeConstant: number;
  /** 1 where the capacitor starts from the sample before. */
  readonly previous: number;
  /** Factor on the deviation from one sample to the next. */
  readonly kept: number;
}

/** Multiples of the period beyond which a decaying term does not live to its next sample. */
const GONE = 30;

/** Closest the capacitor's own decay may come to a term that drives it, relative. */
const POLE_DISTANCE = 1e-7;

/** Below this share from one sample to the next nothing is kept. */
const NOTHING = 1e-26;

function periodOf(charge: SamplingCharge): Period {
  const { farad, nodeFarad, siemens, acquisition, period, start } = charge;
  const timeConstant = (farad + nodeFarad) / siemens;
  const taken = farad / (farad + nodeFarad);
  const acquired = exponential(-acquisition / timeConstant);
  const recovered =
    nodeFarad === 0 ? 0 : exponential((-(period - acquisition) * siemens) / nodeFarad);
  const previous = start === undefined ? 1 : 0;
  const kept = acquired * ((1 - taken) * recovered + taken * previous);
  return { taken, acquired, recovered, timeConstant, previous, kept };
}

/** Deviation at rest per volt of the node without the capacitor. */
function atRest({ taken, acquired, previous, kept }: Period): number {
  return (acquired * taken * (previous - 1)) / (1 - kept);
}

/**
 * Conductance, S, to the starting voltage that has the same effect at rest: 1 / R with R near
 * period / capacitance where the node recovers slowly. Zero where the capacitor starts from the
 * sample before.
 */
export function restingConductance(charge: SamplingCharge): number {
  const gain = 1 + atRest(periodOf(charge));
  return charge.siemens * (1 / gain - 1);
}

type Complex = readonly [number, number];

const times = ([a, b]: Complex, [c, d]: Complex): Complex => [a * c - b * d, a * d + b * c];

function over([a, b]: Complex, [c, d]: Complex): Complex {
  const norm = c * c + d * d;
  return [(a * c + b * d) / norm, (b * c - a * d) / norm];
}

/** e^(-s duration) of a term. */
function backBy(rate: number, frequency: number, duration: number): Complex {
  const size = exponential(-rate * duration);
  const turns = -frequency * duration;
  return [size * cosineOfTurns(turns), size * sineOfTurns(turns)];
}

/** Deviation at the samples as a multiple of a term that goes on as e^(s t). */
function deviation(
  charge: SamplingCharge,
  period: Period,
  { rate, frequency }: { readonly rate: number; readonly frequency: number },
): Complex {
  if (rate * charge.period < -GONE) return [0, 0];
  const { taken, acquired, timeConstant, previous, kept } = period;
  // The current that the capacitor needs to follow: -taken s tau / (1 + s tau).
  const s: Complex = [rate * timeConstant, TURN * frequency * timeConstant];
  const following = over([-taken * s[0], -taken * s[1]], [1 + s[0], s[1]]);
  const begun = backBy(rate, frequency, charge.acquisition);
  const before = backBy(rate, frequency, charge.period);
  const started = times([following[0] + taken, following[1]], begun);
  const above: Complex = [
    following[0] - acquired * started[0] + acquired * taken * previous * before[0],
    following[1] - acquired * started[1] + acquired * taken * previous * before[1],
  ];
  return over(above, [1 - kept * before[0], -kept * before[1]]);
}

/** The capacitor's own decay kept away from the terms that drive it. */
function apart(charge: SamplingCharge, { rate, frequency }: Basis): Period {
  let period = periodOf(charge);
  for (let k = 0; k < rate.length; k += 1) {
    const own = ownRate(charge, period);
    const close = Math.abs(rate[k]! - own) < POLE_DISTANCE * Math.abs(own);
    if (close && frequency[k] === 0)
      period = { ...period, kept: period.kept * (1 + 4 * POLE_DISTANCE * GONE) };
  }
  return period;
}

function ownRate({ period: length }: SamplingCharge, { kept }: Period): number {
  return logarithm(Math.max(kept, NOTHING)) / length;
}

/**
 * Node voltage at the samples from the node voltage without the sampling capacitor. Each
 * exponential keeps its own course with another size; one more carries what is left of earlier
 * samples. `initial` is the voltage it goes on from at the start of the basis; absent: settled.
 * Between samples the signal is the smooth course through them.
 */
export function withSamplingCharge(
  input: Signal,
  charge: SamplingCharge,
  initial?: number,
): Signal {
  const { basis } = input;
  const size = basis.rate.length;
  const period = apart(charge, basis);
  const rate = new Float64Array(size + 1);
  const frequency = new Float64Array(size + 1);
  rate.set(basis.rate);
  frequency.set(basis.frequency);
  rate[size] = ownRate(charge, period);
  const output = zeroSignal({ start: basis.start, rate, frequency });
  for (let k = 0; k < size; k += 1) {
    const term = { rate: rate[k]!, frequency: frequency[k]! };
    const [a, b] = deviation(charge, period, term);
    [output.re[k], output.im[k]] = times([1 + a, b], [input.re[k]!, input.im[k]!]);
  }
  const steady = rate.findIndex((value, k) => value === 0 && frequency[k] === 0);
  invariant(steady >= 0, "the front end has a constant source");
  // The charge that comes along is the same every time.
  output.re[steady]! -= atRest(period) * (charge.start ?? 0);
  if (initial !== undefined && period.kept > NOTHING)
    output.re[size] = initial - valueAt(output, basis.start);
  return output;
}
