// Falsified by: acceptance limits out of the order that theory gives them, a line decided by another
// measurand, voltage or time than its own, or an uncertainty that drawn units do not show.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import { decide } from "../../../lib/decision/decide.ts";
import type { DecidedWay, DecideOptions } from "../../../lib/decision/decide.ts";
import { ErrorPropagation } from "../../../lib/decision/error-uncertainty.ts";
import { parseLimitQuestion } from "../../../lib/decision/limit-question.ts";
import { InvalidInputError } from "../../../lib/errors.ts";
import { ErrorBrackets } from "../../../lib/guarantee/error-brackets.ts";
import { decisionOf } from "../../../lib/report/decision.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import type { Example } from "../../support/example-designs.ts";
import { SeededRandom } from "../../support/seeded-random.ts";

const exactly = (value: number) => ({ lower: value, upper: value });
const GOOD = exampleDesign("03-good-at-34-volts");

function wayOf(example: Example, limit: string, options: DecideOptions = {}): DecidedWay {
  const design = exampleDesign(example);
  const { ways } = decide(design, parseLimitQuestion(limit, design), options);
  const way = ways[0];
  if (way === undefined || "reason" in way) throw new Error("no decided way");
  return way;
}

describe("acceptance limits", () => {
  const rules = [0.4, 0.1, 0.01, 1e-6].map((risk) => ({ kind: "specificRisk", risk }) as const);
  const way = wayOf("03-good-at-34-volts", "34 V at 1 s", {
    capacitance: exactly(0.22e-6),
    rules,
    prior: { estimate: 25, standardUncertainty: 6, source: "test" },
  });

  test("fall as the risk allowed falls, and with them the consumer's risk", () => {
    const [simple, , , ...byRisk] = way.rules;
    const ordered = [simple!, ...byRisk];
    for (const [index, stricter] of ordered.slice(1).entries()) {
      const laxer = ordered[index]!;
      expect(stricter.acceptUpTo).toBeLessThan(laxer.acceptUpTo);
      expect(stricter.risk!.consumer).toBeLessThan(laxer.risk!.consumer);
      expect(stricter.risk!.producer).toBeGreaterThan(laxer.risk!.producer);
    }
  });

  test("with no guard band and no loading stand at the line, less the expected error", () => {
    const asLoaded = wayOf("03-good-at-34-volts", "34 V", { definition: "asLoaded" });
    const { error, rules: found } = asLoaded;
    const expected = error.voltage < 0 ? -error.expected : error.expected;
    expect(found[0]!.acceptUpTo).toBeCloseTo(34 + expected, 12);
    expect(asLoaded.asLoaded).toEqual(exactly(34));
    expect(asLoaded.standardUncertainty).toBe(error.standardUncertainty);
  });

  test("take the loading off: a smaller product leaves less room", () => {
    const of = (c: number) => wayOf("03-good-at-34-volts", "34 V", { capacitance: exactly(c) });
    const [smallest, larger] = [of(0.1e-6), of(0.47e-6)];
    expect(smallest.proven[0]!.acceptBelow).toBeLessThan(larger.proven[0]!.acceptBelow);
    expect(smallest.rules[0]!.acceptUpTo).toBeLessThan(larger.rules[0]!.acceptUpTo);
    // 34 V unloaded is 30.77 V behind 100 Mohm on 0.1 uF after 1 s: exp(-0.1) = 0.9048.
    expect(smallest.asLoaded.lower).toBeCloseTo(34 * 0.9048, 1);
  });

  test("follow each published line's own measurand and time", () => {
    const decided = (id: string) =>
      decide(GOOD, parseLimitQuestion(id, GOOD), {
        capacitance: exactly(0.22e-6),
        initial: exactly(240 * Math.SQRT2),
      });
    expect(decided("iec-60335-1-22.5").definition).toBe("unloaded");
    expect(decided("iec-61010-1-6.10.3").definitionReason).toBe("not stated, the stricter taken");
    const referred = decided("iec-60950-1-2.1.1.7/type-a");
    expect(referred.definition).toBe("referredToLoad");
    // The tester is close to the reference load, so that little is left to correct.
    expect(Math.abs(referred.correction.applied - 1)).toBeLessThan(0.003);
    const [line] = referred.ways;
    expect(line !== undefined && "voltage" in line && line.voltage.lower).toBeCloseTo(125.582, 3);
    const [volts, charge] = decided("iec-61010-1-6.10.3").ways as DecidedWay[];
    expect(volts!.voltage.lower).toBe(60);
    expect(charge!.voltage.lower).toBeCloseTo(45e-6 / 0.22e-6, 6);
  });

  test("a reading is passed, left open or failed by the proven bounds, in this order", () => {
    const verdict = (indication: number) =>
      wayOf("03-good-at-34-volts", "34 V", { capacitance: exactly(1e-6), indication })
        .provenVerdict;
    expect([30, 33.9, 36].map(verdict)).toEqual(["pass", "undecided", "fail"]);
  });
});

