// Falsified by: a month after which a promise called kept is broken, or one more month after which it
// still holds; an error that does not grow by the law its parts declare; or a figure that the budget
// of the document with that age does not give.
import { describe, expect, test } from "vitest";
import { calibrationInterval } from "../../../lib/decision/calibration-interval.ts";
import type { Requirement } from "../../../lib/design/requirement.ts";
import { OutsideDomainError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { budgetAt, exampleDesign } from "../../support/example-designs.ts";

const volts = (text: string): Decimal => Decimal.parse(text);

function promise(share: string, constant: string, place: Partial<Requirement>): Requirement {
  const statement = { kind: "indication", name: "", share: volts(share), volts: volts(constant) };
  return { id: "P", text: "P", statement: statement as Requirement["statement"], ...place };
}

/** The demo design after some months, as its document would say it. */
function aged(months: number) {
  const years = Decimal.ofInteger(months).divide(Decimal.ofInteger(12), 12, "up").toString();
  return exampleDesign("03-good-at-34-volts", (document) => {
    document.conditions.sinceAdjustment = `${years} years`;
  });
}

describe("the longest calibration interval", () => {
  const design = exampleDesign("03-good-at-34-volts");

  test("is the last whole month for which the document with that age keeps the promise", () => {
    const asked = promise("0", "0.64", { at: [volts("34")] });
    const { kept, since, declared } = calibrationInterval(design, [asked], []);
    const { months } = kept[0]!;
    expect(since).toBe("adjustment");
    expect(declared).toBe(1);
    if (typeof months !== "number") throw new Error(String(months));
    expect(months).toBeGreaterThan(6);
    const errorAfter = (age: number): number => {
      const row = budgetAt(aged(age), ["34"]).rows[0]!;
      return row.provenError;
    };
    // The row's band is a code wide, so that its figure is a hair larger than that at 34 V.
    expect(errorAfter(months)).toBeLessThan(0.64 * 1.002);
    expect(errorAfter(months + 1)).toBeGreaterThan(0.64 * 0.998);
  });

  test("knows promises that are kept never, and longer than it looks", () => {
    const kept = (share: string, constant: string) =>
      calibrationInterval(
        design,
        [promise(share, constant, { from: volts("34"), to: volts("440") })],
        [],
      ).kept[0]!.months;
    expect(kept("0", "0.5")).toBe("none");
    expect(kept("0.05", "1")).toBe("beyond");
    const [some, more] = [kept("0.003", "0.7"), kept("0.003", "0.72")];
    expect(some).toBeGreaterThan(0);
    expect(more).toBeGreaterThan(Number(some));
  });

  test("grows with the root of time where every drift does", () => {
    const still = exampleDesign("03-good-at-34-volts", (document) => {
      document.conditions.ambient = ["23 degC", "23 degC"];
    });
    const { growth } = calibrationInterval(still, [], [volts("126")]);
    const at = (years: number): number => growth[0]!.ages.find((age) => age.years === years)!.high;
    const [none, half, two, five] = [0, 0.5, 2, 5].map(at) as [number, number, number, number];
    // Root of time: from half a year to two the drift doubles, to five it grows by root of ten.
    expect((two - none) / (half - none)).toBeCloseTo(2, 1);
    expect((five - none) / (half - none)).toBeCloseTo(Math.sqrt(10), 1);
    const linear = exampleDesign("03-good-at-34-volts", (document) => {
      document.conditions.ambient = ["23 degC", "23 degC"];
      for (const part of [
        document.divider.upper[0]!.drift!,
        document.divider.lower[0]!.drift!,
        document.reference.drift!,
      ])
        part.law = "linear";
    });
    const straight = calibrationInterval(linear, [], [volts("126")]).growth[0]!.ages;
    const high = (years: number): number => straight.find((age) => age.years === years)!.high;
    expect((high(5) - high(0)) / (high(0.5) - high(0))).toBeCloseTo(10, 1);
  });

  test("never shrinks, on both sides", () => {
    const { growth } = calibrationInterval(design, [], [volts("-34"), volts("34"), volts("440")]);
    for (const { ages } of growth) {
      for (const [index, age] of ages.slice(1).entries()) {
        expect(age.high).toBeGreaterThan(ages[index]!.high);
        expect(age.low).toBeLessThan(ages[index]!.low);
      }
    }
  });

  test("is asked for voltages of the range", () => {
    expect(() => calibrationInterval(design, [], [volts("500")])).toThrow(OutsideDomainError);
  });
});
