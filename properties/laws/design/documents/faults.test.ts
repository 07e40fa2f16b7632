// Falsified by: a document with several faults of one stage of which one is not reported with its
// path, its value and what is permitted; a fault that is reported where there is none; or a faulty
// document that is read.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { faultText, InvalidInputError } from "../../../../lib/errors.ts";
import type { Fault } from "../../../../lib/errors.ts";
import { readDesign } from "../../../../lib/design/read-design.ts";
import { Decimal } from "../../../../lib/quantity/decimal.ts";
import { FIGURE_FAULTS, RELATION_FAULTS, SHAPE_FAULTS } from "../../../support/document-faults.ts";
import type { SpoiltField } from "../../../support/document-faults.ts";
import { EXAMPLES, exampleDocument } from "../../../support/example-designs.ts";
import type { Example } from "../../../support/example-designs.ts";

/** The faults that reading a document reports; empty where it is read. */
function faultsOf(document: unknown): readonly Fault[] {
  try {
    readDesign(document);
  } catch (error) {
    if (error instanceof InvalidInputError) return error.faults;
    throw error;
  }
  return [];
}

function spoilt(example: Example, fields: readonly SpoiltField[]): unknown {
  const document = exampleDocument(example);
  for (const { spoil } of fields) spoil(document);
  return document;
}

function expectTold({ path, told }: SpoiltField, faults: readonly Fault[]): void {
  const texts = faults.filter((fault) => fault.path === path).map(faultText);
  expect(texts.join("\n"), `fault at ${path}`).toMatch(told);
}

const STAGES = [
  ["shape", SHAPE_FAULTS],
  ["figures", FIGURE_FAULTS],
  ["relations", RELATION_FAULTS],
] as const;

describe.each(STAGES)("faults of %s", (stage, fields) => {
  test.each(fields)("at $path are refused with what is permitted and what was found", (field) => {
    const faults = faultsOf(spoilt("02-two-point", [field]));
    expectTold(field, faults);
    for (const { quantity, permitted, received } of faults)
      for (const words of [quantity, permitted, received]) expect(words).not.toBe("");
  });

  test("are all reported at once, whichever come together", () => {
    fc.assert(
      fc.property(
        fc.constantFrom<Example>("01-no-adjustment", "02-two-point"),
        fc.subarray([...fields], { minLength: 2 }),
        (example, chosen) => {
          const faults = faultsOf(spoilt(example, chosen));
          // Two that spoil the same place may hide each other.
          const places = chosen.map(({ path }) => path);
          for (const field of chosen) {
            const alone = places.every(
              (path) =>
                path === field.path ||
                !(path.startsWith(field.path) || field.path.startsWith(path)),
            );
            if (alone) expectTold(field, faults);
          }
          // Nothing is blamed that is in order.
          if (stage !== "relations")
            for (const { path } of faults)
              expect(places.some((place) => path.startsWith(place) || place.startsWith(path))).toBe(
                true,
              );
        },
      ),
      { numRuns: 200, seed: 20_260_171 },
    );
  });

  test("each make one sentence of the one grammar", () => {
    const everything = faultsOf(spoilt("02-two-point", fields));
    for (const fault of everything)
      expect(faultText(fault)).toMatch(/^[^\n]+ must be [^\n]+, received [^\n]+( \([^\n]+\))?/);
  });
});

describe("a later stage", () => {
  test("is not reached while an earlier one has faults", () => {
    const [shape, figure, relation] = [SHAPE_FAULTS[3]!, FIGURE_FAULTS[1]!, RELATION_FAULTS[3]!];
    const first = faultsOf(spoilt("02-two-point", [shape, figure, relation]));
    expect(first.map(({ path }) => path)).toEqual([shape.path]);
    const second = faultsOf(spoilt("02-two-point", [figure, relation]));
    expect(second.map(({ path }) => path)).toEqual([figure.path]);
  });
});

/** Every place of a document that holds something, as a list of keys. */
function* placesOf(value: unknown, path: readonly string[] = []): Generator<readonly string[]> {
  if (typeof value !== "object" || value === null) return;
  for (const [key, inner] of Object.entries(value)) {
    yield [...path, key];
    yield* placesOf(inner, [...path, key]);
  }
}

/** Whether a design that was read holds a number that is none. */
function holdsNoNumber(value: unknown): boolean {
  if (typeof value === "number") return !Number.isFinite(value);
  if (typeof value !== "object" || value === null || value instanceof Decimal) return false;
  return Object.values(value).some(holdsNoNumber);
}

const HOSTILE: readonly unknown[] = [
  NaN,
  Infinity,
  -Infinity,
  0,
  -1,
  1e300,
  1e-300,
  2 ** 53,
  0.1 + 0.2,
  1e21,
  "",
  "NaN V",
  "Infinity V",
  "1e999 V",
  "1e-999 V",
  "0 V",
  "-1 %",
  "1 kohm",
  "1e30 ohm",
  null,
  true,
  [],
  {},
  "x".repeat(5_000),
  "__proto__",
];

describe.each(EXAMPLES)("the document of %s with a hostile value at any place", (example) => {
  test("is refused with a place, or read without NaN and infinity", () => {
    const places = [...placesOf(exampleDocument(example))];
    expect(places.length).toBeGreaterThan(120);
    let refused = 0;
    let read = 0;
    for (const [index, place] of places.entries()) {
      // Bits beyond any converter are looked at on their own.
      if (/^(?:bits|fractionBits)$/.test(place.at(-1)!)) continue;
      for (const [which, value] of HOSTILE.entries()) {
        if ((index + which) % 3 !== 0) continue;
        const document: unknown = exampleDocument(example);
        const holder = place
          .slice(0, -1)
          .reduce<unknown>((inner, key) => (inner as Record<string, unknown>)[key], document);
        (holder as Record<string, unknown>)[place.at(-1)!] = structuredClone(value);
        try {
          expect(holdsNoNumber(readDesign(document))).toBe(false);
          read += 1;
        } catch (error) {
          expect(error).toBeInstanceOf(InvalidInputError);
          expect((error as InvalidInputError).faults.length).toBeGreaterThan(0);
          refused += 1;
        }
      }
    }
    expect(refused).toBeGreaterThan(read);
    expect(read).toBeGreaterThan(50);
  });
});

describe("a document that is no document", () => {
  test.each([undefined, null, 7, "text", [], [1], () => 0])("is refused: %s", (document) => {
    expect(faultsOf(document).length).toBeGreaterThan(0);
  });
});