describe("the uncertainty of the error", () => {
  test("is below the proven bound here and is the spread of drawn units", () => {
    const model = measurementModel(GOOD);
    const { expected, standardUncertainty } = new ErrorPropagation(model).at(34);
    const brackets = new ErrorBrackets(model);
    const random = new SeededRandom(3);
    const box = brackets.domain.box({ lower: 34, upper: 34 });
    const { quantities } = model;
    const errors = Array.from({ length: 4000 }, () => {
      const point = box.lower.map((low, slot) => low + random.unit() * (box.upper[slot]! - low));
      // Normal quantities are drawn as such; their limits are so many standard deviations away.
      for (const [index, { distribution }] of quantities.entries()) {
        if (distribution.shape !== "normal") continue;
        const [low, high] = [box.lower[index + 1]!, box.upper[index + 1]!];
        const sum = Array.from({ length: 12 }, () => random.unit()).reduce((a, b) => a + b, -6);
        const spread = (high - low) / 2 / distribution.coverageFactor;
        point[index + 1] = (low + high) / 2 + sum * spread;
      }
      return brackets.shown.error(point);
    });
    const mean = errors.reduce((sum, one) => sum + one, 0) / errors.length;
    const variance = errors.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (errors.length - 1);
    expect(Math.abs(mean - expected)).toBeLessThan(0.1 * standardUncertainty);
    expect(Math.sqrt(variance) / standardUncertainty).toBeGreaterThan(0.93);
    expect(Math.sqrt(variance) / standardUncertainty).toBeLessThan(1.07);
  });
});

describe("questions and options", () => {
  test("a clause with several lines asks for one of them", () => {
    expect(() => parseLimitQuestion("iec-60950-1-2.1.1.7", GOOD)).toThrow(/type-a.*type-b/);
    expect(() => parseLimitQuestion("34 A at 1 s", GOOD)).toThrow(InvalidInputError);
    expect(() => parseLimitQuestion("-34 V", GOOD)).toThrow("greater than zero");
    expect(parseLimitQuestion("45 uC after 2 s", GOOD).line.limit).toEqual({
      kind: "charge",
      charge: 45e-6,
    });
    expect(parseLimitQuestion("34 V", GOOD).duration).toBe(1);
  });

  test("bad figures are refused", () => {
    expect(() => wayOf("03-good-at-34-volts", "34 V", { capacitance: exactly(0) })).toThrow(
      InvalidInputError,
    );
    expect(() => wayOf("03-good-at-34-volts", "34 V", { indication: Number.NaN })).toThrow(
      InvalidInputError,
    );
  });

  test("a line beyond the range gets no verdict, with the reason", () => {
    const document = decisionOf(GOOD, {
      limit: "450 V",
      sha256: "0".repeat(64),
      version: "0.0.0",
    });
    const [way] = document.ways;
    expect(way !== undefined && "reason" in way && way.reason).toContain("beyond the range");
  });
});
