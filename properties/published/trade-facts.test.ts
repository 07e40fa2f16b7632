// Falsified by: arithmetic on accuracy statements that does not give what the trade reckons with.
// The facts themselves are common practice, no source; only the arithmetic on them is checked.
import { describe, expect, test } from "vitest";
import {
  permittedError,
  permittedFraction,
  voltageBelowWhichExceeds,
} from "../../lib/design/accuracy-statement.ts";
import type { AccuracyStatement } from "../../lib/design/accuracy-statement.ts";
import { crestVoltage } from "../../lib/design/mains-limits.ts";
import { limitVoltages, timeConstantLineVoltage } from "../../lib/design/published-limits.ts";
import { permittedErrors } from "../../lib/design/requirement.ts";
import { parseRequirementText } from "../../lib/design/requirement-text.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";

/** The range that the crest of 240 V mains needs, and its span: common practice, no source. */
const UPPER_LIMIT = Decimal.ofInteger(400);
const SPAN = Decimal.ofInteger(800);

function statement(text: string): AccuracyStatement {
  return parseRequirementText(text, { span: SPAN, upperLimit: UPPER_LIMIT }).statement;
}

describe("facts of the trade (common practice, no source)", () => {
  test("the crest of 240 V mains lies inside +/-400 V, and the lines far below it", () => {
    expect(crestVoltage(240)).toBeLessThan(UPPER_LIMIT.toNumber());
    const fixed = limitVoltages().map((line) => line.voltage);
    const lines = [...fixed, timeConstantLineVoltage(240)];
    expect(Math.min(...lines)).toBe(34);
    expect(Math.ceil(Math.max(...lines))).toBe(126);
  });

  test("+/-1.5 % of an 800 V span is +/-12 V: 9.5 % of 126 V and 35 % of 34 V", () => {
    const ofSpan = statement("1.5 % of span");
    for (const voltage of [0, 34, 126, 400, -400]) expect(permittedError(ofSpan, voltage)).toBe(12);
    expect(100 * permittedFraction(ofSpan, 126)).toBeCloseTo(9.5, 1);
    expect(100 * permittedFraction(ofSpan, 34)).toBeCloseTo(35, 0);
    // Which fiducial value is meant decides by a factor of two.
    expect(permittedError(statement("1.5 % of upper limit"), 34)).toBe(6);
  });

  test("+/-1.5 % of reading +/-4 V is almost 10 % at 50 V", () => {
    expect(permittedFraction(statement("1.5 % of reading + 4 V"), 50)).toBeCloseTo(0.095, 15);
  });

  test("+/-2 % of reading +/-0.8 V stays inside +/-5 % down to 30 V", () => {
    const reading = statement("2 % of reading + 0.8 V");
    expect(100 * permittedFraction(reading, 34)).toBeCloseTo(4.35, 2);
    expect(100 * permittedFraction(reading, 30)).toBeCloseTo(4.67, 2);
    expect(100 * permittedFraction(reading, 126)).toBeCloseTo(2.63, 2);
    const threshold = voltageBelowWhichExceeds(reading, Decimal.parse("0.05"));
    expect(threshold).toBeLessThan(30);
    expect(threshold).toBeCloseTo(0.8 / 0.03, 9);
  });

  test("8 bits over 800 V are 3.125 V for each code, 10 bits 0.78125 V", () => {
    const one = { kind: "resolution", name: "", span: SPAN, codes: "one" } as const;
    expect(permittedError({ ...one, bits: 8 }, 34)).toBe(3.125);
    expect(permittedError({ ...one, bits: 10 }, 34)).toBe(0.78125);
    // Half a code of eight bits alone uses up 4.6 % of 34 V.
    const half = { ...one, bits: 8, codes: "half" } as const;
    expect(permittedFraction(half, 34)).toBeCloseTo(0.046, 3);
  });

  test("+/-5 % of the reading at 34 V allows a true 34 V to be shown as 32.38 V to 35.79 V", () => {
    const requirement = parseRequirementText("5 % at 34 V");
    const { lower, upper } = permittedErrors(requirement.statement, requirement.at?.[0] ?? 0);
    expect(34 + lower).toBeCloseTo(32.38, 2);
    expect(34 + upper).toBeCloseTo(35.79, 2);
  });

  test("1.5 % up to 1000 V, of the value or of the full range, differ 29-fold at 34 V", () => {
    // Decision sheet DSH 251B (confirmed); practice reads it as a percentage of the full range.
    const asText = permittedError(statement("1.5 % of reading"), 34);
    const asPractice = permittedError(statement("1.5 % of span 1000 V"), 34);
    expect(asText).toBeCloseTo(0.51, 12);
    expect(asPractice).toBe(15);
    expect(asPractice / asText).toBeCloseTo(29.4, 1);
  });
});
