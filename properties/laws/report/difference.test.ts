// Falsified by a difference that names a figure neither budget has, that is not turned round when
// the designs are, that calls an error smaller or larger where the brackets overlap, that loses a
// voltage, a quantity or a requirement, or whose text prints a bound inside the bound, breaks its
// width or lets a control character through.
import { stripVTControlCharacters } from "node:util";
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { OutsideDomainError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { budgetDifference } from "../../../lib/report/budget-difference.ts";
import type { BudgetDifference, ErrorOrder } from "../../../lib/report/budget-difference.ts";
import type { BudgetDocument, BudgetRow, Verdict } from "../../../lib/report/budget-document.ts";
import { differenceTable } from "../../../lib/report/difference-table.ts";
import { budgetAt, exampleDesign } from "../../support/example-designs.ts";
import { BUDGET } from "../../support/budget-fixture.ts";
import { budgets, HOSTILE_TEXTS } from "./budget-arbitrary.ts";

const PLAIN = { colour: false, width: 100 };
const RUNS = { numRuns: 40 };
/** Laying out a table takes a tenth of a second where its texts are long. */
const TEXT_RUNS = { numRuns: 10 };
const widths = fc.integer({ min: 80, max: 160 });

/** Ascending rows and requirements used once each, as real budgets have them. */
function tidied(document: BudgetDocument): BudgetDocument {
  const rows = [...document.rows].sort((one, other) => one.voltage - other.voltage);
  const ids = new Map(document.requirements.map((row) => [row.id, row]));
  return { ...document, rows, requirements: [...ids.values()] };
}

/** Two budgets that share some voltages, some rows and some requirements. */
const pairs = fc
  .tuple(
    budgets,
    budgets,
    fc.array(fc.constantFrom("voltage", "row", "none"), { minLength: 24, maxLength: 24 }),
  )
  .map(([one, other, plan]): readonly [BudgetDocument, BudgetDocument] => {
    const taken = new Set(one.rows.map(({ voltage }) => voltage));
    const rows = other.rows
      .filter(({ voltage }) => !taken.has(voltage))
      .concat(
        one.rows.flatMap((row, place): BudgetRow[] => {
          const figures = other.rows[place] ?? row;
          if (plan[place] === "none") return [];
          return [plan[place] === "row" ? row : { ...figures, voltage: row.voltage }];
        }),
      );
    const requirements = [
      ...other.requirements,
      ...one.requirements
        .slice(0, 3)
        .map((row, place) => (place === 1 ? { ...row, verdict: "notProven" as const } : row)),
    ];
    return [tidied(one), tidied({ ...other, rows, requirements })];
  });

const TURNED: Readonly<Record<ErrorOrder, ErrorOrder>> = {
  smaller: "larger",
  larger: "smaller",
  same: "same",
  open: "open",
};

function rowOf(document: BudgetDocument, voltage: number): BudgetRow {
  const row = document.rows.find((one) => one.voltage === voltage);
  if (row === undefined) throw new Error(`no row at ${voltage} V`);
  return row;
}

const largestWitness = ({ low, high }: BudgetRow): number =>
  Math.max(Math.abs(low.witnessed), Math.abs(high.witnessed));

describe("the difference of two budgets", () => {
  test("has the voltages of both, each figure as the budgets have it, and B minus A", () => {
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        const { rows, designs } = budgetDifference(a, b);
        const shared = new Set(rows.map(({ voltage }) => voltage));
        for (const [document, { voltagesApart }] of [
          [a, designs.a],
          [b, designs.b],
        ] as const) {
          const voltages = document.rows.map(({ voltage }) => voltage);
          expect(voltages.filter((voltage) => shared.has(voltage))).toHaveLength(rows.length);
          expect(voltages.filter((voltage) => !shared.has(voltage))).toEqual(voltagesApart);
        }
        for (const row of rows) {
          const [before, after] = [rowOf(a, row.voltage), rowOf(b, row.voltage)];
          for (const side of ["low", "high"] as const) {
            expect(before[side]).toMatchObject(row.a[side]);
            expect(after[side]).toMatchObject(row.b[side]);
            expect(row.change[side]).toBe(after[side].proven - before[side].proven);
          }
          expect(row.change.error).toBe(after.provenError - before.provenError);
        }
      }),
      RUNS,
    );
  });

  test("calls an error smaller or larger only where the brackets lie apart", () => {
    const seen = new Set<ErrorOrder>();
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        for (const { voltage, order } of budgetDifference(a, b).rows) {
          const [before, after] = [rowOf(a, voltage), rowOf(b, voltage)];
          const isSmaller = after.provenError < largestWitness(before);
          const isLarger = largestWitness(after) > before.provenError;
          if (order === "smaller") expect(isSmaller).toBe(true);
          else if (order === "larger") expect(isLarger).toBe(true);
          else expect(isSmaller || isLarger).toBe(false);
          if (order === "same") expect(after.high.proven).toBe(before.high.proven);
          seen.add(order);
        }
      }),
      RUNS,
    );
    expect([...seen].sort()).toEqual(["larger", "open", "same", "smaller"]);
  });

  test("is turned round with the designs", () => {
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        const [there, back] = [budgetDifference(a, b), budgetDifference(b, a)];
        expect(back.designs).toEqual({ a: there.designs.b, b: there.designs.a });
        expect(back.rows).toEqual(
          there.rows.map((row) => ({
            ...row,
            a: row.b,
            b: row.a,
            change: {
              low: 0 - row.change.low,
              high: 0 - row.change.high,
              error: 0 - row.change.error,
            },
            order: TURNED[row.order],
          })),
        );
        expect(back.terms?.voltage).toBe(there.terms?.voltage);
        expect(back.terms?.terms.map(({ symbol, change }) => [symbol, 0 - change])).toEqual(
          there.terms?.terms.map(({ symbol, change }) => [symbol, change]),
        );
        const verdicts = ({ requirements }: BudgetDifference) =>
          new Map(requirements.map((one) => [one.id, one]));
        const turned = verdicts(back);
        for (const [id, { judged, onlyIn, verdictChanges }] of verdicts(there)) {
          const found = turned.get(id);
          expect([found?.judged.a, found?.judged.b]).toEqual([judged.b, judged.a]);
          expect(found?.verdictChanges).toBe(verdictChanges);
          expect(found?.onlyIn).toBe(onlyIn && (onlyIn === "a" ? "b" : "a"));
        }
        expect(turned.size).toBe(there.requirements.length);
      }),
      RUNS,
    );
  });

  test("has every quantity of the hardest shared voltage once, the largest change first", () => {
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        const { terms, rows } = budgetDifference(a, b);
        expect(terms === undefined).toBe(rows.length === 0);
        if (terms === undefined) return;
        const [before, after] = [a, b].map((document) => rowOf(document, terms.voltage).terms);
        const names = new Set([...before!, ...after!].map(({ symbol }) => symbol));
        expect(terms.terms.map(({ symbol }) => symbol).sort()).toEqual([...names].sort());
        const changes = terms.terms.map(({ change }) => Math.abs(change));
        expect(changes).toEqual([...changes].sort((one, other) => other - one));
        for (const { symbol, volts, onlyIn, change } of terms.terms) {
          const last = (list: typeof before) => list!.findLast((one) => one.symbol === symbol);
          expect(volts.a ?? 0).toBe(last(before)?.volts ?? 0);
          expect(volts.b ?? 0).toBe(last(after)?.volts ?? 0);
          expect(change).toBe((volts.b ?? 0) - (volts.a ?? 0));
          expect(onlyIn).toBe(
            volts.a === undefined ? "b" : volts.b === undefined ? "a" : undefined,
          );
        }
      }),
      RUNS,
    );
  });

  test("holds each requirement once and says where verdict, wording or presence differ", () => {
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        const { requirements } = budgetDifference(a, b);
        const ids = new Set([...a.requirements, ...b.requirements].map(({ id }) => id));
        expect(requirements.map(({ id }) => id).sort()).toEqual([...ids].sort());
        for (const { id, judged, verdictChanges, askedDifferently, onlyIn } of requirements) {
          const [before, after] = [a, b].map((one) =>
            one.requirements.find((row) => row.id === id),
          );
          expect(judged.a?.verdict).toBe(before?.verdict);
          expect(judged.b?.margin).toBe(after?.margin);
          const isShared = before !== undefined && after !== undefined;
          expect(verdictChanges).toBe(isShared && before.verdict !== after.verdict);
          expect(askedDifferently).toBe(isShared && before.text !== after.text);
          expect(onlyIn === undefined).toBe(isShared);
        }
      }),
      RUNS,
    );
  });

  test("loses nothing as JSON and finds nothing between a budget and itself", () => {
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        const difference = budgetDifference(a, b);
        expect(JSON.parse(JSON.stringify(difference))).toEqual(difference);
        const own = budgetDifference(a, a);
        expect(own.conditions).toEqual([]);
        expect(own.rows.every(({ order, change }) => order === "same" && change.low === 0)).toBe(
          true,
        );
        expect(own.requirements.some((one) => one.verdictChanges || one.askedDifferently)).toBe(
          false,
        );
        expect((own.terms?.terms ?? []).some(({ change }) => change !== 0)).toBe(false);
      }),
      RUNS,
    );
  });

  test("looks at the terms where a requirement of either is hardest", () => {
    const [first] = BUDGET.requirements;
    if (first === undefined) throw new Error("the fixture has requirements");
    const without = { ...BUDGET, requirements: [] };
    const hardest = { ...first, id: "hard", voltage: 126, limit: 1, margin: -5 };
    const asked = { ...BUDGET, requirements: [first, hardest] };
    for (const [a, b] of [
      [without, asked],
      [asked, without],
      [BUDGET, asked],
    ] as const) {
      const { terms } = budgetDifference(a, b);
      expect(terms).toMatchObject({ voltage: 126, requirement: "hard" });
    }
  });
});

