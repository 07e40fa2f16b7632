import { InvalidInputError } from "../../lib/errors.ts";
import type {
  Action,
  Configuration,
  Firmware,
  FirmwareFault,
  Report,
  StartOutcome,
} from "../../sim/firmware/port.ts";
import type { Scenario } from "../../sim/scenario.ts";
import { simulate } from "../../sim/simulate.ts";
import type { Simulation } from "../../sim/simulate.ts";
import type { Handling } from "../arbitraries/handling.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import type { Episode, Subject } from "../claims/episode.ts";
import { configurationOf } from "./configuration-of.ts";

/** Samples handed in at once. */
const BLOCK = 512;

/** s from the command until the tester's own contact opens. */
const CONTACT_DELAY = 5e-3;

const TWO_32 = 4_294_967_296;

/** How the samples are handed in, whatever the space says. */
export interface PlayOptions {
  readonly block?: number;
  /** Time stamp of sample 0. */
  readonly firstTick?: number;
}

/** The scenario with the tester's own contact opened at an instant, or not yet. */
function withOwnContact(scenario: Scenario, instant: number | undefined): Scenario {
  const { closedResistance, openResistance, openCapacitance } = scenario.disconnection;
  const opening = instant === undefined ? {} : { L: { instant, bounces: [] } };
  return {
    ...scenario,
    disconnection: { ...opening, closedResistance, openResistance, openCapacitance },
  };
}

/** Codes as they reach the firmware; lost ones are left in their place. */
function deliveredCodes(simulation: Simulation, handling: Handling): Int32Array {
  const codes = handling.codes?.slice() ?? simulation.codes();
  const { lowest, highest } = simulation.frontEnd.converter;
  for (const fault of handling.faults ?? []) {
    if (fault.kind === "lost") continue;
    const rail = fault.kind === "railed" && fault.at === "lowest" ? lowest : highest;
    const code = fault.kind === "stuck" ? codes[fault.first] : rail;
    codes.fill(code ?? 0, fault.first, fault.first + fault.count);
  }
  return codes;
}

interface PlayerParts {
  readonly subject: Subject;
  readonly firmware: Firmware;
  readonly scenario: Scenario;
  readonly handling: Handling;
  readonly options: PlayOptions;
}

/** Hands the codes of one scenario to a firmware and carries out what it asks for. */
class Player {
  private readonly parts: PlayerParts;
  private readonly firmware: Firmware;
  private simulation: Simulation;
  private readonly configuration: Configuration;
  private codes: Int32Array;
  private readonly reports: Report[] = [];
  private fault: FirmwareFault | undefined;
  private next = 0;
  private missed = 0;
  private left: number;
  private isCommanded = false;

  constructor(parts: PlayerParts) {
    const { subject, firmware, scenario, handling } = parts;
    const mode = handling.mode ?? "watch";
    this.parts = parts;
    this.firmware = firmware;
    this.simulation = simulate(mode === "watch" ? scenario : withOwnContact(scenario, undefined));
    const { constants } = this.simulation;
    this.configuration = { ...configurationOf(subject.design, constants, subject), mode };
    this.codes = deliveredCodes(this.simulation, handling);
    this.left = handling.measurements ?? 1;
  }

  get firstTick(): number {
    return this.parts.options.firstTick ?? this.parts.handling.firstTick ?? 0;
  }

  private begun(outcome: StartOutcome): void {
    if (outcome.kind === "started") return;
    if (outcome.kind !== "refused") {
      this.fault = outcome;
      return;
    }
    const permitted = "one that the firmware accepts";
    const received = `a refusal with code ${outcome.code}`;
    throw new InvalidInputError("firmware", [
      { path: outcome.reason, quantity: "configuration", permitted, received },
    ]);
  }

  private keepReport(): void {
    const outcome = this.firmware.report();
    if (outcome.kind === "report") this.reports.push(outcome.report);
    else this.fault = outcome;
  }

  private refuse(kind: Action["kind"]): void {
    const reason = `asks for ${kind}, which this tester does not offer`;
    this.fault = { kind: "contractBroken", reason };
  }

  private carryOut({ kind }: Action): void {
    const { handling, scenario } = this.parts;
    if (kind === "endOfMeasurement") {
      this.keepReport();
      this.left -= 1;
      if (this.left > 0 && this.fault === undefined)
        this.begun(this.firmware.rearm(this.configuration));
      return;
    }
    if (kind !== "openContact" || handling.mode !== "automatic") {
      this.refuse(kind);
      return;
    }
    if (this.isCommanded) return;
    this.isCommanded = true;
    const delay = handling.contactDelay ?? CONTACT_DELAY;
    const instant = this.simulation.sampleInstant(this.next - 1) + delay;
    // Samples up to here are the same: noise is addressed by sample.
    this.simulation = simulate(withOwnContact(scenario, instant));
    this.codes = deliveredCodes(this.simulation, handling);
  }

  private skipLost(): void {
    for (const { kind, first, count } of this.parts.handling.faults ?? []) {
      if (kind !== "lost" || first !== this.next) continue;
      this.next += count;
      this.missed += count;
    }
  }

  private blockEnd(): number {
    const { options, handling } = this.parts;
    const block = options.block ?? handling.block ?? BLOCK;
    let end = Math.min(this.codes.length, this.next + block);
    for (const { kind, first } of handling.faults ?? [])
      if (kind === "lost" && first > this.next) end = Math.min(end, first);
    return end;
  }

  private handIn(): void {
    const end = this.blockEnd();
    const outcome = this.firmware.samples({
      timeStamp: (this.firstTick + this.next * this.configuration.ticksPerSample) % TWO_32,
      missed: this.missed,
      saturated: 0,
      codes: [this.codes.subarray(this.next, end)],
    });
    if (outcome.kind !== "used") {
      this.fault = outcome;
      return;
    }
    this.missed = 0;
    this.next += outcome.used;
    if (outcome.action !== undefined) this.carryOut(outcome.action);
  }

  run(draw: Draw): Episode {
    this.begun(this.firmware.start(this.configuration));
    while (this.fault === undefined && this.left > 0) {
      this.skipLost();
      if (this.next >= this.codes.length) break;
      this.handIn();
    }
    if (this.left > 0 && this.fault === undefined) this.keepReport();
    const { simulation, configuration, firstTick, fault, reports, next } = this;
    return {
      subject: this.parts.subject,
      draw,
      simulation,
      configuration,
      firstTick,
      report: fault === undefined ? reports.at(-1) : undefined,
      reports,
      fault,
      samplesTaken: next,
      trace: [...this.firmware.trace],
    };
  }
}

/**
 * Plays the scenario of a draw to a firmware from its power-up. Throws InvalidInputError where the
 * firmware refuses its configuration, and what the simulation throws for a scenario that it cannot
 * resolve.
 */
export function play(
  subject: Subject,
  firmware: Firmware,
  { space, draw, ...options }: PlayOptions & { space: ScenarioSpace; draw: Draw },
): Episode {
  const scenario = space.scenarioOf(draw);
  const handling = space.handling?.(draw) ?? {};
  return new Player({ subject, firmware, scenario, handling, options }).run(draw);
}
