import {
  array,
  boolean,
  description,
  exactOptional,
  literal,
  picklist,
  pipe,
  regex,
  strictObject,
  strictTuple,
  string,
  title,
} from "valibot";
import { figure, producer, sha256, writtenJsonSchema } from "./schema-parts.ts";
import type { JsonSchemaDocument } from "./schema-parts.ts";
import type { GenericSchema } from "valibot";

const decimal = pipe(
  string(),
  regex(/^-?(?:0|[1-9]\d*)(?:\.\d+)?(?:e-?\d+)?$/, "an exact decimal number as text"),
);
const designKey = picklist(["a", "b"]);

/** One value of each design; a key is absent where the design has none. */
function bothOf<Schema extends GenericSchema>(value: Schema) {
  return strictObject({ a: exactOptional(value), b: exactOptional(value) });
}

const side = strictObject({ proven: figure, witnessed: figure });

const figures = strictObject({
  low: side,
  high: side,
  provenError: figure,
  witnessedError: figure,
  guaranteed: boolean(),
});

const row = strictObject({
  voltage: figure,
  a: figures,
  b: figures,
  change: strictObject({ low: figure, high: figure, error: figure }),
  order: picklist(["smaller", "larger", "same", "open"]),
});

const judged = strictObject({
  text: string(),
  verdict: picklist(["holds", "doesNotHold", "notProven"]),
  voltage: figure,
  side: picklist(["high", "low"]),
  limit: figure,
  proven: figure,
  witnessed: figure,
  margin: figure,
});

const requirement = strictObject({
  id: string(),
  judged: bothOf(judged),
  verdictChanges: boolean(),
  askedDifferently: boolean(),
  onlyIn: exactOptional(designKey),
});

const term = strictObject({
  symbol: string(),
  meaning: string(),
  part: string(),
  kind: picklist(["production", "drift", "environment", "reading", "measurand", "rounding"]),
  volts: bothOf(figure),
  change: figure,
  onlyIn: exactOptional(designKey),
});

const design = strictObject({
  name: string(),
  revision: string(),
  sha256,
  measuringInterval: array(strictTuple([decimal, decimal])),
  voltagesApart: array(figure),
  conditionalOn: array(string()),
  statement: strictObject({ share: decimal, volts: decimal, from: decimal, to: decimal }),
});

/**
 * Shape of the document that `plumbvolt budget <design> <other> --json` prints; unknown fields are
 * refused, and so are NaN and infinity.
 */
export const differenceSchema = pipe(
  strictObject({
    format: literal("plumbvolt.difference/1"),
    producer,
    designs: strictObject({ a: design, b: design }),
    conditions: array(strictObject({ name: string(), stated: bothOf(string()) })),
    rows: array(row),
    requirements: array(requirement),
    terms: exactOptional(
      strictObject({
        voltage: figure,
        requirement: exactOptional(string()),
        terms: array(term),
      }),
    ),
    cautions: array(string()),
  }),
  title("plumbvolt difference"),
  description("What changes in the error of indication from design a to design b, V."),
);

/** The JSON Schema of the difference of two budgets, draft 2020-12. */
export function differenceJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(differenceSchema);
}
