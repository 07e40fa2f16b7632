import { InvalidInputError } from "../../lib/errors.ts";
import type {
  Action,
  Configuration,
  Firmware,
  FirmwareFault,
  Refusal,
  Report,
  StartOutcome,
} from "../../sim/firmware/port.ts";
import type { Scenario } from "../../sim/scenario.ts";
import { simulate } from "../../sim/simulate.ts";
import type { Simulation } from "../../sim/simulate.ts";
import type { DeliveryFault, EarlierMeasurements, Handling } from "../arbitraries/handling.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import type { Episode, Subject } from "../claims/episode.ts";
import { configurationOf } from "./configuration-of.ts";
import { refusalWords } from "./refusal-words.ts";

/** The firmware refuses the configuration of its design at the start. */
export class ConfigurationRefusedError extends InvalidInputError {}

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

const made = new WeakMap<Simulation, Int32Array>();

/** Codes of a whole simulation, made once: it is played to many firmwares. */
function codesOf(simulation: Simulation): Int32Array {
  const codes = made.get(simulation) ?? simulation.codes();
  made.set(simulation, codes);
  return codes;
}

/** Codes as they reach the firmware; lost ones are left in their place. */
function deliveredCodes(simulation: Simulation, handling: Handling): Int32Array {
  const { faults = [], recode } = handling;
  const original = handling.codes ?? codesOf(simulation);
  if (faults.length === 0 && recode === undefined) return original;
  const codes = recode === undefined ? original.slice() : original.map(recode);
  const { lowest, highest } = simulation.frontEnd.converter;
  for (const fault of faults) {
    const { kind, first, count } = fault;
    const fill = (code: number): unknown => codes.fill(code, first, first + count);
    if (kind === "stuck") fill(codes[first] ?? 0);
    if (kind === "wild") fill(highest + 1);
    if (fault.kind === "railed") fill(fault.at === "lowest" ? lowest : highest);
  }
  return codes;
}

/** Samples at which a block ends, so that what is special about samples holds for whole blocks. */
function edgesOf({ faults = [] }: Handling): readonly number[] {
  return faults.flatMap(({ kind, first, count }) => {
    if (kind === "stuck" || kind === "wild" || kind === "railed") return [];
    return kind === "lost" || kind === "skipped" ? [first] : [first, first + count];
  });
}

/** A scenario with the codes that its front end gives, before any firmware has a say. */
export interface Stage {
  readonly scenario: Scenario;
  readonly handling: Handling;
  readonly simulation: Simulation;
}

interface PlayerParts extends Stage {
  readonly subject: Subject;
  readonly firmware: Firmware;
  readonly options: PlayOptions;
}

/** Hands the codes of one scenario to a firmware and carries out what it asks for. */
class Player {
  private readonly parts: PlayerParts;
  private readonly firmware: Firmware;
  private simulation: Simulation;
  private configuration: Configuration;
  /** Codes of each channel. */
  private codes!: readonly Int32Array[];
  private refusal: Refusal | undefined;
  private report: Report | undefined;
  private fault: FirmwareFault | undefined;
  private next = 0;
  private missed = 0;
  private isOver = false;
  /** Ticks that went by in measurements before this one. */
  private ticksBefore = 0;
  private isCommanded = false;
  private edges: readonly number[] = [];
  /** How the samples of the measurement under way are handled. */
  private handling: Handling;
  private readonly again = new Set<DeliveryFault>();

  constructor(parts: PlayerParts) {
    const { subject, firmware, handling, simulation } = parts;
    const mode = handling.mode ?? "watch";
    this.parts = parts;
    this.firmware = firmware;
    this.simulation = simulation;
    this.handling = handling;
    const { constants } = this.simulation;
    const usual = { ...configurationOf(subject.design, constants, subject), mode } as const;
    this.configuration = handling.configured?.(usual) ?? usual;
    this.deliver();
  }

  get firstTick(): number {
    const { options, handling } = this.parts;
    return ((options.firstTick ?? handling.firstTick ?? 0) + this.ticksBefore) % TWO_32;
  }

  /** The codes of the simulation as they reach the firmware. */
  private deliver(): void {
    const { handling } = this;
    this.edges = edgesOf(handling);
    const codes = deliveredCodes(this.simulation, handling).subarray(0, handling.until);
    this.codes = handling.wired?.(codes) ?? [codes];
  }

  private begun(outcome: StartOutcome): void {
    if (outcome.kind === "started") return;
    if (outcome.kind !== "refused") {
      this.fault = outcome;
      return;
    }
    if (this.parts.handling.configured !== undefined) {
      this.refusal = outcome.reason;
      return;
    }
    const permitted = "one that the firmware accepts";
    const received = `a refusal with code ${outcome.code}`;
    throw new ConfigurationRefusedError("firmware", [
      {
        path: outcome.reason,
        quantity: "configuration",
        permitted,
        received,
        hint: refusalWords(outcome.reason, this.configuration),
      },
    ]);
  }

  private keepReport(): void {
    const outcome = this.firmware.report();
    if (outcome.kind === "report") this.report = outcome.report;
    else this.fault = outcome;
  }

  private refuse(kind: Action["kind"]): void {
    const reason = `asks for ${kind}, which this tester does not offer`;
    this.fault = { kind: "contractBroken", reason };
  }

