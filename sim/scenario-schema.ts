import { toJsonSchema } from "@valibot/to-json-schema";
import {
  array,
  boolean,
  integer,
  literal,
  looseObject,
  maxLength,
  minLength,
  minValue,
  number,
  optional,
  picklist,
  pipe,
  record,
  strictObject,
  string,
  tuple,
  union,
  variant,
} from "valibot";
import type { InferInput } from "valibot";

/** A value as SI number or as text with its unit, as 1e-7 or "100 nF". */
const figure = union([string(), number()], "text with a unit, or a number in SI units");

const pin = picklist(["L", "N", "PE"]);

const tester = strictObject({
  /** Pin that is the tester's own zero. */
  ground: optional(pin),
  /** Pins measured against it, one or two channels. */
  channels: optional(pipe(array(pin), minLength(1, "one or two pins"), maxLength(2))),
  inputCapacitance: optional(figure),
  earthCapacitance: optional(figure),
});

const harmonic = strictObject({
  order: pipe(number(), integer("a whole number"), minValue(2, "2 or more")),
  share: figure,
  phaseTurns: optional(number()),
});

const disturbance = variant("kind", [
  strictObject({ kind: literal("level"), from: figure, to: figure, factor: figure }),
  strictObject({ kind: literal("phaseJump"), at: figure, turns: number() }),
  strictObject({ kind: literal("interruption"), from: figure, to: figure, impedance: figure }),
  strictObject({
    kind: literal("burst"),
    from: figure,
    to: figure,
    /** V, r.m.s. of the noise. */
    voltage: figure,
    /** Ends of its band. */
    lowest: figure,
    highest: figure,
    /** Sines it is made of; 24 where absent. */
    tones: optional(number()),
    seed: number(),
  }),
]);

const mains = strictObject({
  /** V, r.m.s. of the fundamental. */
  voltage: figure,
  frequency: figure,
  /** Turns of the fundamental at instant zero; the crest is at whole turns. */
  phaseTurns: optional(number()),
  harmonics: optional(array(harmonic)),
  resistance: optional(figure),
  inductance: optional(figure),
  capacitance: optional(figure),
  reversed: optional(boolean()),
  disturbances: optional(array(disturbance)),
});

const pole = strictObject({
  instant: figure,
  /** Durations after the first separation: open, closed, open, ... */
  bounces: optional(array(figure)),
  arc: optional(
    strictObject({
      leastCurrent: figure,
      /** Voltage and resistance of the burning arc; none where absent. */
      voltage: optional(figure),
      resistance: optional(figure),
      /** From the separation, for which it cannot end; none where absent. */
      leastDuration: optional(figure),
    }),
  ),
});

const disconnection = strictObject({
  L: optional(pole),
  N: optional(pole),
  closedResistance: optional(figure),
  openResistance: optional(figure),
  openCapacitance: optional(figure),
});

const perPin = optional(strictObject({ L: figure, N: figure }));

const pinParts = { earthCapacitance: perPin, earthResistance: perPin };

const discharging = { capacitance: figure, bleeder: optional(figure), ...pinParts };

const product = variant("kind", [
  strictObject({ kind: literal("passive"), ...discharging }),
  strictObject({
    kind: literal("rectifier"),
    bulk: figure,
    load: optional(figure),
    forwardVoltage: figure,
    resistance: figure,
    /** From the bulk's negative end to earth: the four diodes then conduct each for itself. */
    bulkEarthCapacitance: optional(figure),
    ...discharging,
  }),
  strictObject({
    kind: literal("activeDischarge"),
    delay: figure,
    discharge: union([strictObject({ resistance: figure }), strictObject({ current: figure })]),
    ...discharging,
  }),
  strictObject({
    kind: literal("lineFilter"),
    inductance: figure,
    resistance: figure,
    innerCapacitance: figure,
    ...discharging,
  }),
  strictObject({ kind: literal("open"), ...pinParts }),
  strictObject({
    kind: literal("runDown"),
    share: figure,
    resistance: figure,
    timeConstant: figure,
    frequencyRatio: figure,
    ...discharging,
  }),
  strictObject({
    kind: literal("imposed"),
    terms: array(
      strictObject({
        amplitude: figure,
        rate: number(),
        frequency: figure,
        phaseTurns: optional(number()),
      }),
    ),
    ...pinParts,
  }),
]);

const curve = union([
  strictObject({ points: array(strictObject({ code: number(), deviation: number() })) }),
  strictObject({ transitions: array(number()) }),
]);

const noise = variant("kind", [
  strictObject({ kind: literal("none") }),
  strictObject({
    kind: literal("random"),
    seed: number(),
    cut: optional(number()),
    /** Frequency at which 1/f noise has the density of the white noise; none where absent. */
    corner: optional(figure),
  }),
  strictObject({ kind: literal("sequence"), first: number(), values: array(number()) }),
]);

/** Shape of a scenario document; units and relations are checked when it is read. */
export const scenarioDocumentSchema = strictObject({
  $schema: optional(string()),
  format: literal("plumbvolt.scenario/1"),
  name: pipe(string(), minLength(1, "a name")),
  notes: optional(union([string(), array(string())])),
  /** A design document, or the path of one. */
  design: union([string(), looseObject({ format: string() })]),
  /** Drawn values by the names the design gives its quantities; nominal where absent. */
  quantities: optional(record(string(), number())),
  /** True where values beyond the declared limits are meant: a defect. */
  outsideLimits: optional(boolean()),
  transitions: optional(
    strictObject({
      use: optional(curve),
      adjustLow: optional(curve),
      adjustHigh: optional(curve),
    }),
  ),
  tester: optional(tester),
  mains: optional(mains),
  disconnection: optional(disconnection),
  product,
  interference: optional(boolean()),
  sampling: optional(
    strictObject({
      phase: optional(figure),
      jitter: optional(figure),
      /** The sampling capacitor as a part; its mean load where absent. */
      charge: optional(
        strictObject({
          /** For which it is connected before each sample. */
          acquisition: figure,
          startsFrom: optional(picklist(["reference", "previousSample"])),
        }),
      ),
    }),
  ),
  noise: optional(noise),
  duration: figure,
  /** Limit line for the picture, V, both polarities. */
  limit: optional(figure),
  /** Part of the simulation that the picture shows, first and last instant. */
  view: optional(tuple([figure, figure])),
});

/** A scenario as a person writes it. */
export type ScenarioDocument = InferInput<typeof scenarioDocumentSchema>;

/** JSON Schema (draft 2020-12) of the scenario document. */
export function scenarioJsonSchema(): Record<string, unknown> {
  const schema = toJsonSchema(scenarioDocumentSchema, {
    target: "draft-2020-12",
    typeMode: "input",
    errorMode: "ignore",
  });
  return { ...schema, title: "plumbvolt scenario document, version 1" };
}
