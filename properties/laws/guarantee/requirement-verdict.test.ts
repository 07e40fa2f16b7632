// Falsified by: a requirement that is said to hold though a proven error passes what is allowed,
// one that is said not to hold without a witness, or one that is decided between the two.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { AccuracyStatement } from "../../../lib/design/accuracy-statement.ts";
import type { Requirement } from "../../../lib/design/requirement.ts";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import type { Bracket, SideBracket } from "../../../lib/guarantee/bracket.ts";
import { ErrorBrackets } from "../../../lib/guarantee/error-brackets.ts";
import { judge, judgeRequirement } from "../../../lib/guarantee/requirement-verdict.ts";
import type { VoltageBand } from "../../../lib/guarantee/bands.ts";
import type { BandErrors, BracketedBand } from "../../../lib/guarantee/requirement-verdict.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import type { RequirementRow } from "../../../lib/report/budget-document.ts";
import { budgetAt, EXAMPLES, exampleDesign } from "../../support/example-designs.ts";
import type { Example } from "../../support/example-designs.ts";
import { stepped } from "../../support/doubles.ts";

/** +/- a fixed voltage, whatever the indication. */
function within(volts: Decimal): AccuracyStatement {
  return { kind: "indication", name: "fixed", share: Decimal.zero, volts };
}

function asked(statement: AccuracyStatement, place: Partial<Requirement> = {}): Requirement {
  return { id: "R", text: "R", statement, ...place };
}

function side(proven: number, witnessed: number, voltage: number): SideBracket {
  return {
    proven,
    witnessed,
    witness: Float64Array.of(voltage),
    boxes: 1,
    undecided: [],
    stopped: "gap",
    claim: { kind: "error", proof: { passes: [], bound: Math.abs(proven) } },
  };
}

interface Sketch {
  readonly lower: number;
  readonly high: readonly [number, number];
  readonly low: readonly [number, number];
}

/** Bands of 1 V in a row, with invented brackets. */
function bandsFrom(sketches: readonly Sketch[]): BracketedBand[] {
  return sketches.map(({ lower, high, low }): BracketedBand => {
    const bracket: Bracket = {
      band: { lower, upper: lower + 1 },
      high: side(high[0], high[1], lower + 0.5),
      low: side(low[0], low[1], lower + 0.5),
    };
    const band = { lower: Decimal.ofInteger(lower), upper: Decimal.ofInteger(lower + 1) };
    return { band, bracket };
  });
}

/** Proven and witnessed, in thousandths of a volt: the witness is inside. */
const figures = fc
  .tuple(fc.integer({ min: 0, max: 3_000 }), fc.integer({ min: 0, max: 400 }))
  .map(([witnessed, gap]) => [(witnessed + gap) / 1_000, witnessed / 1_000] as const);

const sketches = fc.array(fc.tuple(figures, figures), { minLength: 1, maxLength: 5 }).map((list) =>
  list.map(([high, low], index): Sketch => ({
    lower: 100 + index,
    high,
    low: [-low[0], -low[1]],
  })),
);

describe("a fixed limit over invented brackets", () => {
  test("holds where every proven error is inside, fails on a witness, and is open between", () => {
    const seen = { holds: 0, doesNotHold: 0, notProven: 0 };
    fc.assert(
      fc.property(sketches, fc.integer({ min: 1, max: 3_400 }), (list, thousandths) => {
        const limit = thousandths / 1_000;
        const statement = within(Decimal.fromNumber(limit).value);
        const verdict = judge(asked(statement), bandsFrom(list))!;
        const proven = list.flatMap(({ high, low }) => [high[0], -low[0]]);
        const witnessed = list.flatMap(({ high, low }) => [high[1], -low[1]]);
        const expected = proven.every((error) => error <= limit)
          ? "holds"
          : witnessed.some((error) => error > limit)
            ? "doesNotHold"
            : "notProven";
        expect(verdict.verdict).toBe(expected);
        seen[expected] += 1;
        expect(verdict.limit).toBeLessThanOrEqual(limit);
        expect(verdict.limit).toBeCloseTo(limit, 12);
        expect(verdict.margin).toBe(verdict.limit - verdict.proven);
        expect(verdict.proven).toBeGreaterThanOrEqual(verdict.witnessed);
        if (expected === "holds") expect(verdict.margin).toBeGreaterThanOrEqual(0);
        if (expected === "holds") expect(verdict.proven).toBe(Math.max(...proven));
      }),
      { numRuns: 1_500, seed: 20_260_151 },
    );
    expect(Math.min(...Object.values(seen))).toBeGreaterThan(40);
  });

  test("is judged the same over all brackets and by bracketing only what may decide", () => {
    const bracketed = { all: 0, asked: 0 };
    const shares = fc.array(fc.integer({ min: 50, max: 130 }), { minLength: 5, maxLength: 5 });
    fc.assert(
      fc.property(sketches, fc.integer({ min: 1, max: 3_400 }), shares, (list, limit, percents) => {
        const requirement = asked(within(Decimal.fromNumber(limit / 1_000).value));
        const bands = bandsFrom(list);
        const of = (band: VoltageBand) => bands.findIndex((one) => one.band === band);
        const errors: BandErrors = {
          bracket: (band) => {
            bracketed.asked += 1;
            return bands[of(band)]!.bracket;
          },
          bound: (band) => bands[of(band)]!.bracket,
          // What is seen may be far off on either side: it guides the order, no more.
          reach: (side, band) => {
            const { witnessed } = bands[of(band)]!.bracket[side];
            return (Math.abs(witnessed) * percents[of(band)]!) / 100;
          },
        };
        bracketed.all += bands.length;
        const quick = judgeRequirement(
          requirement,
          bands.map(({ band }) => band),
          errors,
        )!;
        const slow = judge(requirement, bands)!;
        expect(quick.verdict).toBe(slow.verdict);
        expect(quick.margin).toBe(slow.margin);
      }),
      { numRuns: 1_500, seed: 20_260_156 },
    );
    expect(bracketed.asked).toBeLessThan(0.7 * bracketed.all);
  });

  test("at a voltage looks at every band that touches it, and at no other", () => {
    const list: Sketch[] = [
      { lower: 100, high: [1, 0.9], low: [-0.1, -0.05] },
      { lower: 101, high: [2, 1.9], low: [-0.1, -0.05] },
      { lower: 102, high: [9, 8.9], low: [-0.1, -0.05] },
    ];
    const at = (voltage: string, limit: string) =>
      judge(asked(within(Decimal.parse(limit)), { at: [Decimal.parse(voltage)] }), bandsFrom(list))
        ?.verdict;
    expect(at("100.5", "1")).toBe("holds");
    expect(at("101", "1")).toBe("doesNotHold");
    expect(at("101", "1.95")).toBe("notProven");
    expect(at("101", "2")).toBe("holds");
    expect(at("101.999", "2")).toBe("holds");
    expect(at("102", "2")).toBe("doesNotHold");
  });

  test("over a part of the range looks at the bands that meet it", () => {
    const list: Sketch[] = [
      { lower: 100, high: [1, 0.9], low: [-0.1, -0.05] },
      { lower: 101, high: [2, 1.9], low: [-0.1, -0.05] },
      { lower: 102, high: [9, 8.9], low: [-0.1, -0.05] },
    ];
    const over = (from: string, to: string, limit: string) =>
      judge(
        asked(within(Decimal.parse(limit)), { from: Decimal.parse(from), to: Decimal.parse(to) }),
        bandsFrom(list),
      )?.verdict;
    expect(over("100", "100.9", "1")).toBe("holds");
    // The next band is met in 101 V alone, and its witness stands beside that.
    expect(over("100", "101", "1")).toBe("notProven");
    expect(over("100.2", "101.5", "1.95")).toBe("notProven");
    expect(over("100", "101.9", "2")).toBe("holds");
    expect(over("100", "103", "2")).toBe("doesNotHold");
  });
});

