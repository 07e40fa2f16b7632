// Falsified by: a product whose voltage is a sum of decaying exponentials with positive weights and
// whose sampled mean lies outside what the model allows for the same latency and window.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import { toInfix } from "../../../lib/expression/infix.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { Domain } from "../../../lib/guarantee/domain.ts";
import { randomProduct, sampledMean } from "../../support/decaying-product.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import { SeededRandom } from "../../support/seeded-random.ts";

const POSITIONS = { centred: 0, trailing: -0.5, leading: 0.5 } as const;

/** Crest of 277 V with 10 % more, the highest mains of the demo designs. */
const CREST = 277 * 1.1 * Math.SQRT2;

/** The stated instant of the demo designs is 1 s, so that seconds are stated instants. */
function modelWith(position: keyof typeof POSITIONS, window: number) {
  const design = exampleDesign("01-no-adjustment", (document) => {
    delete document.filter;
    document.timing!.latency = ["-50 ms", "50 ms"];
    document.timing!.window = { duration: `${window} s`, position };
  });
  const model = measurementModel(design);
  const domain = new Domain(model);
  const sampled = parseInfix({
    infix: "sampled_use",
    definitions: toInfix(model.shown).definitions,
  });
  const evaluator = new PlainEvaluator(compileTape([sampled], domain.names));
  const set = (point: Float64Array, name: string, value: number): void => {
    point[domain.slotOf.get(name)!] = value;
  };
  /** Least and greatest sampled voltage at a true voltage and a lateness. */
  const range = (voltage: number, late: number): readonly [number, number] => {
    const point = domain.nominalAt(voltage);
    set(point, "latency_use", late);
    set(point, "grid_use", 0);
    let [low, high] = [Infinity, -Infinity];
    for (let step = 0; step <= 20; step += 1) {
      set(point, "decay_share_use", step / 20);
      for (const curvature of [0, 1]) {
        set(point, "window_curvature_use", curvature);
        const value = evaluator.evaluate(point);
        [low, high] = [Math.min(low, value), Math.max(high, value)];
      }
    }
    return [low, high];
  };
  return { range };
}

describe.each(["centred", "trailing", "leading"] as const)("with a %s window", (position) => {
  test.each([0.000_001, 0.02, 0.05])("of %d s no passive product reads outside", (window) => {
    const random = new SeededRandom(window * 1_000 + position.length);
    const { range } = modelWith(position, window);
    let tightest = 1;
    for (let count = 0; count < 1_500; count += 1) {
      const product = randomProduct(random);
      // The greatest voltage that such a product can have left: the crest was the start.
      const voltage = (CREST / product.rise) * (random.below(4) === 0 ? random.unit() : 1);
      const latency = (random.below(3) - 1) * 0.05 * (random.below(2) === 0 ? random.unit() : 1);
      const middle = latency + POSITIONS[position] * window;
      const mean = voltage * sampledMean(product, { late: middle, window, lag: 0 });
      const [low, high] = range(voltage, latency);
      const room = 1e-12 * voltage;
      expect(mean).toBeGreaterThanOrEqual(low - room);
      expect(mean).toBeLessThanOrEqual(high + room);
      tightest = Math.min(tightest, Math.min(mean - low, high - mean) / voltage);
    }
    // Some product stands close to a bound: the bounds are not idle.
    expect(tightest).toBeLessThan(1e-4);
  });
});

test("a voltage of zero stays zero, and a negative one is the mirror image", () => {
  const { range } = modelWith("centred", 0.02);
  expect(range(0, 0.01).map((value) => value + 0)).toEqual([0, 0]);
  const [low, high] = range(34, 0.01);
  const [lowest, highest] = range(-34, 0.01);
  expect(lowest).toBeCloseTo(-high, 12);
  expect(highest).toBeCloseTo(-low, 12);
});
