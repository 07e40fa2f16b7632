// Falsified by: the figures of a calibrated unit that do not follow its certificate, a use that does
// not add what it states, a fault of the document that is not told.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import { readDesign } from "../../../lib/design/read-design.ts";
import { errorModel } from "../../../lib/uncertainty/error-model.ts";
import type { Particulars } from "../../../lib/uncertainty/particulars.ts";
import { readParticulars } from "../../../lib/uncertainty/read-particulars.ts";
import { uncertaintyAlong } from "../../../lib/uncertainty/uncertainty-along.ts";

const folder = new URL("../../../examples/03-good-at-34-volts/", import.meta.url);
const jsonOf = (name: string): unknown => JSON.parse(readFileSync(new URL(name, folder), "utf8"));
const model = measurementModel(readDesign(jsonOf("design.json")));
const document = jsonOf("particulars.json") as Record<string, Record<string, unknown>>;

function figuresAt(voltage: number, particulars: Particulars = {}) {
  const swept = errorModel(model, particulars);
  const [found] = uncertaintyAlong(swept, [swept.parametersAt(voltage)], { trials: 20_000 });
  return found!.propagated;
}

describe("one equation, three subjects", () => {
  const { certificate } = readParticulars(document, "unit");
  const without = { ...certificate!, points: certificate!.points.map((p) => ({ ...p })) };

  test("a certificate replaces the production spread and moves the estimate by its errors", () => {
    const shifted = {
      ...without,
      points: without.points.map((point) => ({ ...point, error: point.error + 1 })),
    };
    const one = figuresAt(34, { certificate: without });
    const other = figuresAt(34, { certificate: shifted });
    expect(other.estimate - one.estimate).toBeCloseTo(1, 9);
    expect(other.combinedStandardUncertainty).toBeCloseTo(one.combinedStandardUncertainty, 12);
    expect(one.combinedStandardUncertainty).toBeLessThan(figuresAt(34).combinedStandardUncertainty);
  });

  test("its uncertainty adds in squares, along straight lines between the points", () => {
    const sure = {
      ...without,
      points: without.points.map((point) => ({ ...point, expandedUncertainty: 0 })),
    };
    // 40 V lies half way between 20 V with 0.02 V and 60 V with 0.025 V, for k = 2.
    const [with_, zero] = [without, sure].map((certificate) => figuresAt(40, { certificate }));
    const added = with_!.combinedStandardUncertainty ** 2 - zero!.combinedStandardUncertainty ** 2;
    expect(Math.sqrt(added)).toBeCloseTo(0.0225 / 2, 9);
  });

  test("a voltage beyond the points is refused", () => {
    expect(() => errorModel(model, { certificate: without }).parametersAt(19.9)).toThrow(
      "inside the points of the certificate, 20 V to 400 V, received 19.9 V",
    );
  });

  test("a use adds scatter and loading, and its temperature narrows what is left", () => {
    const plain = figuresAt(34).combinedStandardUncertainty;
    const readings = [33, 33.2, 33.1, 32.9];
    const scatter = figuresAt(34, { use: { readings } });
    // s = 0.129099 V of four readings, by hand.
    const expected = Math.hypot(plain, 0.1290994449 / 2);
    expect(scatter.combinedStandardUncertainty).toBeCloseTo(expected, 9);
    expect(scatter.effectiveDegreesOfFreedom).toBeLessThan(100);
    const loading = { correction: 0.01, standardUncertainty: 0.002, isApplied: false };
    const loaded = figuresAt(34, { use: { loading } });
    expect(loaded.estimate - figuresAt(34).estimate).toBeCloseTo(-0.34, 9);
    expect(loaded.combinedStandardUncertainty).toBeCloseTo(Math.hypot(plain, 0.068), 9);
    const applied = figuresAt(34, { use: { loading: { ...loading, isApplied: true } } });
    expect(applied.estimate).toBeCloseTo(figuresAt(34).estimate, 9);
    const cool = figuresAt(34, { use: { ambientCelsius: { lower: 23, upper: 23 } } });
    expect(cool.combinedStandardUncertainty).toBeLessThan(plain);
  });
});

describe("the document", () => {
  test("tells every fault of its values at once", () => {
    const wrong = {
      format: "plumbvolt.particulars/1",
      certificate: {
        document: "x",
        ambient: "23 V",
        coverageFactor: 0,
        degreesOfFreedom: 0.5,
        points: [
          { voltage: "60 V", error: "1 ohm", expandedUncertainty: "-1 V" },
          { voltage: "20 V", error: "0 V", expandedUncertainty: "1 V" },
        ],
      },
    };
    let message = "";
    try {
      readParticulars(wrong, "result");
    } catch (error) {
      message = String(error);
    }
    for (const path of [
      "certificate.ambient",
      "certificate.coverageFactor",
      "certificate.degreesOfFreedom",
      "certificate.points[0].error",
      "certificate.points[0].expandedUncertainty",
      "certificate.points[1].voltage",
      "(use)",
    ])
      expect(message).toContain(path);
  });

  test("tells a shape that is wrong, and a certificate that is missing", () => {
    expect(() => readParticulars({ format: "x", more: 1 }, "unit")).toThrow(/format[\s\S]*more/);
    expect(() => readParticulars({ format: "plumbvolt.particulars/1" }, "unit")).toThrow(
      "given for the budget of a unit",
    );
  });
});
