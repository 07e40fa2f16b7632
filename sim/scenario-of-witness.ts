import type { Design } from "../lib/design/design.ts";
import { onOccasion, occasionsOf } from "../lib/design/occasions.ts";
import { highestCrest } from "../lib/design/node-quantities.ts";
import { quantitiesOf } from "../lib/design/quantities.ts";
import type { Occasion } from "../lib/design/quantity.ts";
import { DrawnValues } from "./drawn-values.ts";
import { exponential, logarithm } from "./elementary.ts";
import { drawFrontEnd } from "./front-end.ts";
import type { FrontEnd } from "./front-end.ts";
import { buildQuantiser } from "./quantiser.ts";
import type { TransitionCurve } from "./transition-curve.ts";
import { samplesAbout } from "./reading.ts";
import type { ReadingSamples } from "./reading.ts";
import type { Noise, Scenario } from "./scenario.ts";
import { StaticTransfer, positionOfPin } from "./static-transfer.ts";

/** Values by symbol name, as the budget lists them for a witness. */
export type WitnessValues = Readonly<Record<string, number>>;

/** A witness as a scenario. */
export interface WitnessScenario {
  readonly scenario: Scenario;
  /** Samples whose mean is the reading. */
  readonly samples: ReadingSamples;
  /** V that the reading is compared with, at the stated instant after the opening at zero. */
  readonly trueVoltage: number;
}

/** Beside the witness. */
export interface WitnessOptions {
  /**
   * V by which simulation and budget may differ before the converter. The witness stands a hair
   * from a code edge: the edges of the codes it names are moved apart by as much, so that a smaller
   * difference leaves the code. Zero where absent.
   */
  readonly modelDifference?: number;
}

/** Below this voltage a product is taken to decay no faster than at it, V. */
const LEAST_VOLTAGE = 1e-6;

/** 1/s: the witness's share of the fastest decay from the highest crest. */
function decayRate(design: Design, witness: WitnessValues, voltage: number): number {
  const share = witness[onOccasion("decay_share", "use")] ?? 0;
  const fall = highestCrest(design).toNumber() / Math.max(Math.abs(voltage), LEAST_VOLTAGE);
  return (share * logarithm(Math.max(fall, 1))) / design.conditions.instant.toNumber();
}

interface Timed {
  readonly rate: number;
  readonly phase: number;
  readonly period: number;
  /** Sample at the stated instant after the first one. */
  readonly sample: number;
  readonly samples: ReadingSamples;
}

/** Timing as a phase: the sample of the reading falls exactly as late as the witness says. */
function timed(drawn: DrawnValues, witness: WitnessValues, rate: number): Timed {
  const { design } = drawn;
  const { timing, conditions } = design;
  const instant = conditions.instant.toNumber();
  const sampleRate = timing?.sampleRate.toNumber() ?? 1;
  const sample = Math.round(instant * sampleRate);
  const clock = (1 + drawn.lasting("clock_tolerance")) * drawn.drift("clock", "use");
  const period = clock / sampleRate;
  const late =
    (witness["latency_use"] ?? 0) + (witness["grid_use"] ?? 0) + (witness["jitter_use"] ?? 0);
  // A shorter window has the share of the curvature that the witness asks for.
  const share = Math.max(0, witness["window_curvature_use"] ?? 0);
  const whole = timing?.window?.duration.toNumber() ?? 0;
  const samples = shortened(samplesAbout(sample, design, whole), Math.sqrt(share));
  return { rate, phase: instant * clock + late - sample * period, period, sample, samples };
}

/** Fewer samples about the same middle. */
function shortened({ first, count }: ReadingSamples, factor: number): ReadingSamples {
  const middle = first + (count - 1) / 2;
  const half = Math.round(((count - 1) / 2) * factor);
  const start = Math.round(middle - half);
  return { first: start, count: 2 * half + 1 };
}

/** Noise that holds every sample of the reading where their mean is, LSB. */
function holdingNoise(frontEnd: FrontEnd, voltage: number, timing: Timed): Noise {
  const { first, count } = timing.samples;
  if (count === 1) return { kind: "none" };
  const transfer = new StaticTransfer(frontEnd);
  const perVolt = transfer.linearNode(1) - transfer.linearNode(0);
  const codesPerVolt = perVolt / buildQuantiser(frontEnd).voltsPerCode;
  const lag = frontEnd.lags.reduce((factor, tau) => factor / (1 - tau * timing.rate), 1);
  const voltages = Array.from({ length: count }, (_, k) => {
    const instant = timing.phase + (first + k) * timing.period;
    return voltage * exponential(-timing.rate * instant);
  });
  const mean = voltages.reduce((sum, value) => sum + value, 0) / count;
  const values = voltages.map((value) => (mean - value) * lag * codesPerVolt);
  return { kind: "sequence", first, values };
}

