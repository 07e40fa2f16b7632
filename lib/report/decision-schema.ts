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
  strictObject,
  string,
  title,
  union,
} from "valibot";
import { designMark, figure, producer, writtenJsonSchema } from "./schema-parts.ts";
import type { JsonSchemaDocument } from "./schema-parts.ts";

const range = strictObject({ lower: figure, upper: union([figure, null_()]) });

const rule = union([
  strictObject({ kind: literal("simpleAcceptance") }),
  strictObject({ kind: literal("expandedUncertainty"), multiple: figure }),
  strictObject({ kind: literal("specificRisk"), risk: figure }),
]);

const ruleRow = strictObject({
  rule,
  words: string(),
  guardBand: strictObject({ width: figure, multiple: figure, largestSpecificRisk: figure }),
  acceptUpTo: figure,
  risk: exactOptional(
    strictObject({ consumer: figure, producer: figure, nonconforming: figure, accepted: figure }),
  ),
  verdict: exactOptional(picklist(["pass", "conditionalPass", "conditionalFail", "fail"])),
});

const indicationLimits = strictObject({
  polarity: union([literal(1), literal(-1)]),
  voltage: figure,
  acceptBelow: figure,
  acceptWitness: figure,
  surelyAcceptedUpTo: figure,
});

const way = strictObject({
  limit: string(),
  because: string(),
  voltage: range,
  asLoaded: range,
  proven: array(indicationLimits),
  rejectAbove: figure,
  provenVerdict: exactOptional(picklist(["pass", "undecided", "fail"])),
  uncertainty: strictObject({
    voltage: figure,
    expectedError: figure,
    ofIndication: figure,
    combined: figure,
    coverageFactor: figure,
    expanded: figure,
    degreesOfFreedom: union([figure, null_()]),
  }),
  rules: array(ruleRow),
  statements: array(
    strictObject({
      name: string(),
      error: figure,
      share: figure,
      exceedsFivePercentBelow: union([figure, picklist(["never", "always"])]),
    }),
  ),
});

const resistancePoint = strictObject({
  factor: figure,
  inputResistance: figure,
  loading: figure,
  error: figure,
  total: figure,
});

const ends = strictObject({ lower: figure, upper: figure });

const mode = strictObject({ resistance: ends, capacitance: ends, timeConstant: ends, left: ends });

const pairError = strictObject({
  pair: picklist(["L-N", "L-PE", "N-PE"]),
  voltage: ends,
  low: figure,
  high: figure,
  timing: figure,
  capacitiveMismatch: figure,
});

const verdict = picklist(["holds", "doesNotHold", "notProven"]);

/** Shape of the document that `plumbvolt decide --json` prints; unknown fields are refused. */
export const decisionDocumentSchema = pipe(
  strictObject({
    format: literal("plumbvolt.decision/1"),
    producer,
    design: designMark,
    conditions: record(string(), string()),
    line: strictObject({
      id: string(),
      text: string(),
      standard: string(),
      clause: string(),
      place: string(),
      pins: array(string()),
      duration: figure,
      applies: picklist(["applies", "exempt", "undetermined"]),
      condition: string(),
      disconnection: string(),
      status: picklist(["confirmed", "fromMemory", "stated"]),
      advice: string(),
      notes: array(string()),
    }),
    measurand: strictObject({
      definition: picklist(["asLoaded", "unloaded", "referredToLoad"]),
      reason: picklist(["stated by the line", "asked for", "not stated, the stricter taken"]),
    }),
    product: strictObject({ capacitance: range, reason: string() }),
    pins: strictObject({
      resistance: range,
      capacitance: range,
      parts: array(
        strictObject({
          name: string(),
          resistance: exactOptional(range),
          capacitance: exactOptional(range),
        }),
      ),
      demands: array(strictObject({ words: string(), source: string(), verdict })),
    }),
    loading: strictObject({
      factor: range,
      applied: figure,
      relativeUncertainty: figure,
      smallest: array(strictObject({ share: figure, capacitance: figure })),
    }),
    indication: exactOptional(figure),
    prior: exactOptional(
      strictObject({ estimate: figure, standardUncertainty: figure, source: string() }),
    ),
    ways: array(union([way, strictObject({ limit: string(), reason: string() })])),
    greatest: array(
      strictObject({
        id: picklist(["openingPhase", "repetitions", "noise", "upperSupply", "upperCapacitance"]),
        label: string(),
        value: figure,
        unit: picklist(["1", "V"]),
        standardUncertainty: exactOptional(figure),
      }),
    ),
    resistance: exactOptional(
      strictObject({
        voltage: figure,
        duration: figure,
        points: array(resistancePoint),
        optimum: resistancePoint,
        impossible: array(strictObject({ factor: figure, reason: string() })),
      }),
    ),
    threeConductors: exactOptional(
      strictObject({
        differential: mode,
        common: mode,
        commonVoltage: ends,
        pairs: array(pairError),
      }),
    ),
    guaranteed: boolean(),
    conditionalOn: array(string()),
    assumptions: array(string()),
    notModelled: array(string()),
    cautions: array(string()),
  }),
  title("plumbvolt decision"),
  description("Acceptance limits of a design at one limit line, with loading and risks; SI units."),
);

/** The JSON Schema of the decision document, draft 2020-12. */
export function decisionJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(decisionDocumentSchema);
}
