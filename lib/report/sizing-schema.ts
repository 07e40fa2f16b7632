import { toJsonSchema } from "@valibot/to-json-schema";
import { array, boolean, exactOptional, literal, picklist, strictObject, string } from "valibot";
import { figure, producer } from "./schema-parts.ts";

const row = {
  cost: figure,
  used: figure,
  capacitance: figure,
  parts: array(
    strictObject({
      kind: picklist([
        "network",
        "upper",
        "lower",
        "reference",
        "converter",
        "buffer",
        "clamp",
        "adjustment",
      ]),
      id: string(),
      cost: figure,
    }),
  ),
  upper: exactOptional(string()),
  lower: exactOptional(string()),
};

const provenRow = strictObject({
  ...row,
  requirements: array(
    strictObject({
      text: string(),
      voltage: figure,
      limit: figure,
      proven: figure,
      verdict: picklist(["holds", "doesNotHold", "notProven"]),
    }),
  ),
  terms: array(strictObject({ symbol: string(), part: string(), volts: figure })),
});

/** Shape of the document that `plumbvolt size --json` prints; unknown fields are refused. */
export const sizingDocumentSchema = strictObject({
  format: literal("plumbvolt.sizing/1"),
  producer,
  template: string(),
  require: array(string()),
  loading: figure,
  combinations: figure,
  complete: boolean(),
  searched: strictObject({
    structures: figure,
    ofStructures: figure,
    looked: figure,
    proven: figure,
  }),
  byError: array(strictObject(row)),
  byCapacitance: array(strictObject(row)),
  cheapest: exactOptional(provenRow),
  nearest: exactOptional(provenRow),
  leastCapacitance: exactOptional(strictObject(row)),
  excluded: array(strictObject({ reason: string(), structures: figure })),
});

/** JSON Schema (draft 2020-12) of the document of a search over a catalogue. */
export function sizingJsonSchema(): Record<string, unknown> {
  const schema = toJsonSchema(sizingDocumentSchema, {
    target: "draft-2020-12",
    errorMode: "ignore",
  });
  return { ...schema, title: "plumbvolt sizing document, version 1" };
}
