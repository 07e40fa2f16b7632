// Falsified by: one point inside the declared limits whose error, read from the printed equation
// with its real roundings, passes a proven figure.
import { describe, expect, test } from "vitest";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import type { BudgetDocument, BudgetRow } from "../../../lib/report/budget-document.ts";
import { throughText } from "../../support/elsewhere.ts";
import { budgetAt, EXAMPLES, exampleDesign } from "../../support/example-designs.ts";
import { SeededRandom } from "../../support/seeded-random.ts";

/** Points for each demo design; PLUMBVOLT_ATTACK multiplies them for a longer attack. */
const POINTS = 100_000 * Number(process.env["PLUMBVOLT_ATTACK"] ?? "1");

/** Limits of all symbols but the roundings in one row, by slot. */
interface Limits {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/** What an attacker has: the JSON, an evaluator of its equations, and a stream of numbers. */
class Attacker {
  readonly names: readonly string[];
  private readonly document: BudgetDocument;
  private readonly shown: PlainEvaluator;
  private readonly bounded: PlainEvaluator;
  private readonly gradient: Float64Array;
  private readonly random: SeededRandom;

  constructor(document: BudgetDocument, seed: number) {
    const { shown, bounded } = document.equation;
    this.document = document;
    this.names = document.symbols.map(({ name }) => name);
    const evaluator = (equation: typeof shown): PlainEvaluator =>
      new PlainEvaluator(
        compileTape(
          [parseInfix({ infix: equation.error, definitions: equation.definitions })],
          this.names,
        ),
      );
    this.shown = evaluator(shown);
    this.bounded = evaluator(bounded);
    this.gradient = new Float64Array(this.names.length);
    this.random = new SeededRandom(seed);
  }

  limits(row: BudgetRow): Limits {
    const ends = this.document.symbols.map(({ perBand, lower, upper }) =>
      perBand ? [row.band.lower, row.band.upper] : [lower, upper],
    );
    return {
      lower: Float64Array.from(ends, ([lower]) => Number(lower)),
      upper: Float64Array.from(ends, ([, upper]) => Number(upper)),
    };
  }

  error(point: Float64Array): number {
    return this.shown.evaluate(point);
  }

  /** Any point of the box; one quantity in three at an end. */
  anywhere({ lower, upper }: Limits): Float64Array {
    const { random } = this;
    return lower.map((low, slot) => {
      const high = upper[slot]!;
      const kind = random.below(6);
      return kind === 0 ? low : kind === 1 ? high : low + random.unit() * (high - low);
    });
  }

  /** A vertex of the box. */
  vertex({ lower, upper }: Limits): Float64Array {
    return lower.map((low, slot) => (this.random.below(2) === 0 ? low : upper[slot]!));
  }

  /** A vertex to which the slopes of the bounded equation point. */
  steepVertex(limits: Limits, sign: number): Float64Array {
    let point = this.vertex(limits);
    for (let step = 0; step < 4; step += 1) {
      this.bounded.evaluate(point);
      this.bounded.gradient(0, this.gradient);
      point = point.map((_, slot) =>
        sign * this.gradient[slot]! > 0 ? limits.upper[slot]! : limits.lower[slot]!,
      );
    }
    return point;
  }

  /** A point with some quantities thrown anywhere, and the true voltage always. */
  disturbed(point: Float64Array, { lower, upper }: Limits, moved: number): Float64Array {
    const copy = point.slice();
    for (let count = 0; count <= moved; count += 1) {
      const slot = count === 0 ? 0 : this.random.below(copy.length);
      const kind = this.random.below(4);
      const share = kind === 0 ? 0 : kind === 1 ? 1 : this.random.unit();
      copy[slot] = lower[slot]! + share * (upper[slot]! - lower[slot]!);
    }
    return copy;
  }

  below(count: number): number {
    return this.random.below(count);
  }
}

describe.each(EXAMPLES)("the proven figures of %s", (example) => {
  test("are not passed by random, vertex and corner points nor at the ends of bands", () => {
    const document = throughText(budgetAt(exampleDesign(example)));
    const attacker = new Attacker(document, example.length);
    const reached = { high: 0, low: 0 };
    const perRow = Math.ceil(POINTS / document.rows.length);
    for (const row of document.rows) {
      const limits = attacker.limits(row);
      const witnesses = [row.high.witness, row.low.witness].map((witness) =>
        Float64Array.from(attacker.names, (name) => witness[name] ?? 0),
      );
      const steep = Array.from({ length: 16 }, (_, index) =>
        attacker.steepVertex(limits, index % 2 === 0 ? 1 : -1),
      );
      let [most, least] = [-Infinity, Infinity];
      for (let count = 0; count < perRow; count += 1) {
        const moved = attacker.below(4);
        const kind = attacker.below(8);
        const point =
          kind < 2
            ? attacker.anywhere(limits)
            : kind === 2
              ? attacker.vertex(limits)
              : kind < 5
                ? attacker.disturbed(witnesses[count % 2]!, limits, moved)
                : attacker.disturbed(steep[attacker.below(16)]!, limits, moved);
        if (count % 16 < 2) point[0] = count % 16 === 0 ? limits.lower[0]! : limits.upper[0]!;
        const error = attacker.error(point);
        most = Math.max(most, error);
        least = Math.min(least, error);
      }
      expect(most).toBeLessThanOrEqual(row.high.proven);
      expect(least).toBeGreaterThanOrEqual(row.low.proven);
      reached.high = Math.max(reached.high, most / row.high.proven);
      reached.low = Math.max(reached.low, least / row.low.proven);
    }
    // An attack that stays far away shows nothing.
    expect(reached.high).toBeGreaterThan(0.97);
    expect(reached.low).toBeGreaterThan(0.97);
  });
});
