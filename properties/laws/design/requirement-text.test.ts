// Falsified by: a text built from known parts that is read as other parts, or a text with a fault
// that is read at all or whose error does not name the fault.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { parseRequirementText } from "../../../lib/design/requirement-text.ts";
import type { RequirementContext } from "../../../lib/design/requirement-text.ts";

function thousandths(count: number): Decimal {
  return Decimal.ofScaled(BigInt(count), -3);
}

// Thousandths of a per cent up to 99.999 %, millivolts up to a kilovolt.
const percents = fc.integer({ min: 0, max: 99_999 });
const millivolts = fc.integer({ min: 0, max: 1_000_000 });
const signedMillivolts = fc.integer({ min: -1_000_000, max: 1_000_000 });
const leads = fc.constantFrom("", "+/-", "+/- ", "±", "<= ", "≤ ", "within ");

interface Written {
  readonly text: string;
  readonly expected: Readonly<Record<string, unknown>>;
}

const shareOf = (percent: number): Decimal => Decimal.ofScaled(BigInt(percent), -5);

const statements: fc.Arbitrary<Written> = fc.oneof(
  fc.tuple(percents, fc.constantFrom("", " of reading", " of indication")).map(([percent, of]) => ({
    text: `${thousandths(percent).toString()} %${of}`,
    expected: { kind: "indication", share: shareOf(percent), volts: Decimal.zero },
  })),
  fc.tuple(percents, millivolts).map(([percent, volts]) => ({
    text: `${thousandths(percent).toString()}% + ${volts} mV`,
    expected: { kind: "indication", share: shareOf(percent), volts: thousandths(volts) },
  })),
  fc
    .tuple(percents, fc.integer({ min: 1, max: 2_000 }), fc.boolean())
    .map(([percent, value, isSpan]) => ({
      text: `${thousandths(percent).toString()} % of ${isSpan ? "span" : "upper limit"} ${value} V`,
      expected: {
        kind: "fiducial",
        fiducial: isSpan ? "span" : "upperLimit",
        share: shareOf(percent),
        value: Decimal.ofInteger(value),
      },
    })),
);

const places: fc.Arbitrary<Written> = fc.oneof(
  fc.constant({ text: "", expected: {} }),
  fc.array(signedMillivolts, { minLength: 1, maxLength: 4 }).map((list) => ({
    text: ` at ${list.map((one) => `${thousandths(one).toString()} V`).join(", ")}`,
    expected: { at: list.map(thousandths) },
  })),
  fc.tuple(signedMillivolts, signedMillivolts).map(([one, other]) => {
    const [from, to] = [Math.min(one, other), Math.max(one, other)];
    return {
      text: ` from ${from} mV to ${to} mV`,
      expected: { from: thousandths(from), to: thousandths(to) },
    };
  }),
);

function faultsOf(text: string, context: RequirementContext = {}): string[] {
  try {
    parseRequirementText(text, context);
  } catch (error) {
    if (!(error instanceof InvalidInputError)) throw error;
    return error.message.split("\n").slice(1);
  }
  return [];
}

describe("the text of a requirement", () => {
  test("is read as the statement and the place it was written from", () => {
    fc.assert(
      fc.property(leads, statements, places, (lead, statement, place) => {
        const text = `${lead}${statement.text}${place.text}`;
        const read = parseRequirementText(text);
        expect(read).toEqual({
          id: read.id,
          text,
          statement: { name: statement.text, ...statement.expected },
          ...place.expected,
        });
        expect(read.id).toMatch(/^[a-z0-9.]+(?:-[a-z0-9.]+)*$/);
      }),
      { numRuns: 1_000 },
    );
  });

  test("gives different requirements different identifiers", () => {
    const texts = ["5 % at 34 V", "5 % at -34 V", "5 % + 1 V at 34 V", "5 ppm at 34 V", "5 %"];
    const identifiers = texts.map((text) => parseRequirementText(text).id);
    expect(identifiers).toEqual([
      "5-percent-at-34-v",
      "5-percent-at-minus-34-v",
      "5-percent-plus-1-v-at-34-v",
      "5-ppm-at-34-v",
      "5-percent",
    ]);
  });

  test("takes a fiducial value that it does not state from its surroundings", () => {
    const span = Decimal.ofInteger(800);
    const upperLimit = Decimal.ofInteger(400);
    const read = parseRequirementText("1.5 % of span at 126 V", { span, upperLimit });
    expect(read.statement).toMatchObject({ fiducial: "span", value: span });
    const other = parseRequirementText("1.5 % of upper limit at 126 V", { span, upperLimit });
    expect(other.statement).toMatchObject({ fiducial: "upperLimit", value: upperLimit });
    expect(faultsOf("1.5 % of span at 126 V", { upperLimit })).toEqual([
      '  - fiducial value must be stated in volts, received "1.5 % of span at 126 V". ' +
        'Hint: write it behind its name, as in "1.5 % of span 800 V"',
    ]);
  });

  test("with a fault is refused, and the error names what is wrong", () => {
    const refused: readonly (readonly [string, string])[] = [
      ["", "accuracy requirement must be text such as"],
      ["hello", "accuracy requirement must be text such as"],
      ["at 34 V", "accuracy requirement must be text such as"],
      ["5 at 34 V", 'received "5". Hint: write "5 %" or "100 ppm"'],
      ["0.05 at 34 V", 'received "0.05". Hint: write "5 %" or "100 ppm"'],
      ["100 % at 34 V", 'to less than 100 %, received "100 %"'],
      ["-5 % at 34 V", "accuracy requirement must be text such as"],
      ["5 % at 34", "the unit is missing"],
      ["5 % at 34 A", '"A" is a unit of a current'],
      ["5 % + 1 ohm at 34 V", '"ohm" is a unit of a resistance'],
      ["5 % from 400 V to 30 V", "lower voltage must be at most the upper voltage 30 V"],
      ["5 % from 30 V", "share must be"],
      ["5 % of span 0 V", "fiducial value must be greater than zero, received 0 V"],
      ["5 % of 800 V at 34 V", "share must be"],
      ["5 % at 34 V at 60 V", "voltage must be"],
      [`5 % at ${"34 V, ".repeat(60)}34 V`, "accuracy requirement must be text such as"],
    ];
    for (const [text, sentence] of refused) {
      expect(faultsOf(text), text).toHaveLength(1);
      expect(faultsOf(text)[0], text).toContain(sentence);
    }
  });

  test("reports every fault at once, with the place in the document", () => {
    const faults = faultsOf("120 % + 1 A at 34, 60 A", { path: "requirements[2]" });
    expect(faults).toHaveLength(4);
    for (const fault of faults) expect(fault).toContain("(requirements[2])");
  });
});
