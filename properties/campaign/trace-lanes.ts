import { PHASES } from "../../sim/firmware/port.ts";
import { instantOf } from "../claims/episode.ts";
import type { Episode } from "../claims/episode.ts";

/** A stretch of time with one value of a lane of the trace. */
export interface LaneStretch {
  /** s. */
  readonly from: number;
  readonly to: number;
  readonly value: number;
}

/** One lane of the firmware's trace. Lane 0 is the phase. */
export interface TraceLane {
  readonly lane: number;
  readonly stretches: readonly LaneStretch[];
}

/** Name of a phase by its number. */
export function phaseName(value: number): string {
  return PHASES[value] ?? `phase ${value}`;
}

/** The lanes of the trace, each from its first entry to the end of the scenario. */
export function traceLanes(episode: Episode): readonly TraceLane[] {
  const end = episode.simulation.scenario.duration;
  const lanes = [...new Set(episode.trace.map(({ lane }) => lane))].sort((a, b) => a - b);
  return lanes.map((lane) => {
    const entries = episode.trace.filter((entry) => entry.lane === lane);
    const stretches = entries.map(({ instant, value }, index): LaneStretch => {
      const next = entries[index + 1];
      const to = next === undefined ? end : instantOf(episode, next.instant);
      return { from: instantOf(episode, instant), to, value };
    });
    return { lane, stretches };
  });
}

/** Value of a lane at an instant; undefined before its first entry. */
export function laneValueAt({ stretches }: TraceLane, instant: number): number | undefined {
  return stretches.findLast(({ from }) => from <= instant)?.value;
}