describe("a quantity of one design", () => {
  const { terms } = budgetDifference(BUDGET, BUDGET);
  const symbol = terms!.terms[0]!.symbol;
  const without = {
    ...BUDGET,
    rows: BUDGET.rows.map((row) => ({
      ...row,
      terms: row.terms.filter((term) => term.symbol !== symbol),
    })),
  };
  const changeTo = (b: BudgetDocument) =>
    budgetDifference(BUDGET, b).terms!.terms.find((term) => term.symbol === symbol)!;

  test("that the other has without effect counts as 0 there", () => {
    const { volts, onlyIn, change } = changeTo(without);
    expect([volts.b, onlyIn, change]).toEqual([0, undefined, 0 - volts.a!]);
  });

  test("that the other does not have is said to be in one only", () => {
    const symbols = BUDGET.symbols.filter(({ name }) => name !== symbol);
    const { volts, onlyIn, change } = changeTo({ ...without, symbols });
    expect([volts.b, onlyIn, change]).toEqual([undefined, "a", 0 - volts.a!]);
    const text = differenceTable(budgetDifference(BUDGET, { ...without, symbols }), PLAIN);
    expect(text).toContain(`only in A: ${symbol}, `);
  });
});

describe("the difference of demo designs", () => {
  const at = ["-60", "34", "60", "126"];
  const [bare, adjusted, good] = (
    ["01-no-adjustment", "02-two-point", "03-good-at-34-volts"] as const
  ).map((example) => budgetAt(exampleDesign(example), at)) as [
    BudgetDocument,
    BudgetDocument,
    BudgetDocument,
  ];

  test("shows that adjustment removes offset and gain and adds its own readings", () => {
    const difference = budgetDifference(bare, adjusted);
    expect(difference.rows.map(({ order }) => order)).toEqual(at.map(() => "smaller"));
    const terms = new Map(difference.terms!.terms.map((term) => [term.symbol, term]));
    for (const symbol of ["adc_offset", "adc_gainError", "bias_tolerance"]) {
      const { volts, onlyIn } = terms.get(symbol)!;
      expect(onlyIn).toBeUndefined();
      expect(volts.b).toBeLessThan(0.02 * volts.a!);
    }
    const added = difference.terms!.terms.filter(({ onlyIn }) => onlyIn === "b");
    expect(added.map(({ symbol }) => symbol)).toContain("rounding_adjustHigh");
    const others = added.filter(({ symbol }) => !/_adjust(Low|High)$/.test(symbol));
    // What adjustment stores is rounded, and the reference may differ between the occasions.
    expect(others.map(({ symbol }) => symbol).sort()).toEqual([
      "reference_box",
      "rounding_addend",
      "rounding_multiplier",
    ]);
    expect(difference.terms!.terms.some(({ onlyIn }) => onlyIn === "a")).toBe(false);
    expect(difference.conditions.map(({ name }) => name)).toEqual(["adjustment", "age"]);
  });

  test("shows the verdicts that a better design turns", () => {
    const { requirements } = budgetDifference(adjusted, good);
    const verdicts = requirements.map(({ id, judged }) => [
      id,
      judged.a?.verdict,
      judged.b?.verdict,
    ]);
    const turned = (id: string): readonly string[] => [id, "doesNotHold", "holds"];
    expect(verdicts).toEqual(["R-34", "R-60", "R-126"].map(turned));
    const text = differenceTable(budgetDifference(adjusted, good), PLAIN);
    expect(text).toContain("Requirements: 3 verdicts change\n");
    expect(text).toMatch(
      /^does not hold +holds +R-34: 5 % of indication at 34 V +-1\.7\d+ +1\.0\d+$/m,
    );
  });
});