/** Edges of the code the witness rounds to, moved apart. */
function curveAt(position: number, rounding: number, apart: number): TransitionCurve {
  const code = Math.round(position + rounding);
  return {
    points: [
      { code: code - 1, deviation: 0 },
      { code, deviation: -apart },
      { code: code + 1, deviation: apart },
      { code: code + 2, deviation: 0 },
    ],
  };
}

function transitionsOf(drawn: DrawnValues, witness: WitnessValues, reading: number, volts: number) {
  const { design } = drawn;
  const { adjustment } = design;
  const curves: Partial<Record<Occasion, TransitionCurve>> = {};
  for (const occasion of occasionsOf(design)) {
    const rounding = witness[onOccasion("rounding", occasion)];
    if (rounding === undefined || volts === 0) continue;
    const frontEnd = drawFrontEnd(drawn, occasion);
    let pin = reading;
    if (occasion !== "use" && adjustment.kind !== "none") {
      const point =
        adjustment.kind === "gain"
          ? adjustment.at
          : occasion === "adjustLow"
            ? adjustment.low
            : adjustment.high;
      pin = point.voltage.toNumber() + drawn.lasting(onOccasion("applied", occasion));
    }
    const perVolt = positionOfPin(frontEnd, pin + 0.5) - positionOfPin(frontEnd, pin - 0.5);
    const apart = Math.abs(perVolt) * volts;
    curves[occasion] = curveAt(positionOfPin(frontEnd, pin), rounding, apart);
  }
  return curves;
}

/**
 * Turns a witness of the budget into a scenario: parts as drawn, a product whose voltage decays at
 * the witness's rate and is the true voltage at the stated instant, nonlinearity and rounding as
 * the converter's transitions, timing as the phase of the sampling clock, noise as a fixed
 * sequence. The mean of the returned samples is the reading.
 *
 * Throws InvalidInputError for a value outside the declared limits of its quantity.
 */
export function scenarioOfWitness(
  design: Design,
  witness: WitnessValues,
  voltage: number,
  options: WitnessOptions = {},
): WitnessScenario {
  const names = quantitiesOf(design).map(({ name }) => name);
  const quantities = Object.fromEntries(
    names.flatMap((name) => (witness[name] === undefined ? [] : [[name, witness[name]]])),
  );
  const drawn = new DrawnValues(design, quantities, { outsideLimits: false });
  const frontEnd = drawFrontEnd(drawn, "use");
  const rate = decayRate(design, witness, voltage);
  const timing = timed(drawn, witness, rate);
  const instant = design.conditions.instant.toNumber();
  const begin = voltage * exponential(rate * instant);
  const { first, count } = timing.samples;
  const end = timing.phase + (first + count) * timing.period;
  const noise = holdingNoise(frontEnd, begin, timing);
  const lag = frontEnd.lags.reduce((factor, tau) => factor / (1 - tau * rate), 1);
  const middle = timing.phase + (first + (count - 1) / 2) * timing.period;
  const reading = begin * exponential(-rate * middle) * lag;
  const scenario: Scenario = {
    name: `witness at ${voltage} V`,
    design,
    quantities,
    outsideLimits: false,
    transitions: transitionsOf(drawn, witness, reading, options.modelDifference ?? 0),
    tester: { ground: "N", channels: ["L"], inputCapacitance: 0, earthCapacitance: 0 },
    disconnection: { closedResistance: 0, openResistance: 0, openCapacitance: 0 },
    product: {
      kind: "imposed",
      terms: [{ amplitude: begin, rate, frequency: 0, phaseTurns: 0 }],
      earthCapacitance: { L: 0, N: 0 },
      earthResistance: { L: 0, N: 0 },
    },
    interference: false,
    sampling: { phase: timing.phase, jitter: 0 },
    noise,
    duration: Math.max(end, instant) + timing.period,
  };
  return { scenario, samples: timing.samples, trueVoltage: voltage };
}
