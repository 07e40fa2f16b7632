// Falsified by: a point at which the form written for proofs differs from the bounded equation
// modulo 2^61 - 1, a real rounding outside the limits of the quantity that stands for it, or a
// declared quantity that changes nothing.
import { describe, expect, test } from "vitest";
import {
  CODE,
  measurementModel,
  roundingQuantities,
} from "../../../lib/chain/measurement-model.ts";
import type { MeasurementModel } from "../../../lib/chain/measurement-model.ts";
import type { Design } from "../../../lib/design/design.ts";
import { PlainEvaluator } from "../../../lib/expression/evaluate.ts";
import { evaluateExactly } from "../../../lib/expression/exact.ts";
import { toInfix } from "../../../lib/expression/infix.ts";
import { symbolsOf } from "../../../lib/expression/node.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { Domain } from "../../../lib/guarantee/domain.ts";
import { EXAMPLES, exampleDesign } from "../../support/example-designs.ts";
import { modularValue, PRIME } from "../../support/modular.ts";
import { SeededRandom } from "../../support/seeded-random.ts";

const GAIN_ONLY = {
  kind: "gain",
  at: { voltage: "300 V", appliedError: "60 mV" },
  ambient: ["21 degC", "25 degC"],
  averagedReadings: 16,
  age: "6 months",
} as const;

/** The demo designs and variants that take other ways through the model. */
const DESIGNS: readonly (readonly [string, Design])[] = [
  ...EXAMPLES.map((example) => [example, exampleDesign(example)] as const),
  [
    "gain only, with drift before the adjustment",
    exampleDesign("02-two-point", (document) => {
      document.adjustment = structuredClone(GAIN_ONLY) as unknown as typeof document.adjustment;
    }),
  ],
  [
    "two points, a coarse display and results rounded down",
    exampleDesign("02-two-point", (document) => {
      document.scaling.rounding = "down";
      document.scaling.displayResolution = "0.1 V";
    }),
  ],
  [
    "a network, two upper groups, a supply leak and a clock that drifts",
    exampleDesign("02-two-point", (document) => {
      const { divider, board, timing, adc } = document;
      const [upper] = divider.upper;
      divider.networks = { net: { tolerance: "0.2 %", tempco: "10 ppm/K" } };
      divider.upper = [
        { ...upper!, name: "long", count: 8, network: "net" },
        { ...upper!, name: "short", count: 2 },
      ];
      divider.lower[0]!.network = "net";
      board!.nodeToSupply = "200 Gohm";
      timing!.clockDrift = { limit: "20 ppm", after: "1 year", law: "linear" };
      timing!.jitter = "10 us";
      timing!.window!.position = "trailing";
      adc.memory = "0.01 %";
      adc.offsetTempco = "0.01 LSB/K";
      adc.gainTempco = "5 ppm/K";
    }),
  ],
  [
    "no buffer, a sampling capacitor on the node, no timing window",
    exampleDesign("01-no-adjustment", (document) => {
      delete document.buffer;
      delete document.timing!.window;
      document.adc.sampling = { capacitance: "5 pF", tolerance: "20 %", startsFrom: "0.5" };
    }),
  ],
];

function randomResidues(names: readonly string[], random: SeededRandom): Map<string, bigint> {
  const next = (): bigint => (BigInt(random.bits()) * 2n ** 32n + BigInt(random.bits())) % PRIME;
  return new Map(names.map((name) => [name, next()]));
}

/** The same design and point through `shown`, then through `bounded` with the real roundings. */
function bothForms(model: MeasurementModel, domain: Domain) {
  const named = new Map(
    toInfix(model.shown).definitions.map(({ name }, index, all) => [
      name,
      parseInfix({ infix: name, definitions: all.slice(0, index + 1) }),
    ]),
  );
  const roots = model.quantisers.flatMap(({ shown, argument }) => [
    named.get(shown)!,
    named.get(argument)!,
  ]);
  const shown = new PlainEvaluator(compileTape([model.shown, ...roots], domain.names));
  const bounded = new PlainEvaluator(compileTape([model.bounded], domain.names));
  return (point: Float64Array) => {
    const error = shown.evaluate(point);
    const copy = point.slice();
    const roundings = model.quantisers.map(({ symbol }, index) => {
      const rounding = shown.root(2 * index + 1) - shown.root(2 * index + 2);
      copy[domain.slotOf.get(symbol)!] = rounding;
      return { symbol, rounding };
    });
    return { error, same: bounded.evaluate(copy), roundings };
  };
}

