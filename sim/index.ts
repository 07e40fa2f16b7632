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
export { cFirmware } from "./firmware/c-firmware.ts";
export type { CFirmwareOptions } from "./firmware/c-firmware.ts";
export { compileFirmware } from "./firmware/compile.ts";
export type { BuiltFirmware, FirmwareSources, SourceFile } from "./firmware/compile.ts";
export { promisesJsonSchema, readDeclaredPromises } from "./firmware/declared-promises.ts";
export type { DeclaredPromises, PromisedFigures } from "./firmware/declared-promises.ts";
export { loadFirmware, writeFirmware } from "./firmware/firmware-files.ts";
export type { FirmwareManifest } from "./firmware/firmware-manifest.ts";
export { firmwareSource } from "./firmware/firmware-source.ts";
export type { RunOptions } from "./firmware/firmware-source.ts";
export { brokenRule, refused } from "./firmware/port-rules.ts";
export { FLAGS, PHASES, PORT_VERSION, REFUSALS } from "./firmware/port.ts";
export type {
  Action,
  BlockOutcome,
  ChannelRole,
  ChannelScale,
  Configuration,
  Crossing,
  Firmware,
  FirmwareFault,
  FirmwareIdentity,
  FirmwareSource,
  Flag,
  LimitLine,
  Phase,
  PortReading,
  Refusal,
  Report,
  ReportOutcome,
  SampleBlock,
  SourceLocation,
  StartOutcome,
  TargetModel,
  TraceEntry,
} from "./firmware/port.ts";
