import { toJsonSchema } from "@valibot/to-json-schema";
import { finite, integer, minValue, number, pipe, regex, strictObject, string } from "valibot";

/** A number of a document: no NaN and no infinity. */
export const figure = pipe(number(), finite("a finite number"));

/** A whole number that says how often or how many. */
export const count = pipe(number(), integer("a whole number"), minValue(0, "zero or above"));

/** What made a document. */
export const producer = strictObject({ name: string(), version: string() });

/** SHA-256 of bytes as they were read. */
export const sha256 = pipe(string(), regex(/^[0-9a-f]{64}$/, "64 hexadecimal digits"));

/** The design a document speaks of. */
export const designMark = strictObject({ name: string(), revision: string(), sha256 });

/** A JSON Schema, draft 2020-12, as plain data. */
export type JsonSchemaDocument = Readonly<Record<string, unknown>>;

/** The JSON Schema of a document that this package writes; JSON holds no number that is infinite. */
export function writtenJsonSchema(schema: Parameters<typeof toJsonSchema>[0]): JsonSchemaDocument {
  return { ...toJsonSchema(schema, { target: "draft-2020-12", ignoreActions: ["finite"] }) };
}