describe.each(DESIGNS)("the model of %s", (name, design) => {
  const model = measurementModel(design);
  const domain = new Domain(model);

  test("is the same, exactly, in the form written for proofs", () => {
    const random = new SeededRandom(name.length);
    const names = [...domain.names];
    for (let count = 0; count < 12; count += 1) {
      const point = randomResidues(names, random);
      expect(modularValue(model.provable, point)).toBe(modularValue(model.bounded, point));
    }
    // Two different equations do differ at such points.
    const point = randomResidues(names, random);
    expect(modularValue(model.shown, point)).not.toBe(modularValue(model.bounded, point));
  });

  test("rounds within the limits of the quantities that stand for the roundings", () => {
    const random = new SeededRandom(name.length + 1);
    const box = domain.whole();
    const limits = new Map(roundingQuantities(model).map((rounding) => [rounding.name, rounding]));
    const forms = bothForms(model, domain);
    for (let count = 0; count < 400; count += 1) {
      const point = box.lower.map((low, slot) => {
        const high = box.upper[slot]!;
        return random.below(3) === 0
          ? random.below(2) === 0
            ? low
            : high
          : low + random.unit() * (high - low);
      });
      const { error, same, roundings } = forms(point);
      expect(Math.abs(error - same)).toBeLessThan(1e-9);
      for (const { symbol, rounding } of roundings) {
        const { lower, upper } = limits.get(symbol)!;
        // A double next to an edge may round either way.
        expect(rounding).toBeGreaterThanOrEqual(lower.toNumber() - 1e-8);
        expect(rounding).toBeLessThanOrEqual(upper.toNumber() + 1e-8);
      }
    }
  });

  test("depends on every quantity that the design declares, and on nothing else", () => {
    const declared = [
      "V",
      ...model.quantities.map((quantity) => quantity.name),
      ...roundingQuantities(model).map((rounding) => rounding.name),
    ].sort();
    expect(new Set(declared).size).toBe(declared.length);
    expect(symbolsOf([model.bounded]).sort()).toEqual(declared);
    const random = new SeededRandom(name.length + 2);
    const point = randomResidues(declared, random);
    const whole = modularValue(model.bounded, point);
    const idle = declared.filter((symbol) => {
      const moved = new Map(point).set(symbol, (point.get(symbol)! + 1n) % PRIME);
      return modularValue(model.bounded, moved) === whole;
    });
    // Two points cancel the converter's offset to nothing, and nothing else but that.
    expect(idle).toEqual(design.adjustment.kind === "twoPoint" ? ["adc_offset"] : []);
    const provable = new Set(symbolsOf([model.provable]));
    expect(declared.filter((symbol) => !provable.has(symbol))).toEqual(idle);
    expect([...provable].filter((symbol) => !declared.includes(symbol))).toEqual([]);
  });

  test("has the same indication by code as through the equation", () => {
    expect(model.indicationOfCode === undefined).toBe(design.adjustment.kind !== "none");
    if (model.indicationOfCode === undefined) return;
    const random = new SeededRandom(name.length + 3);
    const box = domain.whole();
    const code = parseInfix({ infix: "code_use", definitions: toInfix(model.shown).definitions });
    const tape = compileTape([model.indication, code], domain.names);
    const evaluator = new PlainEvaluator(tape);
    for (let count = 0; count < 100; count += 1) {
      const point = box.lower.map((low, slot) => low + random.unit() * (box.upper[slot]! - low));
      const indication = evaluator.evaluate(point);
      const { numerator, denominator } = evaluateExactly(
        model.indicationOfCode,
        new Map([[CODE, { numerator: BigInt(evaluator.root(1)), denominator: 1n }]]),
      );
      expect(Number(numerator) / Number(denominator)).toBeCloseTo(indication, 9);
    }
  });
});
