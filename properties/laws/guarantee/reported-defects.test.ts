// Defects that were found once, each with its smallest case. Falsified by any of them coming back.
import { describe, expect, test } from "vitest";
import { measurementModel, roundingQuantities } from "../../../lib/chain/measurement-model.ts";
import { readDesign } from "../../../lib/design/read-design.ts";
import { IntervalEvaluator } from "../../../lib/expression/enclose.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { gapOf } from "../../../lib/guarantee/bracket.ts";
import type { Bracket, SideBracket } from "../../../lib/guarantee/bracket.ts";
import { bandsOf } from "../../../lib/guarantee/bands.ts";
import { ErrorBrackets } from "../../../lib/guarantee/error-brackets.ts";
import { judge } from "../../../lib/guarantee/requirement-verdict.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { budgetAt, exampleDesign, exampleDocument } from "../../support/example-designs.ts";
import type { Document } from "../../support/document-faults.ts";

function designOf(example: Parameters<typeof exampleDocument>[0], change: (d: Document) => void) {
  const document = exampleDocument(example);
  document.requirements = [];
  change(document);
  return readDesign(document);
}

function bracketAt34(design: ReturnType<typeof readDesign>): Bracket {
  return new ErrorBrackets(measurementModel(design)).bracket({ lower: 33.5, upper: 34.5 });
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

describe("requirements", () => {
  test("1. a requirement beyond the measuring interval is refused, not dropped (exit code 0)", () => {
    expect(() =>
      designOf("01-no-adjustment", (d) => {
        d.requirements = ["5 % at 600 V", "5 % from 500 V to 600 V"];
      }),
    ).toThrow(/2 faults/);
  });

  test("2. a requirement that reaches beyond the range does not hold over the part inside it", () => {
    expect(() =>
      designOf("01-no-adjustment", (d) => {
        d.requirements = ["99 % + 100 V from 400 V to 600 V"];
      }),
    ).toThrow(/upper end of a requirement/);
  });

  test("3. a requirement at no voltage at all is refused", () => {
    expect(() =>
      designOf("01-no-adjustment", (d) => {
        d.requirements = [{ id: "R", statement: { kind: "indication", share: "5 %" }, at: [] }];
      }),
    ).toThrow();
  });

  test("4. 'does not hold' over a range needs a witness that fails at its own voltage", () => {
    // 5 % allows 5.26 V at 100 V and 5.47 V at 104 V; the witness of 5.3 V stands at 104 V.
    const bracket: Bracket = {
      band: { lower: 100, upper: 104 },
      high: side(5.4, 5.3, 104),
      low: side(-0.1, -0.1, 104),
    };
    const band = { lower: Decimal.ofInteger(100), upper: Decimal.ofInteger(104) };
    const statement = {
      kind: "indication",
      name: "5 %",
      share: Decimal.parse("0.05"),
      volts: Decimal.zero,
    } as const;
    const verdict = judge({ id: "R", text: "R", statement }, [{ band, bracket }])!.verdict;
    expect(verdict).toBe("notProven");
  });

  test("5. asked voltages outside the range throw, as budgetOf says", () => {
    expect(() =>
      budgetAt(
        designOf("01-no-adjustment", () => undefined),
        ["600"],
      ),
    ).toThrow();
  });
});

describe("bands", () => {
  test("6. voltages less than the rounding of band ends apart keep their own bands", () => {
    // 34.0001 V gets the band [34.001, 34.001]: its proven figure, 4.763 V, is too small by 0.47 V.
    const design = designOf("01-no-adjustment", () => undefined);
    const voltages = ["34", "34.0001", "34.0002"].map((text) => Decimal.parse(text));
    for (const { lower, upper, voltage } of bandsOf(design, voltages)) {
      if (voltage === undefined) continue;
      expect(lower.compare(voltage)).toBeLessThanOrEqual(0);
      expect(upper.compare(voltage)).toBeGreaterThanOrEqual(0);
    }
  });
});

describe("witnesses", () => {
  test("7. a witness lies inside the exact decimal limits, not one double outside", () => {
    // applied_adjustLow is -0.060000000000000005 where the limit is -0.06: 542 of 4800 values of
    // the third demo design.
    const document = budgetAt(exampleDesign("02-two-point"), ["34"]);
    const limits = new Map(document.symbols.map((symbol) => [symbol.name, symbol]));
    const outside = Object.entries(document.rows[0]!.high.witness).filter(([name, value]) => {
      const { lower, upper, perBand } = limits.get(name)!;
      const exact = Decimal.ofDouble(value);
      if (perBand) return false;
      return exact.compare(Decimal.parse(lower)) < 0 || exact.compare(Decimal.parse(upper)) > 0;
    });
    expect(outside).toEqual([]);
  });

  test.each([
    ["8a. no fraction bits and results rounded down", 0, "down", "01-no-adjustment"],
  ] as const)("%s: the witness is in its band", (_, fractionBits, rounding, example) => {
    // floor of an integer stands on an edge, no witness is fair, and the stand-in is V = 0.
    const { high } = bracketAt34(
      designOf(example, (d) => {
        Object.assign(d.scaling, { fractionBits, rounding });
      }),
    );
    expect(high.witness[0]).toBeGreaterThan(33);
    expect(gapOf(high)).toBeLessThan(0.01);
  });

  test("9. intermediate results beyond 2^53 are refused or witnessed: the witness is V = 0", () => {
    // 24 bits, 30 fraction bits, 1 uV: the addend is 3e17, so that + 1/2 is lost in a double.
    expect(() =>
      designOf("03-good-at-34-volts", (d) => {
        d.adc.bits = 24;
        Object.assign(d.scaling, {
          fractionBits: 30,
          resultUnit: "1 uV",
          displayResolution: "1 mV",
        });
      }),
    ).toThrow(/code times multiplier/);
  });
});

describe("small ones", () => {
  test("13. the gap of a side whose proven error has the other sign is not 0", () => {
    expect(gapOf(side(-1, -2, 34))).toBeGreaterThan(0);
  });

  test("14. limits the wrong way round are refused wherever they enter", () => {
    const evaluator = new IntervalEvaluator(compileTape([parseInfix("x - y")], ["x", "y"]));
    expect(() => evaluator.enclose(Float64Array.of(1, -1), Float64Array.of(0, 1))).toThrow();
  });

  test("15. the nominal value of a rounding lies inside its limits", () => {
    const document = budgetAt(
      designOf("04-percent-of-range", () => undefined),
      ["34"],
    );
    const rounding = document.symbols.find(({ name }) => name === "rounding_result")!;
    expect(Number(rounding.nominal)).toBeLessThanOrEqual(Number(rounding.upper));
    const model = measurementModel(exampleDesign("04-percent-of-range"));
    expect(roundingQuantities(model).length).toBeGreaterThan(0);
  });
});