describe("the text of a difference", () => {
  const orderOf = (printed: string | undefined, value: number): number =>
    Decimal.parse(printed ?? "").compare(Decimal.ofDouble(value));

  test("prints every bound at least as wide as it is, and each change with its sign", () => {
    fc.assert(
      fc.property(pairs, widths, ([a, b], width) => {
        const difference = budgetDifference(a, b);
        const lines = differenceTable(difference, { colour: false, width }).split("\n");
        const head = lines.findIndex((line) => /^voltage +A proven/.test(line));
        const printed = lines.slice(head + 3, head + 3 + difference.rows.length);
        for (const [place, row] of difference.rows.entries()) {
          const cells = printed[place]!.trim().split(/\s+/);
          expect(Number(cells[0])).toBe(row.voltage);
          expect(orderOf(cells[1], row.a.low.proven)).not.toBe(1);
          expect(orderOf(cells[2], row.a.high.proven)).not.toBe(-1);
          expect(orderOf(cells[3], row.b.low.proven)).not.toBe(1);
          expect(orderOf(cells[4], row.b.high.proven)).not.toBe(-1);
          expect(cells[5]).toMatch(/^(?:[+-]\d+\.\d+|0\.0+)$/);
          expect(Number(cells[5])).toBeCloseTo(row.change.low, 0);
          expect(cells[6]!.startsWith("+")).toBe(Number(cells[6]) > 0);
        }
      }),
      TEXT_RUNS,
    );
  });

  test("gives every requirement both verdicts in words", () => {
    const words: Readonly<Record<Verdict, string>> = {
      holds: "holds",
      doesNotHold: "does not hold",
      notProven: "not proven",
    };
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        const difference = budgetDifference(a, b);
        const lines = differenceTable(difference, PLAIN).split("\n");
        const cell = "(holds|does not hold|not proven|not asked)";
        const row = new RegExp(`^${cell} +${cell} `);
        const found = lines.flatMap((line) => {
          const match = row.exec(line);
          return match === null ? [] : [[match[1], match[2]]];
        });
        const wanted = difference.requirements.map(({ judged }) =>
          [judged.a, judged.b].map((one) => (one === undefined ? "not asked" : words[one.verdict])),
        );
        expect(found.slice(0, wanted.length)).toEqual(wanted);
      }),
      TEXT_RUNS,
    );
  });

  test("keeps its width, names no figure that is none, and lets no control character through", () => {
    fc.assert(
      fc.property(pairs, widths, ([a, b], width) => {
        const text = differenceTable(budgetDifference(a, b), { colour: false, width });
        expect(text).not.toMatch(/NaN|undefined|Infinity|\[object/);
        expect(text.replaceAll("\n", "")).not.toMatch(/[\p{Cc}\p{Cs}]/u);
        const plain = text
          .split("\n")
          .filter((line) => /^[\u0020-\u007E\u2500\u2026±°]*$/.test(line));
        for (const line of plain) expect(line.length).toBeLessThanOrEqual(width);
      }),
      TEXT_RUNS,
    );
    for (const name of HOSTILE_TEXTS) {
      const design = { ...BUDGET.design, name };
      const text = differenceTable(budgetDifference({ ...BUDGET, design }, BUDGET), PLAIN);
      expect(text.split("Conditions that differ:")[0]!.split("\n").length).toBeLessThan(7);
    }
  });

  test("is the same words in colour, and refuses a width that holds no table", () => {
    const difference = budgetDifference(BUDGET, { ...BUDGET, requirements: [] });
    const coloured = differenceTable(difference, { colour: true, width: 100 });
    expect(coloured).toContain("\u001B[1m");
    expect(stripVTControlCharacters(coloured)).toBe(differenceTable(difference, PLAIN));
    for (const width of [79, 401, 100.5, Number.NaN]) {
      expect(() => differenceTable(difference, { colour: false, width })).toThrow(
        OutsideDomainError,
      );
    }
  });

  test("says what only one design has, and that nothing is shared", () => {
    const [first, ...rest] = BUDGET.requirements;
    const apart = {
      ...BUDGET,
      rows: BUDGET.rows.map((row) => ({ ...row, voltage: row.voltage + 1 })),
      requirements: rest,
      conditions: { ...BUDGET.conditions, supply: "5 V" },
    };
    const text = differenceTable(budgetDifference(BUDGET, apart), PLAIN).replaceAll(/\s+/g, " ");
    expect(text).toContain("The designs have no voltage in common.");
    expect(text).toContain("no verdict changes, 1 only in A");
    expect(text).toContain(`not asked ${first!.id}: ${first!.text}`);
    expect(text).toContain("supply 4.75 V to 5.25 V in A, 5 V in B");
    for (const words of BUDGET.cautions) expect(text).toContain(words);
  });
});
