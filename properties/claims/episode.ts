import type { Design } from "../../lib/design/design.ts";
import type {
  Configuration,
  FirmwareFault,
  Refusal,
  Report,
  TraceEntry,
} from "../../sim/firmware/port.ts";
import type { Simulation } from "../../sim/simulate.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { Promises } from "./promises.ts";
import type { VoltageBounds } from "./voltage-bounds.ts";

/** What claims are made about: a design, what its firmware promises, and what is proven of it. */
export interface Subject {
  readonly design: Design;
  readonly promises: Promises;
  readonly bounds: VoltageBounds;
}

/** One scenario played to the firmware. */
export interface Episode {
  readonly subject: Subject;
  readonly draw: Draw;
  /** The truth. */
  readonly simulation: Simulation;
  readonly configuration: Configuration;
  /** Time stamp of sample 0. */
  readonly firstTick: number;
  /** The final report; undefined after a fault. */
  readonly report: Report | undefined;
  /** The same scenario handled as the space's twin says. */
  readonly twin?: Episode;
  /** Why the firmware refused another configuration than that of its design. */
  readonly refusal?: Refusal;
  readonly fault: FirmwareFault | undefined;
  /** Samples handed in until the measurement ended. */
  readonly samplesTaken: number;
  /** Whether the firmware said that its measurement is over. */
  readonly hasEnded: boolean;
  readonly trace: readonly TraceEntry[];
}

const TWO_32 = 4_294_967_296;

/** s of the scenario for an instant in ticks. */
export function instantOf(episode: Episode, tick: number): number {
  const { clock } = episode.simulation;
  const { ticksPerSample } = episode.configuration;
  const ticks = (((tick - episode.firstTick) % TWO_32) + TWO_32) % TWO_32;
  // Half of the counter's span lies before sample 0.
  const signed = ticks < TWO_32 / 2 ? ticks : ticks - TWO_32;
  return clock.phase + (signed / ticksPerSample) * clock.period;
}

/** True voltage between the pins at an instant, V. */
export function trueVoltage({ simulation }: Episode, instant: number): number {
  const { channels, ground } = simulation.scenario.tester;
  return simulation.voltageAt([channels[0]!, ground], instant);
}

/** V of a whole number of result units. */
export function voltsOf({ configuration }: Episode, units: number): number {
  return units * configuration.resultUnit * 1e-6;
}

/**
 * The last stretch within which the pins were driven now and then without moving by more than the
 * threshold: no firmware can see the opening better than this. Both ends in s; equal for a clean
 * opening; undefined without an opening.
 *
 * The first is the last opening of the mains circuit after which re-closures moved the pins by less
 * than the threshold, V; the second the last electrical opening of either pole.
 */
export function openingSpan(
  { simulation }: Episode,
  threshold: number,
): readonly [number, number] | undefined {
  const { lastOpening, events, scenario } = simulation;
  if (lastOpening === undefined) return undefined;
  const { channels, ground } = scenario.tester;
  const volts = (instant: number): number => simulation.voltageAt([channels[0]!, ground], instant);
  const moves = events.filter(({ kind }) => kind === "poleOpens" || kind === "poleCloses");
  let first = lastOpening;
  for (let index = moves.length - 1; index >= 0; index -= 1) {
    const { kind, instant } = moves[index]!;
    if (kind === "poleOpens") first = instant;
    if (kind !== "poleCloses") continue;
    const before = volts(instant - 1e-9);
    const moved = Math.max(Math.abs(volts(instant) - before), Math.abs(volts(first) - before));
    if (moved > threshold) break;
  }
  return [first, lastOpening];
}
