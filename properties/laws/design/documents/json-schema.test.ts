// Falsified by: a JSON Schema that a validator of draft 2020-12 does not compile, that refuses a
// demo design, or that accepts a document which the reader refuses by its shape.
import { Ajv2020 } from "ajv/dist/2020.js";
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { designJsonSchema } from "../../../../lib/design/design-json-schema.ts";
import { SHAPE_FAULTS } from "../../../support/document-faults.ts";
import { EXAMPLES, exampleDocument } from "../../../support/example-designs.ts";

const ajv = new Ajv2020({ allErrors: true, strict: true, strictTuples: false });
const schema = designJsonSchema();
const validate = ajv.compile(schema);

/** A document as a file holds it: what text cannot carry is gone. */
function asFile(document: unknown): unknown {
  return JSON.parse(JSON.stringify(document));
}

/** Every object of a document with its place. */
function* objectsOf(value: unknown, path = "document"): Generator<readonly [string, object]> {
  if (typeof value !== "object" || value === null) return;
  if (!Array.isArray(value)) yield [path, value];
  for (const [key, inner] of Object.entries(value)) yield* objectsOf(inner, `${path}.${key}`);
}

test("the schema says which draft it follows and what it describes", () => {
  expect(schema["$schema"]).toBe("https://json-schema.org/draft/2020-12/schema");
  expect(schema["title"]).toMatch(/design document/);
});

describe.each(EXAMPLES)("the schema and %s", (example) => {
  test("agree: the document is valid", () => {
    expect(validate(asFile(exampleDocument(example))), ajv.errorsText(validate.errors)).toBe(true);
  });

  test("agree that no object of it may hold an unknown key", () => {
    const places = [...objectsOf(exampleDocument(example))].map(([place]) => place);
    expect(places.length).toBeGreaterThan(20);
    for (const place of places) {
      // Networks are named by the writer.
      if (place.endsWith(".networks")) continue;
      const document = exampleDocument(example);
      const [, holder] = [...objectsOf(document)].find(([path]) => path === place)!;
      (holder as Record<string, unknown>)["surprise"] = "1 V";
      expect(validate(asFile(document)), `unknown key in ${place}`).toBe(false);
    }
  });

  test("agree that a required field may not be left out", () => {
    const document = exampleDocument(example) as unknown as Record<string, unknown>;
    const optional = ["$schema", "revision", "notes", "currents", "board", "interference"];
    optional.push("buffer", "filter", "timing", "requirements", "compareWith");
    for (const key of Object.keys(document)) {
      const { [key]: _, ...rest } = document;
      expect(validate(asFile(rest)), key).toBe(optional.includes(key));
    }
  });
});

test("faults of shape are refused by the schema as by the reader", () => {
  fc.assert(
    fc.property(
      fc.constantFrom(...EXAMPLES),
      fc.subarray([...SHAPE_FAULTS], { minLength: 1, maxLength: 3 }),
      (example, chosen) => {
        const document = exampleDocument(example);
        for (const { spoil } of chosen) spoil(document);
        // NaN has no place in JSON: it becomes null, which is refused as well.
        expect(validate(asFile(document))).toBe(false);
      },
    ),
    { numRuns: 120, seed: 20_260_191 },
  );
});
