import { instantOf, voltsOf } from "./episode.ts";
import type { Episode } from "./episode.ts";

/** A reading without a flag, in s of the scenario and V. */
export interface PlainReading {
  readonly instant: number;
  readonly voltage: number;
}

/** The first reading of a finished report without a flag; undefined where there is none. */
export function plainReading(episode: Episode): PlainReading | undefined {
  const { report } = episode;
  const reading = report?.readings[0];
  if (reading === undefined || report!.flags.size > 0) return undefined;
  return {
    instant: instantOf(episode, reading.instant),
    voltage: voltsOf(episode, reading.voltages[0]!),
  };
}

/** s: the last opening with the stated duration after it; undefined where no pole opened. */
export function statedInstantOf({ simulation, subject }: Episode): number | undefined {
  const { lastOpening } = simulation;
  return lastOpening === undefined
    ? undefined
    : lastOpening + subject.design.conditions.instant.toNumber();
}
