import * as fc from "fast-check";
import type {
  BudgetDocument,
  BudgetRow,
  RequirementRow,
  SideFigures,
  TermRow,
} from "../../../lib/report/budget-document.ts";
import { BUDGET } from "../../support/budget-fixture.ts";

/** Texts that break out of tables, mark-up and terminals where nobody is careful. */
export const HOSTILE_TEXTS = [
  "<script>alert('1')</script>",
  '</text></svg><b onload="x">&amp;',
  "]]><!-- & -->",
  "\u001B[31mred\u001B[2J",
  "line\nend\r\tand\u2028more",
  "right\u202Eto\u2066left\uFEFF",
  "\u0000\u0008\uD800\uFFFE\uE000",
  "漢字の名前と長い説明のある設計文書",
  "averylongwordwithoutanyspacesthatfitsintonocolumnofanytableatall".repeat(3),
] as const;

const texts = fc.oneof(
  fc.constantFrom(...HOSTILE_TEXTS),
  fc.string({ unit: "binary", maxLength: 60 }),
  fc.lorem({ maxCount: 12 }),
);
const nonEmptyTexts = texts.map((text) => `n${text}`);

/** Volts up to 50 with all bits of the double in use: the errors such testers have, and worse. */
const sizes = fc.integer({ min: 1, max: 35_000_000 }).map((count) => count / 700_001);
const shares = fc.integer({ min: 0, max: 1000 }).map((count) => count / 1000);

/** A proven bound at `bound` and a witness inside it, between it and `other`. */
function side(bound: number, other: number, share: number): SideFigures {
  const witnessed = bound + (other - bound) * share * 0.4;
  const gap = bound === 0 ? 0 : Math.abs((bound - witnessed) / bound);
  return { proven: bound, witnessed, gap, witness: {}, undecided: [] };
}

const spans = fc
  .record({ width: sizes, centre: sizes, sign: fc.constantFrom(-1, 0, 1), share: shares })
  .map(({ width, centre, sign, share }) => {
    const [lower, upper] = [sign * centre - width, sign * centre + width];
    return { low: side(lower, upper, share), high: side(upper, lower, share) };
  });

const terms: fc.Arbitrary<TermRow> = fc.record({
  symbol: nonEmptyTexts,
  part: nonEmptyTexts,
  kind: fc.constantFrom("production", "drift", "environment", "reading", "rounding"),
  sensitivity: sizes,
  volts: fc.oneof(sizes, fc.constant(0)),
});

const limits = fc.subarray([
  "iec-60335-1-22.5/plug",
  "iec-60601-1-8.4.3/plug",
  "37 % of the crest of 230 V",
  HOSTILE_TEXTS[0],
]);

const rowFigures = fc.record({
  span: spans,
  limits,
  guaranteed: fc.boolean(),
  sum: sizes,
  stopped: fc.constantFrom("gap" as const, "work" as const, "rounding" as const),
  terms: fc.array(terms, { maxLength: 14 }),
});

/** Voltages of a mains tester in steps of 10 mV, each once. */
const voltages = fc.uniqueArray(fc.integer({ min: -45_000, max: 45_000 }), { maxLength: 24 });

const rows: fc.Arbitrary<readonly BudgetRow[]> = voltages.chain((steps) =>
  fc.tuple(...steps.map(() => rowFigures)).map((figures) =>
    figures.map(({ span, sum, ...rest }, place): BudgetRow => {
      const voltage = (steps[place] ?? 0) / 100;
      const { low, high } = span;
      const binding = Math.abs(high.proven) >= Math.abs(low.proven) ? high : low;
      return {
        voltage,
        low,
        high,
        ...rest,
        band: { lower: String(voltage), upper: String(voltage) },
        provenError: Math.abs(binding.proven),
        witnessedError: Math.abs(binding.witnessed),
        gap: binding.gap,
        linearSum: sum,
        rootSumSquare: sum / 2,
      };
    }),
  ),
);

const requirements: fc.Arbitrary<RequirementRow> = fc
  .record({
    id: texts,
    text: texts,
    source: texts,
    limit: sizes,
    proven: sizes,
    witnessed: sizes,
    step: fc.integer({ min: -45_000, max: 45_000 }),
    side: fc.constantFrom("high" as const, "low" as const),
    verdict: fc.constantFrom("holds" as const, "doesNotHold" as const, "notProven" as const),
    over: fc.constantFrom("points" as const, "range" as const, "unknown" as const),
  })
  .map(({ step, over, ...rest }) => {
    const { limit, proven } = rest;
    const voltage = step / 100;
    const error = { voltage, lower: -limit, upper: limit };
    const places = [error, { ...error, voltage: voltage + 3 }];
    const permitted = over === "unknown" ? {} : { permitted: { over, errors: places } };
    return { ...rest, voltage, margin: limit - proven, ...permitted };
  });

const reaches = fc.oneof(sizes, fc.constantFrom("never" as const, "always" as const));

/** Budgets of every shape that the types allow, with texts from users who mean no good. */
export const budgets: fc.Arbitrary<BudgetDocument> = rows.chain((made) =>
  fc.record({
    format: fc.constant("plumbvolt.budget/1" as const),
    producer: fc.constant(BUDGET.producer),
    design: fc.record({ name: texts, revision: texts, sha256: fc.constant("0".repeat(64)) }),
    conditions: fc.dictionary(nonEmptyTexts, texts, { maxKeys: 5 }),
    measuringInterval: fc.constant(BUDGET.measuringInterval),
    symbols: fc.constant(BUDGET.symbols),
    equation: fc.constant(BUDGET.equation),
    rows: fc.constant(made),
    requirements: fc.array(requirements, { maxLength: 6 }),
    comparisons: fc.array(
      fc.record({
        name: texts,
        text: texts,
        exceedsFivePercentBelow: reaches,
        errors: fc.tuple(...made.map(() => sizes)),
      }),
      { maxLength: 6 },
    ),
    statement: fc.constant(BUDGET.statement),
    certificate: fc.constant(BUDGET.certificate),
    conditionalOn: fc.array(nonEmptyTexts, { maxLength: 4 }),
    assumptions: fc.array(texts, { maxLength: 3 }),
    notModelled: fc.array(texts, { maxLength: 3 }),
    cautions: fc.array(texts, { maxLength: 3 }),
  }),
);
