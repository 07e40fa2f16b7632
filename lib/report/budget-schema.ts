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
  strictTuple,
  string,
  title,
  union,
  unknown,
} from "valibot";
import { designMark, figure, producer, writtenJsonSchema } from "./schema-parts.ts";
import type { JsonSchemaDocument } from "./schema-parts.ts";

/** Exact plain decimal, with an exponent only where plain text would be very long. */
const decimal = pipe(
  string(),
  regex(/^-?(?:0|[1-9]\d*)(?:\.\d+)?(?:e-?\d+)?$/, "an exact decimal number as text"),
);
const kind = picklist(["production", "drift", "environment", "reading", "measurand", "rounding"]);
const side = picklist(["high", "low"]);

const sideFigures = strictObject({
  proven: figure,
  witnessed: figure,
  gap: figure,
  witness: record(string(), figure),
  undecided: array(string()),
});

const symbol = strictObject({
  name: string(),
  meaning: string(),
  nominal: decimal,
  lower: decimal,
  upper: decimal,
  unit: string(),
  kind,
  part: string(),
  occasion: picklist(["all", "use", "adjustLow", "adjustHigh"]),
  perBand: boolean(),
  distribution: union([
    strictObject({ shape: picklist(["rectangular", "triangular", "arcsine", "twoPoint"]) }),
    strictObject({ shape: literal("normal"), coverageFactor: figure }),
  ]),
  degreesOfFreedom: union([figure, null_()]),
  basis: string(),
  document: string(),
});

const equationText = strictObject({
  definitions: array(strictObject({ name: string(), infix: string() })),
  error: string(),
});

const equation = strictObject({
  unit: literal("V"),
  shown: equationText,
  bounded: equationText,
  quantisers: array(
    strictObject({
      shown: string(),
      argument: string(),
      symbol: string(),
      mode: picklist(["nearest", "down"]),
    }),
  ),
});

const term = strictObject({
  symbol: string(),
  part: string(),
  kind,
  sensitivity: figure,
  volts: figure,
});

const share = strictObject({
  symbol: string(),
  part: string(),
  kind,
  share: figure,
  total: exactOptional(figure),
});

/** All of them or none: they are made only where they are asked for. */
const rowUncertainty = {
  estimate: exactOptional(figure),
  combinedStandardUncertainty: exactOptional(figure),
  coverageProbability: exactOptional(figure),
  effectiveDegreesOfFreedom: exactOptional(
    pipe(
      union([figure, literal("infinite")]),
      description('"infinite" where every standard uncertainty is known exactly'),
    ),
  ),
  coverageFactor: exactOptional(figure),
  expandedUncertainty: exactOptional(figure),
  coverageInterval: exactOptional(strictObject({ lower: figure, upper: figure })),
  trials: exactOptional(figure),
  endStability: exactOptional(figure),
  validated: exactOptional(boolean()),
  shares: exactOptional(array(share)),
};

const row = strictObject({
  ...rowUncertainty,
  voltage: figure,
  band: strictObject({ lower: decimal, upper: decimal }),
  high: sideFigures,
  low: sideFigures,
  provenError: figure,
  witnessedError: figure,
  gap: figure,
  guaranteed: boolean(),
  stopped: picklist(["gap", "work", "rounding"]),
  linearSum: figure,
  rootSumSquare: figure,
  terms: array(term),
  limits: array(string()),
});

const permitted = strictObject({
  over: picklist(["points", "range"]),
  errors: array(strictObject({ voltage: figure, lower: figure, upper: figure })),
});

const requirement = strictObject({
  id: string(),
  text: string(),
  source: string(),
  voltage: figure,
  side,
  limit: figure,
  proven: figure,
  witnessed: figure,
  margin: figure,
  verdict: picklist(["holds", "doesNotHold", "notProven"]),
  permitted: exactOptional(permitted),
});

const comparison = strictObject({
  name: string(),
  text: string(),
  errors: array(figure),
  exceedsFivePercentBelow: union([figure, picklist(["never", "always"])]),
});

const statementFigures = { share: decimal, volts: decimal };

const statement = strictObject({
  ...statementFigures,
  from: decimal,
  to: decimal,
  exact: strictObject({ share: figure, volts: figure }),
  ends: array(strictObject(statementFigures)),
  objective: string(),
  used: array(strictObject({ lower: decimal, upper: decimal, low: figure, high: figure })),
});

const effectSide = strictObject({ proven: figure, witnessed: figure, gap: figure });

const effectRow = strictObject({
  voltage: figure,
  band: strictObject({ lower: decimal, upper: decimal }),
  high: effectSide,
  low: effectSide,
  provenError: figure,
  witnessedError: figure,
  ofDesigned: exactOptional(strictObject({ least: figure, most: figure })),
  stopped: picklist(["gap", "work", "rounding"]),
});

const effectDescription = {
  id: picklist([
    "asDesigned",
    "withoutAdjustment",
    "ambientAtReference",
    "driftAfter0Years",
    "driftAfter1Year",
    "driftAfter2Years",
  ]),
  name: string(),
  changes: array(strictObject({ path: string(), value: string() })),
};

const effect = union([
  strictObject({
    ...effectDescription,
    outcome: literal("bracketed"),
    guaranteed: boolean(),
    rows: array(effectRow),
  }),
  strictObject({ ...effectDescription, outcome: literal("notPossible"), reason: string() }),
]);

/** Steps nest without end; the checker reads them, the schema only says that they are there. */
const certificateStep = record(string(), unknown());

const certificateCode = strictObject({ code: figure, voltage: figure, step: certificateStep });

const certificateSide = strictObject({
  proven: figure,
  by: union([
    strictObject({ kind: literal("error"), step: certificateStep }),
    strictObject({
      kind: literal("codes"),
      first: certificateCode,
      thresholds: array(certificateCode),
      last: certificateCode,
    }),
  ]),
});

const certificateRows = array(array(union([string(), figure])));

const certificate = strictObject({
  format: literal("plumbvolt.certificate/1"),
  design: string(),
  symbols: array(strictObject({ name: string(), lower: decimal, upper: decimal })),
  functions: strictObject({
    bounded: certificateRows,
    provable: certificateRows,
    code: certificateRows,
    indication: exactOptional(certificateRows),
  }),
  bands: array(
    strictObject({
      lower: figure,
      upper: figure,
      high: certificateSide,
      low: certificateSide,
    }),
  ),
});

/**
 * Shape of the document that `plumbvolt budget --json` prints; unknown fields are refused, and so
 * are NaN and infinity. Relations between fields, as that the witnessed error is within the proven
 * one, are not part of it.
 */
export const budgetDocumentSchema = pipe(
  strictObject({
    format: literal("plumbvolt.budget/1"),
    producer,
    design: designMark,
    conditions: record(string(), string()),
    measuringInterval: array(strictTuple([decimal, decimal])),
    symbols: array(symbol),
    equation,
    rows: array(row),
    uncertaintyFor: exactOptional(string()),
    requirements: array(requirement),
    comparisons: array(comparison),
    statement,
    effects: exactOptional(array(effect)),
    certificate,
    conditionalOn: array(string()),
    assumptions: array(string()),
    notModelled: array(string()),
    cautions: array(string()),
  }),
  title("plumbvolt budget"),
  description(
    "Error of indication of a design at each voltage, V, proven from above and witnessed from below.",
  ),
);

/**
 * The JSON Schema of the budget document, draft 2020-12. JSON has no NaN and no infinity, so that
 * the check for finite figures has no counterpart in it.
 */
export function budgetJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(budgetDocumentSchema);
}
