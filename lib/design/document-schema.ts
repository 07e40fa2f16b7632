import {
  array,
  finite,
  integer,
  literal,
  maxValue,
  minLength,
  minValue,
  number,
  optional,
  picklist,
  pipe,
  record,
  regex,
  strictObject,
  string,
  strictTuple,
  union,
  variant,
} from "valibot";
import type { InferInput } from "valibot";

/** A value as SI number or as text with its unit, as 24.9e6, "24.9 Mohm" or "24M9". */
const figure = union([string(), number()], "text with a unit, or a number in SI units");

const name = pipe(
  string(),
  regex(/^[A-Za-z][A-Za-z0-9]*$/, "a letter followed by letters and digits"),
);

const count = pipe(number(), integer("a whole number"), minValue(1, "1 or more"));

/** Where a figure comes from; a closed set. */
export const basisSchema = picklist(
  ["guaranteed", "typical", "characterised", "measured", "assumed"],
  '"guaranteed", "typical", "characterised", "measured" or "assumed"',
);

const origin = {
  basis: optional(basisSchema),
  /** Document and revision the figure was read in. */
  document: optional(string()),
};

export const distributionSchema = union([
  picklist(["rectangular", "triangular", "arcsine", "twoPoint"]),
  strictObject({
    shape: literal("normal"),
    /** The limits are this many standard uncertainties from the nominal. */
    coverageFactor: pipe(number(), finite("a finite number"), minValue(0.1, "0.1 or more")),
  }),
]);

/**
 * The limits of an error: "0.1 %" means within +/-0.1 %; one-sided limits are given as lower and
 * upper.
 */
const limits = union(
  [
    string(),
    number(),
    strictObject({
      limit: optional(figure),
      lower: optional(figure),
      upper: optional(figure),
      distribution: optional(distributionSchema),
      degreesOfFreedom: optional(
        pipe(number(), finite("a finite number"), minValue(1, "1 or more")),
      ),
      ...origin,
    }),
  ],
  'text such as "0.1 %", a number, or an object with "limit", or "lower" and "upper"',
);

/** Two ends of a range, lower first. */
const range = strictTuple([figure, figure]);

const drift = strictObject({
  limit: figure,
  /** Time over which the limit is stated. */
  after: figure,
  law: picklist(["linear", "rootOfTime", "fixed"]),
  ...origin,
});

const current = strictObject({
  name,
  /** Largest magnitude at the stated temperature; sign unknown unless lower and upper are given. */
  limit: limits,
  at: figure,
  /** Temperature rise that doubles the current; absent: no temperature law. */
  doublesEvery: optional(figure),
  /** Own rise above ambient of the part that leaks, lower and upper. */
  rise: range,
  ...origin,
});

const resistor = strictObject({
  name: optional(name),
  /** Equal parts in series that come from one batch and so move together. */
  count: optional(count),
  resistance: figure,
  tolerance: limits,
  tempco: limits,
  referenceTemperature: optional(figure),
  rise: range,
  voltageCoefficient: optional(limits),
  drift: optional(drift),
  network: optional(name),
  rating: strictObject({ voltage: figure, power: figure }),
  shuntCapacitance: optional(figure),
  ...origin,
});

const network = strictObject({
  tolerance: limits,
  tempco: limits,
  drift: optional(drift),
  ...origin,
});

const bias = variant("source", [
  strictObject({ source: literal("ground") }),
  strictObject({
    source: literal("reference"),
    /** Bias voltage as a share of the reference. */
    ratio: figure,
    tolerance: limits,
    tempco: optional(limits),
    rise: optional(range),
    offset: optional(limits),
    drift: optional(drift),
    ...origin,
  }),
  strictObject({
    source: literal("separate"),
    voltage: figure,
    tolerance: limits,
    tempco: optional(limits),
    rise: optional(range),
    drift: optional(drift),
    ...origin,
  }),
]);

const divider = strictObject({
  upper: pipe(array(resistor), minLength(1, "one resistor or more")),
  lower: pipe(array(resistor), minLength(1, "one resistor or more")),
  networks: optional(record(name, network)),
  bias,
  strayCapacitance: optional(figure),
});

const interference = strictObject({
  /** Coupling from the mains conductors to the node. */
  coupling: figure,
  /** Share that remains after averaging and filtering, 0 to 1. */
  remaining: figure,
  ...origin,
});

const board = strictObject({
  acrossUpper: optional(figure),
  nodeToGround: optional(figure),
  nodeToSupply: optional(figure),
  ...origin,
});

const buffer = strictObject({
  gain: figure,
  gainError: limits,
  gainTempco: optional(limits),
  offset: limits,
  offsetTempco: optional(limits),
  rise: range,
  commonModeRejection: optional(figure),
  supplyRejection: optional(figure),
  crossoverStep: optional(limits),
  swing: range,
  noise: optional(figure),
  bandwidth: optional(figure),
  overloadRecovery: optional(figure),
  ...origin,
});

const filter = strictObject({
  timeConstant: figure,
  tolerance: figure,
  dielectric: picklist(["film", "class1", "class2"]),
  ...origin,
});

const reference = strictObject({
  voltage: figure,
  initial: limits,
  tempco: strictObject({ perKelvin: figure, over: range, ...origin }),
  drift: optional(drift),
  lineRegulation: optional(limits),
  noise: optional(figure),
  ...origin,
});

