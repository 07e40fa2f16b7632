import {
  array,
  boolean,
  description,
  exactOptional,
  literal,
  null_,
  picklist,
  pipe,
  record,
  regex,
  strictObject,
  string,
  title,
  union,
} from "valibot";
import { designMark, figure, producer, writtenJsonSchema } from "./schema-parts.ts";
import type { JsonSchemaDocument } from "./schema-parts.ts";

const decimal = pipe(string(), regex(/^-?\d+(?:\.\d+)?$/, "a decimal number"));
const statement = { share: decimal, volts: decimal };

const point = strictObject({
  voltage: figure,
  reason: string(),
  permitted: figure,
  margin: figure,
  tolerance: figure,
  largestGood: figure,
  process: figure,
  processNeeded: figure,
  ratio: union([figure, null_()]),
  guardBand: figure,
  acceptance: figure,
  accepted: strictObject({ lower: figure, upper: figure }),
  risk: exactOptional(
    strictObject({ consumer: figure, producer: figure, nonconforming: figure, accepted: figure }),
  ),
});

const dynamic = strictObject({
  from: figure,
  voltage: figure,
  duration: figure,
  capacitance: figure,
  resistance: figure,
  inputResistance: figure,
  timeConstant: figure,
  tolerance: figure,
  largestGood: figure,
  processNeeded: figure,
  timeConstantNeeded: figure,
  acceptance: figure,
});

/** Shape of the document that `plumbvolt checkpoints --json` prints; unknown fields are refused. */
export const checkpointDocumentSchema = pipe(
  strictObject({
    format: literal("plumbvolt.checkpoints/1"),
    producer,
    design: designMark,
    conditions: record(string(), string()),
    bench: strictObject({
      ambient: string(),
      readingsAveraged: figure,
      productionFactor: figure,
    }),
    statement: strictObject({
      ...statement,
      reason: picklist(["asked for", "least volts that can be verified on every unit"]),
    }),
    proven: strictObject({ ...statement, from: decimal, to: decimal }),
    process: union([strictObject({ share: figure, volts: figure }), literal("ratio of 4")]),
    points: array(point),
    dynamic,
    limits: array(
      strictObject({
        id: picklist(["inputResistance", "inputCapacitance", "timeBase"]),
        quantity: string(),
        unit: picklist(["ohm", "F", "1"]),
        lower: figure,
        upper: figure,
        processNeeded: figure,
      }),
    ),
    verdict: picklist(["holds", "rejectsGoodUnits", "noRoom"]),
    interval: strictObject({
      since: picklist(["adjustment", "manufacture"]),
      declared: figure,
      growth: array(
        strictObject({
          voltage: figure,
          ages: array(strictObject({ years: figure, low: figure, high: figure })),
        }),
      ),
      kept: array(
        strictObject({
          id: string(),
          text: string(),
          months: union([figure, picklist(["none", "beyond"])]),
        }),
      ),
      longest: figure,
    }),
    guaranteed: boolean(),
    conditionalOn: array(string()),
    assumptions: array(string()),
    notModelled: array(string()),
    cautions: array(string()),
  }),
  title("plumbvolt check points"),
  description("Voltages at which units of a design are checked, with acceptance limits; SI units."),
);

/** The JSON Schema of the check-point document, draft 2020-12. */
export function checkpointJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(checkpointDocumentSchema);
}
