// Falsified by: a figure that reads differently as text with its unit and as SI number, a computed
// double that is taken for a typed figure or the reverse, or a budget that calls guaranteed what
// rests on one.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { readDesign } from "../../../../lib/design/read-design.ts";
import { quantitiesOf } from "../../../../lib/design/quantities.ts";
import { Decimal } from "../../../../lib/quantity/decimal.ts";
import {
  budgetAt,
  EXAMPLES,
  exampleDesign,
  exampleDocument,
} from "../../../support/example-designs.ts";
import type { Document } from "../../../support/document-faults.ts";

/** A figure of the document, where it is reported, and one unit of its text in SI. */
interface Figure {
  readonly path: string;
  readonly set: (document: Document, value: string | number) => void;
  readonly unit: string;
  /** Power of ten that the unit stands for. */
  readonly scale: number;
  /** Digits that are allowed before the scale; the document stays valid. */
  readonly from: number;
  readonly to: number;
}

const FIGURES: readonly Figure[] = [
  {
    path: "divider.upper[0].tolerance",
    set: (d, value) => (d.divider.upper[0]!.tolerance = value),
    unit: "%",
    scale: -2,
    from: 1,
    to: 2,
  },
  {
    path: "divider.upper[0].tempco",
    set: (d, value) => (d.divider.upper[0]!.tempco = value),
    unit: "ppm/K",
    scale: -6,
    from: 1,
    to: 90,
  },
  {
    path: "currents[0].limit",
    set: (d, value) => (d.currents![0]!.limit = value),
    unit: "nA",
    scale: -9,
    from: 0,
    to: 1,
  },
  {
    path: "reference.initial",
    set: (d, value) => (d.reference.initial = value),
    unit: "%",
    scale: -2,
    from: 0,
    to: 1,
  },
  {
    path: "buffer.offset",
    set: (d, value) => (d.buffer!.offset = value),
    unit: "mV",
    scale: -3,
    from: 0,
    to: 2,
  },
  {
    path: "timing.latency[1]",
    set: (d, value) => (d.timing!.latency = [0, value]),
    unit: "us",
    scale: -6,
    from: 1,
    to: 900,
  },
  {
    path: "interference.coupling",
    set: (d, value) => (d.interference!.coupling = value),
    unit: "pF",
    scale: -12,
    from: 0,
    to: 1,
  },
];

/** A figure and digits for it: at most five, so that a person may have typed it. */
const typed = fc
  .tuple(fc.constantFrom(...FIGURES), fc.integer({ min: 0, max: 9_999 }))
  .map(([figure, share]) => {
    const digits = Decimal.ofInteger(figure.from).add(
      Decimal.ofScaled(BigInt(share) * BigInt(figure.to - figure.from), -4),
    );
    return { figure, digits };
  });

function readWith(figure: Figure, value: string | number) {
  const document = exampleDocument("02-two-point");
  figure.set(document, value);
  return readDesign(document);
}

/** Limits of every quantity, as text. */
function limitsOf(design: ReturnType<typeof readDesign>): string {
  return quantitiesOf(design)
    .map(({ name, lower, upper }) => `${name} ${lower.toString()} ${upper.toString()}`)
    .join("\n");
}

describe("a figure", () => {
  test("is the same, exactly, as text with its unit and as a number in SI", () => {
    fc.assert(
      fc.property(typed, ({ figure, digits }) => {
        const asText = readWith(figure, `${digits.toString()} ${figure.unit}`);
        const si = digits.multiply(Decimal.ofScaled(1n, figure.scale));
        const asNumber = readWith(figure, si.toNumber());
        expect(limitsOf(asNumber)).toBe(limitsOf(asText));
        expect(asText.inexactFigures).toEqual([]);
        expect(asNumber.inexactFigures).toEqual([]);
      }),
      { numRuns: 150, seed: 20_260_181 },
    );
  });

  test("from a computed double is marked by its place, alone or among others", () => {
    fc.assert(
      fc.property(fc.subarray([...FIGURES], { minLength: 1 }), (figures) => {
        const document = exampleDocument("02-two-point");
        for (const figure of figures) {
          // 0.1 * 3 is 0.30000000000000004: no person writes that.
          const value = 0.1 * 3 * 10 ** figure.scale * Math.max(figure.from, 1);
          expect(String(value).replace(/e.*|[^\d]/g, "").length).toBeGreaterThan(15);
          figure.set(document, value);
        }
        const design = readDesign(document);
        expect([...design.inexactFigures].sort()).toEqual(figures.map(({ path }) => path).sort());
      }),
      { numRuns: 60, seed: 20_260_182 },
    );
  });

  test("is read whatever the spelling of its unit, with the same limits", () => {
    const spellings = [
      [
        "divider.upper[0].tempco",
        ["50 ppm/K", "50ppm/K", "0.005 %/K", "0.00005 1/K", "50 ppm/degC"],
      ],
      ["currents[0].limit", ["0.4 nA", "400 pA", "0.0004 uA", "4e-10 A", "+/-0.4 nA"]],
      ["buffer.offset", ["0.5 mV", "500 uV", "0.0005 V", "500 \u00b5V"]],
    ] as const;
    for (const [path, texts] of spellings) {
      const figure = FIGURES.find((entry) => entry.path === path)!;
      const limits = texts.map((text) => limitsOf(readWith(figure, text)));
      expect(new Set(limits).size).toBe(1);
    }
  });
});

describe("a budget", () => {
  test("that rests on a computed double guarantees nothing, and says which figure it was", () => {
    const document = exampleDocument("01-no-adjustment");
    document.reference.initial = (0.1 * 3) / 300;
    const { rows, assumptions } = budgetAt(readDesign(document), ["34", "-60"]);
    expect(rows.map(({ guaranteed }) => guaranteed)).toEqual([false, false]);
    expect(assumptions.join("\n")).toMatch(/Estimated, not guaranteed: reference\.initial /);
  });

  test.each(EXAMPLES)("of %s, whose figures are typed, is guaranteed", (example) => {
    const design = exampleDesign(example, (document) => {
      document.requirements = [];
    });
    const { rows, assumptions } = budgetAt(design, ["34"]);
    expect(rows.map(({ guaranteed }) => guaranteed)).toEqual([true]);
    expect(assumptions.join("\n")).not.toMatch(/Estimated/);
  });

  test("names every part whose figures are no guaranteed limits, and no other", () => {
    const design = exampleDesign("02-two-point", (document) => {
      document.requirements = [];
      document.reference.basis = "typical";
      document.adc.basis = "measured";
    });
    const { conditionalOn } = budgetAt(design, ["34"]);
    const parts = conditionalOn.map((line) => line.split(":")[0]).sort();
    expect(new Set(parts)).toEqual(
      new Set(["adc", "board.acrossUpper", "board.nodeToGround", "interference", "reference"]),
    );
    expect(conditionalOn.join("\n")).toMatch(/reference: typical figures/);
    expect(conditionalOn.join("\n")).toMatch(/adc: measured figures/);
  });
});
