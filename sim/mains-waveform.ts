import type { Term } from "./circuit.ts";
import { cosineOfTurns, sineOfTurns } from "./elementary.ts";
import type { Disturbance, Mains } from "./scenario.ts";

const ROOT_TWO = Math.SQRT2;

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
  const { frequency, voltage, phaseTurns, harmonics } = mains;
  const crest = voltage * ROOT_TWO * factor;
  const turns = frequency * instant + phaseTurns + jump;
  return {
    terms: [
      wave(frequency, crest, turns),
      ...harmonics.map(({ order, share, phaseTurns: ahead }) =>
        wave(order * frequency, crest * share, order * turns + ahead),
      ),
    ],
  };
}