  private carryOut({ kind }: Action): void {
    const { handling, scenario } = this.parts;
    if (kind === "endOfMeasurement") {
      this.isOver = true;
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
    this.deliver();
  }

  /** Goes past samples that are lost, and back to those that come again. */
  private moveOn(): void {
    for (const fault of this.handling.faults ?? []) {
      const { kind, first, count } = fault;
      const isLost = kind === "lost" || kind === "skipped";
      if (isLost && first === this.next) {
        this.next += count;
        if (kind === "lost") this.missed += count;
      }
      if (kind !== "repeated" || first + count !== this.next || this.again.has(fault)) continue;
      this.again.add(fault);
      this.next = first;
    }
  }

  private blockEnd(): number {
    const { options, handling } = this.parts;
    const block = options.block ?? handling.block ?? BLOCK;
    const edges = this.edges.filter((edge) => edge > this.next);
    return Math.min(this.codes[0]!.length, this.next + block, ...edges);
  }

  private isSaturated(): boolean {
    return (this.handling.faults ?? []).some(
      ({ kind, first, count }) =>
        kind === "saturated" && this.next >= first && this.next < first + count,
    );
  }

  private handIn(): void {
    const end = this.blockEnd();
    const outcome = this.firmware.samples({
      timeStamp: (this.firstTick + this.next * this.configuration.ticksPerSample) % TWO_32,
      missed: this.missed,
      saturated: this.isSaturated() ? 1 : 0,
      codes: this.codes.map((codes) => codes.subarray(this.next, end)),
    });
    if (outcome.kind !== "used") {
      this.fault = outcome;
      return;
    }
    this.missed = 0;
    this.next += outcome.used;
    if (outcome.action !== undefined) this.carryOut(outcome.action);
  }

  /** One measurement, to its end, that of the samples, or that of the given number of them. */
  private measure(samples = Infinity): void {
    while (this.fault === undefined && !this.isOver) {
      this.moveOn();
      if (this.next >= Math.min(samples, this.codes[0]!.length)) break;
      this.handIn();
    }
  }

  /** A further measurement on the same samples; time goes on. */
  private rearm(): void {
    this.ticksBefore += this.next * this.configuration.ticksPerSample;
    this.next = 0;
    this.missed = 0;
    this.isOver = false;
    this.again.clear();
    this.begun(this.firmware.rearm(this.configuration));
  }

  /** Starts the firmware; one that refuses another moment of reading is given the design's. */
  private start(): void {
    const usual = this.configuration;
    const { moment } = this.parts.handling;
    if (moment === undefined) return this.begun(this.firmware.start(usual));
    this.configuration = { ...usual, moments: [Math.round(moment * usual.tickRate)] };
    const outcome = this.firmware.start(this.configuration);
    if (outcome.kind !== "refused") return this.begun(outcome);
    this.configuration = usual;
    this.begun(this.firmware.start(usual));
  }

  run(draw: Draw): Episode {
    this.start();
    if (this.refusal === undefined) this.measureAll();
    const { simulation, configuration, firstTick, refusal, fault, report, next, isOver } = this;
    return {
      subject: this.parts.subject,
      draw,
      simulation,
      configuration,
      firstTick,
      report: fault === undefined ? report : undefined,
      ...(refusal === undefined ? {} : { refusal }),
      fault,
      samplesTaken: next,
      hasEnded: isOver,
      trace: [...this.firmware.trace],
    };
  }

  private measureEarlier({ count, brokenOffAt, faults = [], codes }: EarlierMeasurements): void {
    this.handling = { ...this.parts.handling, faults };
    this.deliver();
    if (codes !== undefined) this.codes = this.codes.map(codes);
    if (brokenOffAt !== undefined) this.edges = [...this.edges, brokenOffAt];
    for (let cycle = 0; cycle < count && this.fault === undefined; cycle += 1) {
      this.measure(brokenOffAt);
      if (this.fault === undefined) this.rearm();
    }
  }

  private measureAll(): void {
    const { handling } = this.parts;
    if (handling.earlier !== undefined) this.measureEarlier(handling.earlier);
    this.handling = handling;
    this.deliver();
    this.measure();
    if (this.fault === undefined) this.keepReport();
  }
}

/**
 * Simulates the scenario of a draw up to what a firmware decides: it can be played to any number of
 * firmwares. Throws what the simulation throws for a scenario that it cannot resolve.
 */
export function stageOf(space: ScenarioSpace, draw: Draw): Stage {
  const scenario = space.scenarioOf(draw);
  const handling = space.handling?.(draw) ?? {};
  const isWatched = (handling.mode ?? "watch") === "watch";
  const simulation = simulate(isWatched ? scenario : withOwnContact(scenario, undefined));
  return { scenario, handling, simulation };
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
    stage,
    ...options
  }: PlayOptions & { space: ScenarioSpace; draw: Draw; stage?: Stage },
): Episode {
  const set = stage ?? stageOf(space, draw);
  const episode = new Player({ ...set, subject, firmware, options }).run(draw);
  const handling = space.twin?.(draw);
  if (handling === undefined) return episode;
  const twin = new Player({ ...set, handling, subject, firmware, options }).run(draw);
  return { ...episode, twin };
}
