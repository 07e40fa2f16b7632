// Falsified by: a hill-climb or an evolution that passes a proven figure, or a best of both that
// stays farther from it than the stated gap although it may start where the witness stands.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { gapOf } from "../../../lib/guarantee/bracket.ts";
import { ErrorBrackets } from "../../../lib/guarantee/error-brackets.ts";
import { evolve, hillClimb } from "../../support/adversary.ts";
import { EXAMPLES, exampleDesign } from "../../support/example-designs.ts";
import { SeededRandom } from "../../support/seeded-random.ts";

/** How near an adversary that knows nothing comes: codes of adjustment readings are hard to place. */
const UNAIDED = { none: 0.97, gain: 0.8, twoPoint: 0.8 } as const;

describe.each(EXAMPLES)("in a band of %s", (example) => {
  const design = exampleDesign(example);
  const model = measurementModel(design);
  const brackets = new ErrorBrackets(model);
  const shown = new PlainEvaluator(compileTape([model.shown], brackets.domain.names));

  test.each([-230, 34, 126.3])("at %d V no adversary passes the bracket", (voltage) => {
    const half = design.adc.bits < 10 ? 1.9 : 0.47;
    const band = { lower: voltage - half, upper: voltage + half };
    const bracket = brackets.bracket(band);
    const box = brackets.domain.box(band);
    const random = new SeededRandom(Math.round(voltage));
    for (const [side, sign] of [
      ["high", 1],
      ["low", -1],
    ] as const) {
      const target = { ...box, value: (point: Float64Array) => sign * shown.evaluate(point) };
      const { proven, witness } = bracket[side];
      const evolved = evolve(target, random, { population: 40, generations: 120 });
      const unaided = [
        evolved.value,
        hillClimb(target, random, { start: evolved.point, steps: 8_000 }).value,
        ...[0, 1, 2].map(() => hillClimb(target, random, { steps: 8_000 }).value),
      ];
      const aided = hillClimb(target, random, { start: witness, steps: 8_000 }).value;
      for (const value of [...unaided, aided]) expect(value).toBeLessThanOrEqual(sign * proven);
      const gap = gapOf(bracket[side]);
      expect(aided).toBeGreaterThanOrEqual(sign * proven * (1 - gap) - 1e-9);
      expect(Math.max(...unaided)).toBeGreaterThan(sign * proven * UNAIDED[design.adjustment.kind]);
    }
  });
});
