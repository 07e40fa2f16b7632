import type {
  Configuration,
  FirmwareFault,
  Flag,
  Report,
  TraceEntry,
} from "../../sim/firmware/port.ts";
import type { Simulation } from "../../sim/index.ts";
import type { CampaignContext, Situation } from "./situation.ts";
import type { Truth } from "./truth.ts";

/** A report in s and V; instants count as the simulation's. */
export interface PlayedReport {
  readonly report: Report;
  readonly flags: ReadonlySet<Flag>;
  readonly candidate: number | undefined;
  readonly confirmation: number | undefined;
  readonly opening: number | undefined;
  readonly readings: readonly { readonly instant: number; readonly voltage: number }[];
  /** s after the opening it reports, as the firmware's own clock has them. */
  readonly crossings: readonly {
    readonly earliest: number | undefined;
    readonly latest: number | undefined;
  }[];
}

/** What came of a situation. */
export interface Outcome {
  readonly context: CampaignContext;
  readonly situation: Situation;
  readonly configuration: Configuration;
  readonly simulation: Simulation;
  readonly truth: Truth;
  /** One for each measurement that was begun; the last may not be finished. */
  readonly reports: readonly PlayedReport[];
  /** How the firmware went wrong, with the sample up to which it had come. */
  readonly fault: FirmwareFault | undefined;
  readonly faultInstant: number | undefined;
  readonly trace: readonly TraceEntry[];
  /** s of a time stamp. */
  secondsOf(ticks: number): number;
}
