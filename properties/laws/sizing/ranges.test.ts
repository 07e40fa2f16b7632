// Falsified by a combination chosen for a range that its own budget does not prove over the range,
// by a frontier that an evaluation of every combination contradicts, or by a range that asks for
// less than a voltage inside it.
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { sizingDocument } from "../../../lib/report/sizing-document.ts";
import { Frontier } from "../../../lib/sizing/frontier.ts";
import { sizeDesign } from "../../../lib/sizing/size.ts";
import { sizingSpace } from "../../../lib/sizing/space.ts";
import type { SizingQuestion } from "../../../lib/sizing/space.ts";
import { everyChoice, leanQuestion } from "../../support/lean-sizing.ts";

/** A few dozen combinations. */
function rangeQuestion(text: string): SizingQuestion {
  const { catalogue, ...question } = leanQuestion();
  const { networks: _, ...few } = catalogue;
  few.upper!.grades = few.upper!.grades.slice(0, 2);
  few.lower!.grades = few.lower!.grades.slice(0, 1);
  few.converters = few.converters!.slice(1, 3);
  few.buffers = few.buffers!.slice(0, 2);
  few.clamps = few.clamps!.slice(2, 4);
  return { ...question, catalogue: few, require: [text] };
}

const RANGE = "9 % + 0.2 V from 30 V to 60 V";

describe("a requirement over a range", () => {
  test("gives the frontiers that an evaluation of every combination gives", async () => {
    const space = sizingSpace(rangeQuestion(RANGE));
    const byError = new Frontier("used");
    for (const { structure, choice } of everyChoice(space)) {
      const candidate = structure.prove(choice);
      if (candidate.used <= 1.5 && structure.canBeBuilt(choice)) byError.add(candidate);
    }
    const result = await sizeDesign(rangeQuestion(RANGE), { part: 1 });
    expect(result.byError).toEqual(byError.candidates);
    expect(result.byError.length).toBeGreaterThan(2);
  }, 60_000);

  test("is proven by the budget of the chosen design", async () => {
    const result = await sizeDesign(rangeQuestion(RANGE));
    const { cheapest } = sizingDocument(result, "test");
    const [proof] = cheapest!.requirements;
    expect(proof!.text).toBe(RANGE);
    expect(proof!.verdict).toBe("holds");
    // The share is that of the budget, not one of another kind of proof.
    expect(proof!.proven / proof!.limit).toBeCloseTo(cheapest!.used, 2);
  }, 60_000);

  test("asks for no less than a voltage inside it, of either polarity", () => {
    const shareOf = (text: string): number => {
      const [structure] = sizingSpace(rangeQuestion(text)).structures;
      return structure!.prove(structure!.plan.kinds.map(() => 0)).used;
    };
    const over = shareOf("9 % + 0.2 V from 30 V to 60 V");
    for (const voltage of ["-60 V", "-34 V", "30 V", "34 V", "45 V"])
      expect(over).toBeGreaterThanOrEqual(shareOf(`9 % + 0.2 V at ${voltage}`) * 0.999);
    expect(over).toBeLessThan(2 * shareOf("9 % + 0.2 V at 30 V"));
  }, 60_000);

  test.each([
    ["5 % from 0 V to 60 V", "above zero at every voltage"],
    ["5 %", "above zero at every voltage"],
    ["5 % from 30 V to 5000 V", "inside the measuring interval"],
  ])("is refused where nothing can meet it or nothing measures: %s", (text, permitted) => {
    const faults = (() => {
      try {
        sizingSpace(rangeQuestion(text));
        return [];
      } catch (error) {
        if (!(error instanceof InvalidInputError)) throw error;
        return error.faults;
      }
    })();
    expect(faults.map(({ path }) => path)).toEqual(["require[0]"]);
    expect(faults[0]!.permitted).toContain(permitted);
  });
});
