// Defects that were found once, each with its smallest case. Falsified by any of them coming back.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import { quantitiesOf } from "../../../lib/design/quantities.ts";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import { toInfix } from "../../../lib/expression/infix.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { Domain } from "../../../lib/guarantee/domain.ts";
import { checkCodesInside } from "../../../lib/guarantee/range-check.ts";
import { sampledMean } from "../../support/decaying-product.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import { nodalCode } from "../../support/nodal-chain.ts";

describe("voltage coefficients", () => {
  test("24. a small group beside a large one: its share of the voltage is inside its limits", () => {
    // Nine parts of 10 Mohm lose 0.24 % each; the 1 Mohm part beside them then carries 0.24 % more
    // of the voltage, its own limit being computed from its own small share.
    const design = exampleDesign("01-no-adjustment", (document) => {
      delete document.timing;
      delete document.filter;
      document.requirements = [];
      const [part] = document.divider.upper;
      const common = {
        tolerance: "0.1 %",
        tempco: "10 ppm/K",
        voltageCoefficient: { lower: "-50 ppm/V", upper: "0 ppm/V" },
      };
      document.divider.upper = [
        { ...part!, ...common, name: "long", count: 10 },
        { ...part!, ...common, name: "short", count: 1, resistance: "1 Mohm" },
      ];
    });
    const limit = quantitiesOf(design).find(({ name }) => name === "short_voltageShare_use")!;
    // The exact solution for the nominal parts with the full coefficient, at 440 V.
    const solved = (cold: number, current: number) => cold / (1 + 50e-6 * current * cold);
    let current = 440 / 101e6;
    for (let step = 0; step < 100; step += 1)
      current = 440 / (10 * solved(10e6, current) + solved(1e6, current));
    const share = (current * solved(1e6, current)) / (440 / 101);
    expect(share - 1).toBeLessThanOrEqual(limit.upper.toNumber());
  });

  test("25. an attenuating buffer: the lower leg carries more than the reference voltage", () => {
    const design = exampleDesign("01-no-adjustment", (document) => {
      delete document.timing;
      delete document.filter;
      document.requirements = [];
      document.buffer!.gain = 0.25;
      const { divider } = document;
      divider.lower[0]!.resistance = "1050 kohm";
      divider.lower[0]!.voltageCoefficient = { lower: "-50 ppm/V", upper: "0 ppm/V" };
      divider.bias = { source: "reference", ratio: 2, tolerance: "0.1 %" };
    });
    const model = measurementModel(design);
    const domain = new Domain(model);
    const point = domain.nominalAt(440);
    const values = new Map(domain.names.map((name, slot) => [name, point[slot]!]));
    const lower = new Map([["lower1", -50e-6]]);
    const expected = nodalCode({ design, occasion: "use", input: 440, values }, lower);
    const code = new PlainEvaluator(compileTape([model.codes.use!], domain.names));
    const box = domain.whole();
    const slot = domain.slotOf.get("lower1_voltageEffect_use")!;
    const ends = [box.lower[slot]!, box.upper[slot]!].map((value) => {
      point[slot] = value;
      return code.evaluate(point);
    });
    expect(expected).toBeGreaterThanOrEqual(Math.min(...ends));
    expect(expected).toBeLessThanOrEqual(Math.max(...ends));
  });
});

describe("the swing of the buffer", () => {
  test("27. is checked with every part inside its limits, as the codes are", () => {
    // Nominal output at -440 V is 0.1013 V; inside the limits it goes down to 0.078 V, where the
    // output no longer follows: the document is read and its figures are called proven.
    const design = exampleDesign("01-no-adjustment", (document) => {
      document.requirements = [];
      document.buffer!.swing = ["0.101 V", "4.6 V"];
    });
    const model = measurementModel(design);
    const domain = new Domain(model);
    const checked = (): void => checkCodesInside(model, domain);
    const box = domain.whole();
    const code = new PlainEvaluator(compileTape([model.codes.use!], domain.names));
    const gradient = new Float64Array(domain.names.length);
    const lowest = domain.nominalAt(-440);
    code.evaluate(lowest);
    code.gradient(0, gradient);
    for (const [slot, name] of domain.names.entries()) {
      // Only what acts before the output of the buffer.
      if (/^(?:adc|noise)/.test(name)) continue;
      lowest[slot] = gradient[slot]! > 0 ? box.lower[slot]! : box.upper[slot]!;
    }
    const volts = (code.evaluate(lowest) / 1024) * 2.5;
    expect(volts).toBeLessThan(0.099);
    expect(checked).toThrow();
  });
});

describe("a filter and a late reading together", () => {
  test("26. a mixture of time constants reads no higher than the model allows (4e-5 of it)", () => {
    // One share serves the lag and the lateness, so that the two cancel in the model; for a sum of
    // exponentials the lag of the fast part and the lateness of the slow part do not.
    const design = exampleDesign("01-no-adjustment", (document) => {
      document.requirements = [];
      document.filter!.timeConstant = "7.8 ms";
      document.filter!.tolerance = 0;
      document.timing!.latency = ["0 ms", "50 ms"];
      delete document.timing!.window;
    });
    const product = { weights: [0.5273358733, 0.4726641267], rates: [0, 6.4875692138] };
    const rise = product.weights[0]! + product.weights[1]! * Math.exp(product.rates[1]!);
    const voltage = (277 * 1.1 * Math.SQRT2) / rise;
    const lag = 0.0078;
    const late = 0.00799;
    const mean = voltage * sampledMean({ ...product, rise }, { late, window: 0, lag });
    const model = measurementModel(design);
    const domain = new Domain(model);
    const sampled = parseInfix({
      infix: "sampled_use",
      definitions: toInfix(model.shown).definitions,
    });
    const evaluator = new PlainEvaluator(compileTape([sampled], domain.names));
    const point = domain.nominalAt(voltage);
    point[domain.slotOf.get("latency_use")!] = late;
    point[domain.slotOf.get("mixture_use")!] = 1;
    point[domain.slotOf.get("grid_use")!] = 0;
    point[domain.slotOf.get("clock_tolerance")!] = 0;
    let most = -Infinity;
    for (let step = 0; step <= 100; step += 1) {
      point[domain.slotOf.get("decay_share_use")!] = step / 100;
      most = Math.max(most, evaluator.evaluate(point));
    }
    expect(mean).toBeLessThanOrEqual(most);
  });
});