const adc = strictObject({
  bits: pipe(number(), integer("a whole number"), minValue(4, "4 to 24"), maxValue(24, "4 to 24")),
  input: picklist(["unipolar", "bipolar"]),
  /** Full span from the lowest to the highest code over the reference voltage. */
  spanRatio: figure,
  totalUnadjustedError: optional(limits),
  offset: optional(limits),
  offsetTempco: optional(limits),
  gainError: optional(limits),
  gainTempco: optional(limits),
  rise: optional(range),
  integralNonlinearity: optional(limits),
  nonlinearityFit: optional(picklist(["endPoint", "bestFit"])),
  differentialNonlinearity: optional(figure),
  /** Transition noise, standard deviation in LSB. */
  noise: optional(figure),
  /** Error carried over from the previous channel or from incomplete settling, share of span. */
  memory: optional(limits),
  sampling: optional(
    strictObject({
      capacitance: figure,
      tolerance: figure,
      /** Voltage the sampling capacitor starts from, as a share of the reference. */
      startsFrom: figure,
      ...origin,
    }),
  ),
  ...origin,
});

const timing = strictObject({
  sampleRate: figure,
  /** How late the opening is recognised, earliest and latest, after any back-dating. */
  latency: range,
  clockTolerance: limits,
  clockDrift: optional(drift),
  jitter: optional(figure),
  window: optional(
    strictObject({ duration: figure, position: picklist(["centred", "trailing", "leading"]) }),
  ),
  ...origin,
});

const scaling = strictObject({
  /** Voltage of one unit of the integer result. */
  resultUnit: figure,
  /** Fraction bits of the stored multiplier. */
  fractionBits: pipe(
    number(),
    integer("a whole number"),
    minValue(0, "0 to 30"),
    maxValue(30, "0 to 30"),
  ),
  /** Width of the signed integer that holds code times multiplier plus addend; default 32. */
  intermediateBits: optional(picklist([16, 32, 64])),
  rounding: picklist(["nearest", "down"]),
  displayResolution: optional(figure),
});

const adjustmentPoint = strictObject({
  voltage: figure,
  /** Largest error of the applied voltage, the calibration process as a whole. */
  appliedError: limits,
});

const adjustment = variant("kind", [
  strictObject({ kind: literal("none") }),
  strictObject({
    kind: literal("gain"),
    at: adjustmentPoint,
    ambient: range,
    averagedReadings: count,
    age: optional(figure),
    ...origin,
  }),
  strictObject({
    kind: literal("twoPoint"),
    low: adjustmentPoint,
    high: adjustmentPoint,
    ambient: range,
    averagedReadings: count,
    age: optional(figure),
    ...origin,
  }),
]);

const conditions = strictObject({
  ambient: range,
  referenceAmbient: optional(figure),
  humidity: optional(range),
  supply: range,
  warmUp: optional(figure),
  mains: strictObject({
    voltages: pipe(array(figure), minLength(1, "one voltage or more")),
    tolerance: figure,
    frequencies: pipe(array(figure), minLength(1, "one frequency or more")),
  }),
  /** Stated time after the last opening at which the residual voltage is read. */
  instant: figure,
  /** How the voltage of the tested products falls. */
  products: optional(picklist(["passive", "other"])),
  sinceManufacture: optional(figure),
  sinceAdjustment: optional(figure),
  readingsAveraged: optional(count),
  /** Gaussian noise is cut at this many standard deviations in guaranteed figures. */
  noiseCut: optional(pipe(number(), minValue(1, "1 or more"))),
});

const statement = variant("kind", [
  strictObject({
    kind: literal("indication"),
    share: figure,
    volts: optional(figure),
  }),
  strictObject({
    kind: literal("fiducial"),
    share: figure,
    fiducial: picklist(["span", "upperLimit"]),
    value: figure,
  }),
  strictObject({
    kind: literal("resolution"),
    bits: pipe(
      number(),
      integer("a whole number"),
      minValue(2, "2 to 32"),
      maxValue(32, "2 to 32"),
    ),
    span: figure,
  }),
]);

const requirement = union([
  string(),
  strictObject({
    id: string(),
    text: optional(string()),
    source: optional(string()),
    statement,
    at: optional(union([figure, pipe(array(figure), minLength(1, "one voltage or more"))])),
    from: optional(figure),
    to: optional(figure),
  }),
]);

/** Shape of a design document; units and relations between fields are checked when it is read. */
export const designDocumentSchema = strictObject({
  $schema: optional(string()),
  format: literal("plumbvolt.design/1"),
  name: pipe(string(), minLength(1, "a name")),
  revision: optional(string()),
  notes: optional(union([string(), array(string())])),
  /** Measuring interval: lowest and highest true voltage. */
  measuringInterval: range,
  conditions,
  divider,
  currents: optional(array(current)),
  board: optional(board),
  interference: optional(interference),
  buffer: optional(buffer),
  filter: optional(filter),
  reference,
  adc,
  timing: optional(timing),
  scaling,
  adjustment,
  requirements: optional(array(requirement)),
  compareWith: optional(array(strictObject({ name: string(), statement }))),
});

/** A design as a person writes it: the same names in JSON and in TypeScript. */
export type DesignDocument = InferInput<typeof designDocumentSchema>;
