// Falsified by: one random pair of expressions whose change, formed by the rules, differs at one
// point modulo 2^61 - 1 from the plain difference or quotient.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { Change } from "../../../lib/expression/change.ts";
import { symbol } from "../../../lib/expression/build.ts";
import { operandsOf } from "../../../lib/expression/node.ts";
import type { Expression } from "../../../lib/expression/node.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { InvalidInputError } from "../../../lib/errors.ts";
import { allExpressions, SYMBOLS } from "../../support/expressions.ts";
import { modularValue, NoQuotient, PRIME } from "../../support/modular.ts";

/** The same expression on a later occasion: the chosen symbols have names of their own. */
function later(node: Expression, moved: ReadonlySet<string>): Expression {
  const [first, second] = operandsOf(node).map((operand) => later(operand, moved));
  switch (node.kind) {
    case "constant":
      return node;
    case "symbol":
      return moved.has(node.name) ? symbol(`${node.name}_later`) : node;
    case "named":
      return { ...node, name: `${node.name}_later`, operand: first! };
    case "unary":
    case "power":
      return { ...node, operand: first! };
    case "binary":
      return { ...node, left: first!, right: second! };
  }
}

const residues = fc.bigInt({ min: 0n, max: PRIME - 1n });

const points = fc
  .tuple(residues, residues, residues, residues, residues, residues)
  .map(
    (values) =>
      new Map(
        [...SYMBOLS, ...SYMBOLS.map((name) => `${name}_later`)].map((name, index) => [
          name,
          values[index]!,
        ]),
      ),
  );

const moves = fc.uniqueArray(fc.constantFrom(...SYMBOLS), { minLength: 1 });

interface Compared {
  differences: number;
  quotients: number;
}

/** Checks both forms at a point; counts what could be compared. */
function compare(
  before: Expression,
  after: Expression,
  point: ReadonlyMap<string, bigint>,
  counts: Compared,
): void {
  const at = (node: Expression): bigint => modularValue(node, point);
  try {
    const [earlier, present] = [at(before), at(after)];
    const change = new Change((node) => at(node) !== 0n);
    expect(at(change.difference(before, after))).toBe((present - earlier + PRIME) % PRIME);
    counts.differences += 1;
    if (earlier === 0n) return;
    const relative = at(change.relative(before, after));
    expect(((relative + 1n) * earlier) % PRIME).toBe(present);
    counts.quotients += 1;
  } catch (error) {
    // A quotient that does not exist modulo the prime, or a constant zero as divisor.
    if (error instanceof NoQuotient || error instanceof InvalidInputError) return;
    throw error;
  }
}

describe("the change of an expression", () => {
  test("is the difference and the quotient, for one expression on two occasions", () => {
    const counts = { differences: 0, quotients: 0 };
    fc.assert(
      fc.property(allExpressions, moves, points, (before, moved, point) => {
        compare(before, later(before, new Set(moved)), point, counts);
      }),
      { numRuns: 3_000, seed: 20_260_121 },
    );
    expect(counts.differences).toBeGreaterThan(2_500);
    expect(counts.quotients).toBeGreaterThan(2_000);
  });

  test("is the difference and the quotient, for two expressions of different shape", () => {
    const counts = { differences: 0, quotients: 0 };
    fc.assert(
      fc.property(allExpressions, allExpressions, points, (before, after, point) => {
        compare(before, after, point, counts);
      }),
      { numRuns: 3_000, seed: 20_260_122 },
    );
    expect(counts.quotients).toBeGreaterThan(2_000);
  });

  test("never divides by what may be zero: with nothing known of zeros it still holds", () => {
    fc.assert(
      fc.property(allExpressions, moves, points, (before, moved, point) => {
        const after = later(before, new Set(moved));
        const at = (node: Expression): bigint => modularValue(node, point);
        let expected: bigint;
        try {
          expected = (at(after) - at(before) + PRIME) % PRIME;
        } catch (error) {
          if (error instanceof NoQuotient) return;
          throw error;
        }
        expect(at(new Change(() => false).difference(before, after))).toBe(expected);
      }),
      { numRuns: 1_500, seed: 20_260_123 },
    );
  });

  test("has no trace of what both occasions share", () => {
    const change = new Change(() => true);
    const before = parseInfix("a * (1 + b) * exp(c) / (r + d) + log(e_1)");
    const after = parseInfix("a * (1 + b) * exp(c) / (r + d) + log(e_1)");
    expect(change.difference(before, after)).toMatchObject({ kind: "constant" });
    expect(modularValue(change.difference(before, after), new Map())).toBe(0n);
    // Only t differs, so that gain and reference do not enter.
    const gainBefore = parseInfix("gain * (1 + t1) / reference");
    const gainAfter = parseInfix("gain * (1 + t2) / reference");
    const relative = change.relative(gainBefore, gainAfter);
    expect(
      modularValue(
        relative,
        new Map([
          ["t1", 5n],
          ["t2", 17n],
        ]),
      ),
    ).toBe(2n);
  });
});
