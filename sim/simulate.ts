import { OutsideDomainError } from "../lib/errors.ts";
import { adjustChannel, indicationOf } from "./adjustment.ts";
import type { StoredConstants } from "./adjustment.ts";
import { nodeOfPin } from "./build-circuit.ts";
import { CodeSampler } from "./code-sampler.ts";
import type { Clock } from "./code-sampler.ts";
import { DrawnValues } from "./drawn-values.ts";
import { drawFrontEnd } from "./front-end.ts";
import type { FrontEnd } from "./front-end.ts";
import { CutNormals } from "./cut-normals.ts";
import { noiseOf } from "./noise.ts";
import type { NoiseAdder } from "./noise.ts";
import type { RandomSource, RandomWords } from "./random-words.ts";
import { philoxWords } from "./philox-words.ts";
import { buildQuantiser } from "./quantiser.ts";
import { requireScenario } from "./check-scenario.ts";
import type { Pin, Scenario } from "./scenario.ts";
import { difference, valueAt } from "./signal.ts";
import type { Signal } from "./signal.ts";
import { StaticTransfer, positionOfPin } from "./static-transfer.ts";
import { buildTimeline } from "./timeline.ts";
import type { SimulationEvent } from "./simulation-event.ts";
import type { Segment, Timeline } from "./timeline.ts";

/** What a simulation may be given beside its scenario. */
export interface SimulationOptions {
  /** Source of random words in place of the project's own counter-based generator. */
  readonly random?: RandomSource;
}

/** Two pins between which a voltage is asked for. */
export type PinPair = readonly [Pin, Pin];

function signalOf({ voltage }: Segment, node: string): Signal {
  const signal = voltage.get(node);
  if (signal !== undefined) return signal;
  throw new OutsideDomainError({
    path: "node",
    quantity: "node of the network",
    permitted: `one of ${[...voltage.keys()].join(", ")}`,
    received: JSON.stringify(node),
  });
}

/**
 * A scenario played through. Nothing is stored per sample: codes and voltages are evaluated when
 * they are asked for, at any instant, in any order.
 */
export class Simulation {
  readonly scenario: Scenario;
  readonly events: readonly SimulationEvent[];
  /** s of the last electrical opening of either pole; undefined where none opened. */
  readonly lastOpening: number | undefined;
  /** Stored constants of each channel. */
  readonly constants: readonly StoredConstants[];
  /** Samples from instant zero to the duration. */
  readonly sampleCount: number;
  readonly clock: Clock;
  /** The front end as it is in use. */
  readonly frontEnd: FrontEnd;
  private readonly timeline: Timeline;
  private readonly samplers: readonly CodeSampler[];

  constructor(scenario: Scenario, parts: SimulationParts) {
    this.scenario = scenario;
    this.timeline = parts.timeline;
    this.frontEnd = parts.frontEnd;
    this.events = parts.timeline.events;
    this.lastOpening = parts.timeline.lastOpening;
    this.constants = parts.constants;
    this.clock = parts.clock;
    this.samplers = parts.samplers;
    const { phase, period } = parts.clock;
    // A sample that falls on the end but for rounding belongs to the simulation.
    const steps = ((scenario.duration - phase) / period) * (1 + 1e-12);
    this.sampleCount = Math.max(0, Math.floor(steps) + 1);
  }

  /** s of a sample, without jitter. */
  sampleInstant(sample: number): number {
    return this.clock.phase + sample * this.clock.period;
  }

  /** Fills an array with the codes of consecutive samples from index `first` on. */
  fillCodes(channel: number, first: number, codes: Int32Array): void {
    this.samplers[channel]!.fill(first, codes);
  }

  /** All codes of a channel. */
  codes(channel = 0): Int32Array {
    const codes = new Int32Array(this.sampleCount);
    this.fillCodes(channel, 0, codes);
    return codes;
  }

