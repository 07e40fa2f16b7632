// Falsified by a budget that one of type, schema and JSON Schema accepts and another refuses, or by
// an additional field or a figure that is not finite that gets through.
import { Ajv2020 } from "ajv/dist/2020.js";
import * as fc from "fast-check";
import { parse, safeParse } from "valibot";
import type { InferOutput } from "valibot";
import { describe, expect, expectTypeOf, test } from "vitest";
import type { BudgetDocument } from "../../../lib/report/budget-document.ts";
import { budgetDocumentSchema, budgetJsonSchema } from "../../../lib/report/budget-schema.ts";
import { budgetDifference } from "../../../lib/report/budget-difference.ts";
import { differenceSchema } from "../../../lib/report/difference-schema.ts";
import { BUDGET } from "../../support/budget-fixture.ts";
import { budgets } from "./budget-arbitrary.ts";

/** The schema library's types say nothing about writing. */
type Readonlyly<Type> = Type extends readonly unknown[] | object
  ? { readonly [Key in keyof Type]: Readonlyly<Type[Key]> }
  : Type;

// The oracle: an established JSON Schema validator, told that it is draft 2020-12.
const accepts = new Ajv2020({ strict: true, allowUnionTypes: true }).compile(budgetJsonSchema());
const isBudget = (document: unknown) => safeParse(budgetDocumentSchema, document).success;
const throughJson = (document: unknown): unknown => JSON.parse(JSON.stringify(document));

type Path = readonly (string | number)[];

/** Every object and array inside, by path; records with free names are left out. */
function placesOf(value: unknown, path: Path = []): readonly Path[] {
  if (typeof value !== "object" || value === null) return [];
  const inside = Object.entries(value).flatMap(([key, one]) => placesOf(one, [...path, key]));
  return [path, ...inside];
}

function changedAt(document: unknown, path: Path, change: (value: unknown) => unknown): unknown {
  const [key, ...rest] = path;
  if (key === undefined) return change(document);
  const copy: Record<string, unknown> = Array.isArray(document)
    ? (Object.assign([], document) as unknown as Record<string, unknown>)
    : { ...(document as Record<string, unknown>) };
  copy[key] = changedAt(copy[key], rest, change);
  return copy;
}

function valueAt(document: unknown, path: Path): unknown {
  return path.reduce<unknown>((value, key) => (value as Record<string, unknown>)[key], document);
}

const document = throughJson(BUDGET);
const records = placesOf(document).filter((path) => {
  const isFree = path.some((key) => key === "conditions" || key === "witness" || key === "step");
  return !isFree && !Array.isArray(valueAt(document, path));
});

describe("the schema of the budget document", () => {
  test("has the very type of the document", () => {
    type Read = Readonlyly<InferOutput<typeof budgetDocumentSchema>>;
    type Written = Readonlyly<BudgetDocument>;
    expectTypeOf<Omit<Read, "certificate">>().toEqualTypeOf<Omit<Written, "certificate">>();
    // The steps of a proof nest without end: the schema says less about them than the type.
    expectTypeOf<Written>().toExtend<Read>();
  });

  test("accepts budgets, and so does its JSON Schema", () => {
    expect(budgetJsonSchema()["$schema"]).toBe("https://json-schema.org/draft/2020-12/schema");
    expect(isBudget(BUDGET)).toBe(true);
    fc.assert(
      fc.property(budgets, (made) => {
        expect(isBudget(made)).toBe(true);
        expect(accepts(throughJson(made)), JSON.stringify(accepts.errors)).toBe(true);
      }),
      { numRuns: 30 },
    );
  });

  test("refuses an additional field at every place, and so does its JSON Schema", () => {
    expect(records.length).toBeGreaterThan(100);
    for (const path of records) {
      const changed = changedAt(document, path, (value) => ({ ...(value as object), extra: 1 }));
      expect(isBudget(changed), path.join(".")).toBe(false);
      expect(accepts(changed), path.join(".")).toBe(false);
    }
  });

  test("refuses a missing field at every place, except what is optional", () => {
    for (const path of records) {
      for (const key of Object.keys(valueAt(document, path) as object)) {
        const changed = changedAt(document, path, (value) => {
          const { [key]: _, ...rest } = value as Record<string, unknown>;
          return rest;
        });
        expect(isBudget(changed), [...path, key].join(".")).toBe(key === "permitted");
        expect(accepts(changed), [...path, key].join(".")).toBe(key === "permitted");
      }
    }
  });

  test("refuses figures that are not finite and text that is no exact decimal", () => {
    const margin = ["requirements", 0, "margin"];
    for (const wrong of [Number.NaN, Number.POSITIVE_INFINITY, "1.2", null]) {
      expect(isBudget(changedAt(document, margin, () => wrong))).toBe(false);
    }
    const lower = ["rows", 0, "band", "lower"];
    for (const wrong of ["", "1.", ".5", "+1", "1 V", "0x1", "NaN", "01", 33.5]) {
      const changed = changedAt(document, lower, () => wrong);
      expect(isBudget(changed), String(wrong)).toBe(false);
      expect(accepts(changed), String(wrong)).toBe(false);
    }
    for (const right of ["-0.00005", "0", "33.98", "1e401", "1.5e-401"]) {
      expect(isBudget(changedAt(document, lower, () => right)), right).toBe(true);
    }
  });
});

test("the difference of two budgets fits its schema, and a figure more or less does not", () => {
  const other = { ...BUDGET, conditions: { ...BUDGET.conditions, extra: "1" } };
  const difference: object = JSON.parse(JSON.stringify(budgetDifference(BUDGET, other)));
  expect(parse(differenceSchema, difference)).toEqual(difference);
  expect(safeParse(differenceSchema, { ...difference, extra: 1 }).success).toBe(false);
  expect(safeParse(differenceSchema, { ...difference, rows: [{ voltage: 34 }] }).success).toBe(
    false,
  );
});
