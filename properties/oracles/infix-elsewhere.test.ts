// Falsified by: a printed expression or equation that mathjs evaluates to another number than the
// library's own evaluator.
import * as fc from "fast-check";
import { compile } from "mathjs";
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../lib/chain/measurement-model.ts";
import { UnboundedResultError } from "../../lib/errors.ts";
import { IntervalEvaluator } from "../../lib/expression/enclose.ts";
import { PlainEvaluator } from "../../lib/expression/evaluate.ts";
import { toInfix } from "../../lib/expression/infix.ts";
import type { Expression } from "../../lib/expression/node.ts";
import { compileTape } from "../../lib/expression/tape.ts";
import { Domain } from "../../lib/guarantee/domain.ts";
import { evaluatedElsewhere } from "../support/elsewhere.ts";
import { EXAMPLES, exampleDesign } from "../support/example-designs.ts";
import { allExpressions, boxOf, limitedSymbols, SYMBOLS } from "../support/expressions.ts";
import { SeededRandom } from "../support/seeded-random.ts";

/** Value by mathjs; undefined where it is no finite real number. */
function elsewhere(root: Expression, member: Float64Array): number | undefined {
  const { definitions, infix } = toInfix(root);
  const scope = new Map<string, unknown>(SYMBOLS.map((name, slot) => [name, member[slot]]));
  for (const definition of definitions)
    scope.set(definition.name, compile(definition.infix).evaluate(scope));
  const value: unknown = compile(infix).evaluate(scope);
  return typeof value === "number" && Number.isFinite(value) ? value : undefined;
}

/** Width of the enclosure of one point, for rounding that may differ. */
function slackAt(root: Expression, member: Float64Array): number {
  const evaluator = new IntervalEvaluator(compileTape([root], SYMBOLS));
  try {
    evaluator.enclose(member, member);
  } catch (error) {
    if (error instanceof UnboundedResultError) return Infinity;
    throw error;
  }
  const row = evaluator.tape.roots[0]!;
  return evaluator.upper[row]! - evaluator.lower[row]!;
}

describe("a random expression", () => {
  test("is the same number to mathjs, which reads its definitions in order", () => {
    let alike = 0;
    let near = 0;
    fc.assert(
      fc.property(allExpressions, limitedSymbols, (root, symbols) => {
        const { member } = boxOf(symbols);
        const here = new PlainEvaluator(compileTape([root], SYMBOLS)).evaluate(member);
        // Roots and logarithms of negative numbers are complex to mathjs and NaN here.
        const there = Number.isNaN(here) ? undefined : elsewhere(root, member);
        if (there === undefined) return;
        const { definitions, infix } = toInfix(root);
        const text = [infix, ...definitions.map((definition) => definition.infix)].join();
        // A power is one call there and repeated multiplication here; without one, the two agree
        // to the last bit.
        if (!text.includes("^")) {
          expect(here === there).toBe(true);
          alike += 1;
        } else {
          expect(Math.abs(here - there)).toBeLessThanOrEqual(4 * slackAt(root, member));
          near += 1;
        }
      }),
      { numRuns: 1_500, seed: 20_260_131 },
    );
    expect(alike).toBeGreaterThan(550);
    expect(near).toBeGreaterThan(180);
  });
});

describe.each(EXAMPLES)("the equation of the demo design %s", (example) => {
  const model = measurementModel(exampleDesign(example));
  const domain = new Domain(model);
  const random = new SeededRandom(example.length);

  test.each(["shown", "bounded"] as const)("`%s` is the same number to mathjs", (form) => {
    const { definitions, infix } = toInfix(model[form]);
    const printed = evaluatedElsewhere({ definitions, error: infix });
    const plain = new PlainEvaluator(compileTape([model[form]], domain.names));
    const box = domain.whole();
    for (let count = 0; count < 150; count += 1) {
      const point = box.lower.map((low, slot) => low + random.unit() * (box.upper[slot]! - low));
      const values = Object.fromEntries(domain.names.map((name, slot) => [name, point[slot]!]));
      const there = printed(values).error;
      const here = plain.evaluate(point);
      // The display step of the firmware is a millivolt or more: no rounding may go another way.
      expect(Math.abs(here - there)).toBeLessThan(1e-9);
    }
  });

  test("uses in each definition nothing but symbols and earlier definitions", () => {
    for (const form of ["shown", "bounded"] as const) {
      const { definitions, infix } = toInfix(model[form]);
      const known = new Set<string>([...domain.names, ...FUNCTIONS]);
      for (const { name, text } of [
        ...definitions.map((definition) => ({ name: definition.name, text: definition.infix })),
        { name: "", text: infix },
      ]) {
        // An exponent of ten is no name.
        const names = text.replaceAll(/\d[eE][-+]?\d+/g, "").match(/[A-Za-z_]\w*/g) ?? [];
        expect(names.filter((word) => !known.has(word))).toEqual([]);
        expect(known.has(name)).toBe(false);
        known.add(name);
      }
      const floors = [...definitions.map((part) => part.infix), infix].join().includes("floor");
      expect(floors).toBe(form === "shown");
    }
  });
});

/** The functions of the contract; what other tools disagree on is not among them. */
const FUNCTIONS = ["exp", "log", "sqrt", "abs", "min", "max", "floor"];