  private segmentAt(instant: number): Segment {
    const { segments } = this.timeline;
    let low = 0;
    let high = segments.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (segments[middle]!.start <= instant) low = middle;
      else high = middle - 1;
    }
    return segments[low]!;
  }

  /** V of a signal of the segment at an instant. */
  private at(instant: number, pick: (segment: Segment) => Signal): number {
    return valueAt(pick(this.segmentAt(instant)), instant);
  }

  /** True voltage between two pins at an instant, V; right after an event where one happens. */
  voltageAt([one, other]: PinPair, instant: number): number {
    return this.at(instant, (segment) =>
      difference(signalOf(segment, nodeOfPin(one)), signalOf(segment, nodeOfPin(other))),
    );
  }

  /**
   * V against earth of any node of the network: a part's terminal, for energy and charge. Throws
   * OutsideDomainError for a node that the network of that instant does not have.
   */
  nodeVoltageAt(node: string, instant: number): number {
    return this.at(instant, (segment) => signalOf(segment, node));
  }

  /** V at the divider's node of a channel after the low-passes, before the converter. */
  sampledVoltageAt(channel: number, instant: number): number {
    return this.at(instant, ({ sampled }) => sampled[channel]!);
  }

  /** Place on the converter's straight line at an instant, LSB, before noise and rounding. */
  codePositionAt(channel: number, instant: number): number {
    const pin = new StaticTransfer(this.frontEnd).pinOfLinear(
      this.sampledVoltageAt(channel, instant),
    );
    return positionOfPin(this.frontEnd, pin);
  }

  /** Indication for a code, or a mean of codes, of a channel, V. */
  indication(code: number, channel = 0): number {
    return indicationOf(this.scenario.design, this.constants[channel]!, code);
  }
}

/** Parts of a simulation that have been worked out. */
export interface SimulationParts {
  readonly frontEnd: FrontEnd;
  readonly timeline: Timeline;
  readonly constants: readonly StoredConstants[];
  readonly clock: Clock;
  readonly samplers: readonly CodeSampler[];
}

function wordsOf(scenario: Scenario, options: SimulationOptions): RandomWords | undefined {
  const { noise } = scenario;
  if (noise.kind !== "random") return undefined;
  return (options.random ?? philoxWords)(noise.seed);
}

/** Deviations of the sampling instants, in standard deviations. */
function jitterOf({ noise }: Scenario, words: RandomWords | undefined): NoiseAdder {
  if (words === undefined || noise.kind !== "random") return noiseOf({ kind: "none" });
  const normals = new CutNormals(words, noise.cut);
  return (target, place) => normals.add(target, place);
}

function clockOf(scenario: Scenario, drawn: DrawnValues): Clock {
  const { timing } = scenario.design;
  const rate = timing?.sampleRate.toNumber() ?? 1;
  const slow = (1 + drawn.lasting("clock_tolerance")) * drawn.drift("clock", "use");
  const { phase, jitter } = scenario.sampling;
  return { phase, period: slow / rate, jitter };
}

/**
 * Plays a scenario through: a pure function of the scenario and the random words. The same
 * scenario gives the same bits on every engine whose numbers follow IEC 60559, because only the
 * four operations and the square root are used on the way to a code.
 *
 * Throws InvalidInputError with all faults of the scenario, and OutsideDomainError for a network
 * that doubles cannot resolve or that chatters.
 */
export function simulate(scenario: Scenario, options: SimulationOptions = {}): Simulation {
  requireScenario(scenario);
  const { design, tester, transitions, noise } = scenario;
  const drawn = new DrawnValues(design, scenario.quantities, scenario);
  const words = wordsOf(scenario, options);
  const adder = noiseOf(noise, { design, words });
  const { charge } = scenario.sampling;
  const frontEnd = drawFrontEnd(drawn, "use", charge);
  const timeline = buildTimeline(scenario, frontEnd);
  const clock = clockOf(scenario, drawn);
  const quantiser = buildQuantiser(frontEnd, transitions.use, { withoutTable: true });
  const jitter = jitterOf(scenario, words);
  const samplers = tester.channels.map(
    (_, index) =>
      new CodeSampler(timeline.segments, clock, {
        index,
        quantiser,
        noise: adder,
        jitter,
        recovery: frontEnd.buffer.recovery,
      }),
  );
  const constants = tester.channels.map((_, index) =>
    adjustChannel({
      index,
      drawn,
      transitions,
      noise: adder,
      ...(charge === undefined ? {} : { charge }),
    }),
  );
  return new Simulation(scenario, { frontEnd, timeline, constants, clock, samplers });
}