describe("percent of indication over a range", () => {
  test("holds only where the proven error is allowed at every voltage of its band", () => {
    const seen = { holds: 0, other: 0 };
    fc.assert(
      fc.property(sketches, fc.integer({ min: 1, max: 40 }), (list, perMille) => {
        const statement: AccuracyStatement = {
          kind: "indication",
          name: "share",
          share: Decimal.ofScaled(BigInt(perMille), -3),
          volts: Decimal.parse("0.2"),
        };
        const { verdict } = judge(asked(statement), bandsFrom(list))!;
        const share = perMille / 1_000;
        // |I - V| <= a |I| + b at both ends of every band, for both proven errors.
        const allowed = list.every(({ lower, high, low }) =>
          [lower, lower + 1].every((voltage) =>
            [high[0], low[0]].every(
              (error) => Math.abs(error) <= share * Math.abs(voltage + error) + 0.2 + 1e-12,
            ),
          ),
        );
        if (verdict === "holds") expect(allowed).toBe(true);
        seen[verdict === "holds" ? "holds" : "other"] += 1;
      }),
      { numRuns: 1_500, seed: 20_260_152 },
    );
    expect(Math.min(...Object.values(seen))).toBeGreaterThan(100);
  });
});

/** The verdict of a budget on a fixed limit at 34 V. */
function judgedAt34(example: Example, limit: number): RequirementRow {
  const design = exampleDesign(example, (document) => {
    document.requirements = [
      { id: "R", at: "34 V", statement: { kind: "indication", share: 0, volts: limit } },
    ];
  });
  return budgetAt(design, ["34"]).requirements[0]!;
}

describe.each(EXAMPLES)("a limit beside the bracket of %s", (example) => {
  test("holds just above the proven figure, is open below it, and fails below the witness", () => {
    const design = exampleDesign(example);
    const band = { lower: Decimal.parse("33"), upper: Decimal.parse("35") };
    const bracket = new ErrorBrackets(measurementModel(design)).bracket({ lower: 33, upper: 35 });
    const proven = Math.max(bracket.high.proven, -bracket.low.proven);
    const witnessed = Math.max(bracket.high.witnessed, -bracket.low.witnessed);
    const verdictOf = (limit: number) =>
      judge(asked(within(Decimal.ofDouble(limit))), [{ band, bracket }])!.verdict;
    // What is allowed is rounded inward by up to a step.
    expect(verdictOf(stepped(proven, 2))).toBe("holds");
    expect(verdictOf(stepped(proven, -1))).toBe("notProven");
    expect(verdictOf((proven + witnessed) / 2)).toBe("notProven");
    expect(verdictOf(stepped(witnessed, 2))).toBe("notProven");
    expect(verdictOf(stepped(witnessed, -1))).toBe("doesNotHold");
    expect(verdictOf(witnessed / 2)).toBe("doesNotHold");
  });

  test("is judged alike in the budget, with the margin that is left", () => {
    const { proven, witnessed } = judgedAt34(example, 1);
    const verdictOf = (limit: number) => judgedAt34(example, limit).verdict;
    expect(verdictOf(Number(proven.toFixed(6)) + 2e-6)).toBe("holds");
    expect(verdictOf(Number(((proven + witnessed) / 2).toFixed(9)))).toBe("notProven");
    expect(verdictOf(Number(witnessed.toFixed(6)) - 2e-6)).toBe("doesNotHold");
    const { margin, limit } = judgedAt34(example, 50);
    expect(margin).toBeCloseTo(50 - proven, 9);
    expect(limit).toBeCloseTo(50, 9);
  });
});
