// Falsified by: a voltage beyond the line that a unit inside its limits indicates below the proven
// acceptance limit, one up to the line that it indicates above the rejection limit, or a voltage
// called surely accepted that is not.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import { highestIndication, indicationLimits } from "../../../lib/decision/indication-limits.ts";
import { OutsideDomainError } from "../../../lib/errors.ts";
import { ErrorBrackets } from "../../../lib/guarantee/error-brackets.ts";
import { hillClimb } from "../../support/adversary.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import { SeededRandom } from "../../support/seeded-random.ts";

const GOOD = exampleDesign("03-good-at-34-volts");

describe.each(["02-two-point", "03-good-at-34-volts", "04-percent-of-range"] as const)(
  "%s: attacked through the real roundings",
  (example) => {
    const brackets = new ErrorBrackets(measurementModel(exampleDesign(example)));
    const random = new SeededRandom(7);
    /** The largest value an adversary reaches with true voltages between two magnitudes. */
    const attack = (from: number, to: number, sign: 1 | -1, polarity: 1 | -1): number => {
      const [one, other] = [polarity * from, polarity * to];
      const box = brackets.domain.box({ lower: Math.min(one, other), upper: Math.max(one, other) });
      const value = (point: Float64Array): number => {
        const moved = point.slice();
        brackets.domain.moveInside(moved);
        return sign * polarity * (moved[0]! + brackets.shown.error(moved));
      };
      return hillClimb({ ...box, value }, random, { steps: 4000 }).value;
    };

    test.each([1, -1] as const)(
      "no indication contradicts the limits at 34 V, polarity %d",
      (side) => {
        const limits = indicationLimits(brackets, 34, side);
        const lowest = -attack(34, 60, -1, side);
        expect(lowest).toBeGreaterThanOrEqual(limits.acceptBelow);
        expect(limits.acceptWitness).toBeGreaterThanOrEqual(limits.acceptBelow);
        const highest = attack(0, 34, 1, side);
        expect(highest).toBeLessThanOrEqual(highestIndication(brackets, 34, side));
        const accepted = attack(0, limits.surelyAcceptedUpTo, 1, side);
        expect(accepted).toBeLessThan(limits.acceptBelow);
        // The limits are not idle: the adversary comes near them.
        const width = 34 - limits.acceptBelow;
        expect(lowest - limits.acceptBelow).toBeLessThan(0.5 * width);
      },
    );
  },
);

test("lines outside the range are refused", () => {
  const brackets = new ErrorBrackets(measurementModel(GOOD));
  expect(() => indicationLimits(brackets, 500, 1)).toThrow(OutsideDomainError);
  expect(() => highestIndication(brackets, 0, -1)).toThrow(OutsideDomainError);
});
