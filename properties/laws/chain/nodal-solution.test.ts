// Falsified by: a point inside the limits at which Kirchhoff's law, solved by a second model that
// shares no line with the first, gives another code, or one that the enclosure of the solved
// voltage coefficients does not hold.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import type { Occasion } from "../../../lib/design/quantity.ts";
import type { Design } from "../../../lib/design/design.ts";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { Domain } from "../../../lib/guarantee/domain.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import type { Editable } from "../../support/example-designs.ts";
import type { DesignDocument } from "../../../lib/design/document-schema.ts";
import { nodalCode } from "../../support/nodal-chain.ts";
import { SeededRandom } from "../../support/seeded-random.ts";

/** Without timing and filter, so that the voltage at the pins is the one sampled. */
function settled(document: Editable<DesignDocument>): void {
  delete document.timing;
  delete document.filter;
}

const DESIGNS: readonly (readonly [string, Design])[] = [
  ["a plain chain", exampleDesign("01-no-adjustment", settled)],
  ["a chain adjusted at two points", exampleDesign("02-two-point", settled)],
  ["eight bits", exampleDesign("04-percent-of-range", settled)],
  [
    "a network, two upper groups, a separate bias and a supply leak",
    exampleDesign("01-no-adjustment", (document) => {
      settled(document);
      const { divider, board, adc, buffer } = document;
      const [upper] = divider.upper;
      divider.networks = { net: { tolerance: "0.2 %", tempco: "10 ppm/K" } };
      divider.upper = [
        { ...upper!, name: "long", count: 6, network: "net" },
        { ...upper!, name: "short", count: 4, tolerance: "0.5 %", network: "net" },
      ];
      divider.bias = {
        source: "separate",
        voltage: "1.25 V",
        tolerance: "0.2 %",
        tempco: "20 ppm/K",
        rise: ["1 K", "2 K"],
      };
      board!.nodeToSupply = "200 Gohm";
      adc.offsetTempco = "0.01 LSB/K";
      adc.gainTempco = "5 ppm/K";
      adc.memory = "0.01 %";
      buffer!.gainTempco = "2 ppm/K";
      buffer!.crossoverStep = "0.2 mV";
    }),
  ],
  [
    "no buffer and a sampling capacitor on the node",
    exampleDesign("01-no-adjustment", (document) => {
      delete document.buffer;
      delete document.filter;
      document.adc.sampling = { capacitance: "5 pF", tolerance: "20 %", startsFrom: "0.5" };
    }),
  ],
];

describe.each(DESIGNS)("%s", (name, design) => {
  const model = measurementModel(design);
  const domain = new Domain(model);
  const shares = domain.names.filter((symbol) => symbol.includes("_voltageShare_"));

  /** The model's code of a reading with every share at `place` of its limits, -1 to 1. */
  function codeWithShares(point: Float64Array, code: PlainEvaluator, place: number): number {
    const moved = point.slice();
    for (const share of shares) {
      const slot = domain.slotOf.get(share)!;
      moved[slot] = place * domain.whole().upper[slot]!;
    }
    return code.evaluate(moved);
  }

  test("has at every point the code of a nodal solution, voltage coefficients included", () => {
    const random = new SeededRandom(name.length);
    const box = domain.whole();
    for (const occasion of Object.keys(model.codes) as Occasion[]) {
      const code = new PlainEvaluator(compileTape([model.codes[occasion]!], domain.names));
      for (let count = 0; count < 40; count += 1) {
        const vertex = random.below(2) === 0;
        const point = box.lower.map((low, slot) => {
          const high = box.upper[slot]!;
          const place = vertex ? random.below(2) : random.unit();
          return low + place * (high - low);
        });
        // Every quantity that does nothing at a voltage of zero: no time passes.
        const values = new Map(domain.names.map((symbol, slot) => [symbol, point[slot]!]));
        for (const symbol of values.keys())
          if (/^(?:decay_share|window_curvature)/.test(symbol)) {
            values.set(symbol, 0);
            point[domain.slotOf.get(symbol)!] = 0;
          }
        const { adjustment } = design;
        const input =
          occasion === "use" || adjustment.kind !== "twoPoint"
            ? point[0]!
            : values.get(`applied_${occasion}`)! +
              (occasion === "adjustLow" ? adjustment.low : adjustment.high).voltage.toNumber();
        const expected = nodalCode({ design, occasion, input, values });
        const ends = [-1, 1].map((place) => codeWithShares(point, code, place));
        const room = 1e-8;
        expect(expected).toBeGreaterThanOrEqual(Math.min(...ends) - room);
        expect(expected).toBeLessThanOrEqual(Math.max(...ends) + room);
        // The enclosure is no excuse: it is far below any code.
        expect(Math.abs(ends[1]! - ends[0]!)).toBeLessThan(0.02);
      }
    }
  });
});

describe("a voltage coefficient of the lower leg", () => {
  const design = exampleDesign("01-no-adjustment", (document) => {
    settled(document);
    document.divider.lower[0]!.voltageCoefficient = { lower: "-50 ppm/V", upper: "20 ppm/V" };
  });
  const model = measurementModel(design);
  const domain = new Domain(model);

  test("gives a code inside those of the quantity that stands for its effect", () => {
    const effect = domain.slotOf.get("lower1_voltageEffect_use")!;
    const box = domain.whole();
    const code = new PlainEvaluator(compileTape([model.codes.use!], domain.names));
    const random = new SeededRandom(7);
    for (let count = 0; count < 100; count += 1) {
      const point = box.lower.map((low, slot) => low + random.unit() * (box.upper[slot]! - low));
      const values = new Map(domain.names.map((symbol, slot) => [symbol, point[slot]!]));
      const coefficient = [-50e-6, 20e-6, -20e-6][random.below(3)]!;
      const lower = new Map([["lower1", coefficient]]);
      const expected = nodalCode({ design, occasion: "use", input: point[0]!, values }, lower);
      const ends = [box.lower[effect]!, box.upper[effect]!].map((value) => {
        point[effect] = value;
        return code.evaluate(point);
      });
      expect(expected).toBeGreaterThanOrEqual(Math.min(...ends) - 1e-6);
      expect(expected).toBeLessThanOrEqual(Math.max(...ends) + 1e-6);
    }
  });
});
