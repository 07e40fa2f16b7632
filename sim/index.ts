export { EARTH } from "./circuit.ts";
export type { StoredConstants } from "./adjustment.ts";
export { csvPieces, eventsToCsv, toCsv } from "./csv.ts";
export { REPLACED_QUANTITIES, reasonWithoutEffect } from "./drawn-values.ts";
export type { RandomSource, RandomWords } from "./random-words.ts";
export { philoxWords } from "./philox-words.ts";
export type { TransitionCurve } from "./transition-curve.ts";
export { readScenario, scenarioDocument } from "./read-scenario.ts";
export type { ReadScenarioOptions } from "./read-scenario.ts";
export { readingOf, samplesAbout } from "./reading.ts";
export type { Reading, ReadingSamples } from "./reading.ts";
export { channelPairs, sampleRows } from "./sample-rows.ts";
export type { SampleRange, SampleRow } from "./sample-rows.ts";
export { scenarioOfWitness } from "./scenario-of-witness.ts";
export type { WitnessOptions, WitnessScenario, WitnessValues } from "./scenario-of-witness.ts";
export { scenarioJsonSchema } from "./scenario-schema.ts";
export type { ScenarioDocument } from "./scenario-schema.ts";
export type {
  Disconnection,
  Disturbance,
  Harmonic,
  ImposedTerm,
  Mains,
  Noise,
  Pin,
  PinParts,
  PoleOpening,
  Product,
  Sampling,
  Scenario,
  TesterSetup,
} from "./scenario.ts";
export { Simulation, simulate } from "./simulate.ts";
export type { PinPair, SimulationOptions } from "./simulate.ts";
export type { Clock } from "./code-sampler.ts";
export { MOST_EVENTS_PER_SECOND } from "./timeline.ts";
export type { SimulationEvent } from "./simulation-event.ts";
export { toVcd, vcdPieces } from "./vcd.ts";
export { waveformData } from "./waveform-data.ts";
export type { WaveformData, WaveformView } from "./waveform-data.ts";
export { waveformSvg } from "./waveform-svg.ts";
