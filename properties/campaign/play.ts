import type { Firmware, FirmwareFault, Report } from "../../sim/firmware/port.ts";
import { simulate } from "../../sim/simulate.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import type { Episode, Subject } from "../claims/episode.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import { configurationOf } from "./configuration-of.ts";

/** Samples handed in at once. */
const BLOCK = 512;

/** How the samples are handed in. */
export interface PlayOptions {
  readonly block?: number;
  /** Time stamp of sample 0; near the end of the counter it wraps. */
  readonly firstTick?: number;
}

interface Fed {
  readonly fault: FirmwareFault | undefined;
  readonly report: Report | undefined;
  readonly samplesTaken: number;
}

/** Hands all codes in until the measurement ends. */
function feed(
  firmware: Firmware,
  codes: Int32Array,
  { block, firstTick, ticks }: { block: number; firstTick: number; ticks: number },
): Fed {
  let next = 0;
  let fault: FirmwareFault | undefined;
  while (next < codes.length) {
    const outcome = firmware.samples({
      timeStamp: (firstTick + next * ticks) % 4_294_967_296,
      missed: 0,
      saturated: 0,
      codes: [codes.subarray(next, Math.min(codes.length, next + block))],
    });
    if (outcome.kind !== "used") {
      fault = outcome;
      break;
    }
    next += outcome.used;
    if (outcome.action?.kind === "endOfMeasurement") break;
  }
  if (fault !== undefined) return { fault, report: undefined, samplesTaken: next };
  const outcome = firmware.report();
  return outcome.kind === "report"
    ? { fault, report: outcome.report, samplesTaken: next }
    : { fault: outcome, report: undefined, samplesTaken: next };
}

/**
 * Plays the scenario of a draw to a firmware from its power-up. Throws InvalidInputError where the
 * firmware refuses its configuration, and what the simulation throws for a scenario that it cannot
 * resolve.
 */
export function play(
  subject: Subject,
  firmware: Firmware,
  {
    space,
    draw,
    block = BLOCK,
    firstTick = 0,
  }: PlayOptions & {
    readonly space: ScenarioSpace;
    readonly draw: Draw;
  },
): Episode {
  const simulation = simulate(space.scenarioOf(draw));
  const configuration = configurationOf(subject.design, simulation.constants, subject);
  const started = firmware.start(configuration);
  if (started.kind === "refused") {
    const permitted = "one that the firmware accepts";
    throw new InvalidInputError("firmware", [
      { path: started.reason, quantity: "configuration", permitted, received: "a refusal" },
    ]);
  }
  const codes = simulation.codes();
  const fed: Fed =
    started.kind === "started"
      ? feed(firmware, codes, { block, firstTick, ticks: configuration.ticksPerSample })
      : { fault: started, report: undefined, samplesTaken: 0 };
  return {
    subject,
    draw,
    simulation,
    configuration,
    firstTick,
    ...fed,
    trace: [...firmware.trace],
  };
}
