import { toJsonSchema } from "@valibot/to-json-schema";
import { designDocumentSchema } from "./document-schema.ts";

/** JSON Schema (draft 2020-12) of the design document; units and relations are checked on reading. */
export function designJsonSchema(): Record<string, unknown> {
  const schema = toJsonSchema(designDocumentSchema, {
    target: "draft-2020-12",
    typeMode: "input",
    errorMode: "ignore",
  });
  return { ...schema, title: "plumbvolt design document, version 1" };
}
