import type { Term } from "./circuit.ts";
import { cosineOfTurns, sineOfTurns } from "./elementary.ts";
import { philoxWords } from "./philox-words.ts";
import type { Disturbance, Mains } from "./scenario.ts";

const ROOT_TWO = Math.SQRT2;
const TWO_32 = 4_294_967_296;

type Burst = Extract<Disturbance, { kind: "burst" }>;

/** The source behind the terminals at an instant. */
export interface SourceState {
  /** V, local time zero at the instant asked for. */
  readonly terms: readonly Term[];
  /** Ohm beside the mains' own, while the source is interrupted. */
  readonly interruption?: number;
}

function isOn(disturbance: Disturbance, instant: number): boolean {
  if (disturbance.kind === "phaseJump") return instant >= disturbance.at;
  return instant >= disturbance.from && instant < disturbance.to;
}

/** Instants, s, at which the waveform changes its law. */
export function mainsChanges(mains: Mains): readonly number[] {
  return mains.disturbances
    .flatMap((one) => (one.kind === "phaseJump" ? [one.at] : [one.from, one.to]))
    .sort((one, other) => one - other);
}

function wave(frequency: number, amplitude: number, turns: number): Term {
  return {
    rate: 0,
    frequency,
    re: amplitude * cosineOfTurns(turns),
    im: amplitude * sineOfTurns(turns),
  };
}

/** Stream of the tones of a burst; those of the channels have smaller numbers. */
const BURST_STREAM = 255;

/**
 * Noise of a band as a sum of sines with drawn phases: one frequency in each equal part of the
 * band, all of the same size. With many tones the values are close to normally distributed.
 *
 * Source: S. O. Rice, Mathematical analysis of random noise, 1944, section 1.7 (from memory).
 */
function burstTerms(burst: Burst, instant: number): Term[] {
  const { lowest, highest, tones, voltage, seed, from } = burst;
  const words = new Uint32Array(2 * tones);
  philoxWords(seed).write(words, { stream: BURST_STREAM, first: 0 });
  const width = (highest - lowest) / tones;
  const crest = (voltage * ROOT_TWO) / Math.sqrt(tones);
  return Array.from({ length: tones }, (_, tone) => {
    const place = words[2 * tone]! / TWO_32;
    const frequency = lowest + (tone + place) * width;
    const turns = frequency * (instant - from) + words[2 * tone + 1]! / TWO_32;
    return wave(frequency, crest, turns);
  });
}

/** The mains from an instant on. Phases are found anew from the instant, never carried along. */
export function mainsAt(mains: Mains, instant: number): SourceState {
  let factor = 1;
  let jump = 0;
  let interruption: number | undefined;
  for (const disturbance of mains.disturbances) {
    if (!isOn(disturbance, instant)) continue;
    if (disturbance.kind === "level") factor *= disturbance.factor;
    if (disturbance.kind === "phaseJump") jump += disturbance.turns;
    if (disturbance.kind === "interruption") interruption = disturbance.impedance;
  }
  if (interruption !== undefined) return { terms: [], interruption };
  const { frequency, voltage, phaseTurns, harmonics, disturbances } = mains;
  const crest = voltage * ROOT_TWO * factor;
  const turns = frequency * instant + phaseTurns + jump;
  const bursts = disturbances.filter(
    (one): one is Burst => one.kind === "burst" && isOn(one, instant),
  );
  return {
    terms: [
      wave(frequency, crest, turns),
      ...harmonics.map(({ order, share, phaseTurns: ahead }) =>
        wave(order * frequency, crest * share, order * turns + ahead),
      ),
      ...bursts.flatMap((burst) => burstTerms(burst, instant)),
    ],
  };
}
