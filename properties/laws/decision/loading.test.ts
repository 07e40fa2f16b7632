// Falsified by: a product and a tester inside their limits whose loading leaves the enclosed factor,
// a correction that the simulation in time contradicts, or a verdict on the impedance of the pins
// that a value inside the limits contradicts.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { loadingFactor } from "../../../lib/circuit/discharge.ts";
import { loadingCorrection, smallestCapacitance } from "../../../lib/decision/loading.ts";
import {
  dividerPart,
  isReferenceLoad,
  meetsInstrumentDemand,
  openContactVoltage,
  pinImpedance,
} from "../../../lib/decision/pin-impedance.ts";
import { readPinParts } from "../../../lib/decision/read-pin-parts.ts";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { simulate } from "../../../sim/index.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import { AT_CREST, passive, TWO_POINT } from "../sim/scenarios.ts";

const exactly = (value: number) => ({ lower: value, upper: value });
const HUNDRED_MOHM = { resistance: exactly(100e6), capacitance: exactly(0) };
const LABORATORY = {
  leastResistance: 100e6,
  greatestCapacitance: 25e-12,
  words: "",
  source: "DSH 716",
  status: "confirmed",
} as const;
const LOAD = {
  resistance: { lower: 95e6, nominal: 100e6, upper: 105e6 },
  capacitance: { lower: 15e-12, nominal: 20e-12, upper: 25e-12 },
};

describe("the loading correction", () => {
  test.each([
    [1, 0.904837],
    [2, 0.818731],
    [5, 0.606531],
  ])("at 0.1 uF and 100 Mohm after %d s undoes a fall to %d", (duration, left) => {
    const product = { capacitance: exactly(0.1e-6) };
    const { applied, relativeUncertainty } = loadingCorrection(duration, product, {
      tester: HUNDRED_MOHM,
    });
    expect(1 / applied).toBeCloseTo(left, 6);
    expect(relativeUncertainty).toBeLessThan(1e-12);
  });

  const picofarads = (min: number, max: number) => fc.integer({ min, max }).map((pF) => pF * 1e-12);
  const megohms = fc.integer({ min: 5, max: 2000 }).map((tenths) => tenths * 1e5);
  const range = (values: fc.Arbitrary<number>) =>
    fc.tuple(values, values).map(([a, b]) => ({ lower: Math.min(a, b), upper: Math.max(a, b) }));
  const load = fc.record({ resistance: range(megohms), capacitance: range(picofarads(0, 300)) });
  const share = fc.integer({ min: 0, max: 1000 }).map((thousandths) => thousandths / 1000);
  const inside = ({ lower, upper }: { lower: number; upper: number }, at: number): number =>
    Math.min(upper, Math.max(lower, lower + at * (upper - lower)));

  test("encloses every product and load inside the limits, with and without a reference", () => {
    fc.assert(
      fc.property(
        range(picofarads(1_000, 1_000_000)),
        load,
        load,
        fc.integer({ min: 50, max: 5_000 }).map((ms) => ms / 1000),
        fc.integer({ min: 100, max: 3_000 }).map((ms) => ms / 1000),
        fc.array(share, { minLength: 6, maxLength: 6 }),
        (capacitance, tester, reference, duration, least, at) => {
          const product = { capacitance, leastTimeConstant: least };
          const own = inside(capacitance, at[0]!);
          // A time constant anywhere from the least on; its bleeder follows from the capacitance.
          const timeConstant = least / Math.max(at[1]!, 1e-6);
          const left = ({ resistance, capacitance: added }: typeof tester, r: number, c: number) =>
            loadingFactor({
              duration,
              productCapacitance: own,
              bleederResistance: timeConstant / own,
              inputResistance: inside(resistance, r),
              inputCapacitance: inside(added, c),
            });
          const ofTester = left(tester, at[2]!, at[3]!);
          const alone = loadingCorrection(duration, product, { tester });
          const room = 1e-9;
          expect(1 / ofTester).toBeGreaterThanOrEqual(alone.factor.lower * (1 - room));
          expect(1 / ofTester).toBeLessThanOrEqual(alone.factor.upper * (1 + room));
          const referred = loadingCorrection(duration, product, { tester, reference });
          const factor = left(reference, at[4]!, at[5]!) / ofTester;
          expect(factor).toBeGreaterThanOrEqual(referred.factor.lower * (1 - room));
          expect(factor).toBeLessThanOrEqual(referred.factor.upper * (1 + room));
        },
      ),
      { numRuns: 300 },
    );
  });

  test("is reached at its ends, so that it is no wider than it has to be", () => {
    const product = { capacitance: { lower: 0.1e-6, upper: 0.3e-6 } };
    const { factor } = loadingCorrection(1, product, {
      tester: { resistance: { lower: 90e6, upper: 110e6 }, capacitance: exactly(0) },
    });
    expect(factor.upper).toBeCloseTo(Math.exp(1 / (90e6 * 0.1e-6)), 12);
    expect(factor.lower).toBeCloseTo(Math.exp(1 / (110e6 * 0.3e-6)), 12);
  });

  test("is exactly none where the tester is the reference load", () => {
    const { factor } = loadingCorrection(
      1,
      { capacitance: { lower: 0.1e-6, upper: 0.1e-6 } },
      { tester: HUNDRED_MOHM, reference: HUNDRED_MOHM },
    );
    expect(factor.lower).toBeCloseTo(1, 12);
    expect(factor.upper).toBeCloseTo(1, 12);
  });

  test("stays below 1 % after 1 s from 1 uF on at 100 Mohm", () => {
    const capacitance = smallestCapacitance({ share: 0.01, duration: 1, inputResistance: 100e6 });
    expect(capacitance).toBeCloseTo(0.995e-6, 9);
    const { applied } = loadingCorrection(
      1,
      { capacitance: exactly(capacitance) },
      { tester: HUNDRED_MOHM },
    );
    expect(1 - 1 / applied).toBeCloseTo(0.01, 9);
  });

  test("refuses figures that are none, all at once", () => {
    expect(() =>
      loadingCorrection(
        -1,
        { capacitance: { lower: 0, upper: 1 }, leastTimeConstant: 0 },
        { tester: { resistance: { lower: 0, upper: 1 }, capacitance: { lower: -1, upper: 1 } } },
      ),
    ).toThrow(/5 faults/);
    expect(() => smallestCapacitance({ share: 1, duration: 1, inputResistance: 1 })).toThrow(
      OutsideDomainError,
    );
  });
});

describe("loading in the simulation in time", () => {
  /** The simulated tester's divider between the pins is nominal: no quantity is moved. */
  const { upper, lower } = TWO_POINT.divider;
  const inputResistance = [...upper, ...lower].reduce(
    (sum, { count, resistance }) => sum + count * resistance.toNumber(),
    0,
  );

  test.each([
    [0.1e-6, 4.35e6, 0],
    [0.1e-6, 4.35e6, 25e-12],
    [0.22e-6, 1.9e6, 100e-12],
    [1e-6, 0.4e6, 25e-12],
  ])(
    "%d F with %d ohm and %d F of leads: corrected, the pins show the product alone",
    (c, r, leads) => {
      const simulation = simulate({
        ...AT_CREST,
        product: passive(r, c),
        tester: { ...AT_CREST.tester, inputCapacitance: leads },
      });
      const opening = simulation.lastOpening ?? Number.NaN;
      const initial = simulation.voltageAt(["L", "N"], opening);
      const loaded = simulation.voltageAt(["L", "N"], opening + 1);
      const { factor } = loadingCorrection(
        1,
        { capacitance: exactly(c), leastTimeConstant: r * c },
        { tester: { resistance: exactly(inputResistance), capacitance: exactly(leads) } },
      );
      const alone = initial * Math.exp(-1 / (r * c));
      // The divider returns to a bias, which the discharge ends at a little beside zero.
      expect(alone / loaded).toBeGreaterThan(factor.lower * 0.995);
      expect(alone / loaded).toBeLessThan(factor.upper * 1.005);
    },
  );
});

describe("the impedance between the pins", () => {
  const parts = (leadFarad: number) =>
    pinImpedance([
      { name: "divider", resistance: { lower: 101e6, upper: 103e6 } },
      { name: "lead", capacitance: exactly(leadFarad) },
      { name: "socket", resistance: { lower: 1e12, upper: Infinity } },
    ]);

  test("is that of all parts in parallel", () => {
    const { resistance, capacitance } = parts(20e-12);
    expect(resistance.lower).toBeCloseTo(1 / (1 / 101e6 + 1e-12), 0);
    expect(resistance.upper).toBeCloseTo(103e6, 0);
    expect(capacitance.lower).toBeCloseTo(20e-12, 24);
    expect(capacitance.upper).toBeCloseTo(20e-12, 24);
  });

  test("the two demands of laboratories and of IEC 60950-1 are held apart", () => {
    expect(meetsInstrumentDemand(parts(20e-12), LABORATORY)).toBe("holds");
    expect(isReferenceLoad(parts(20e-12), LOAD)).toBe("holds");
    // Less capacitance is better for the one and wrong for the other.
    expect(meetsInstrumentDemand(parts(5e-12), LABORATORY)).toBe("holds");
    expect(isReferenceLoad(parts(5e-12), LOAD)).toBe("doesNotHold");
    // One metre of lead is far too much for both.
    expect(meetsInstrumentDemand(parts(100e-12), LABORATORY)).toBe("doesNotHold");
    const wide = pinImpedance([{ name: "divider", resistance: { lower: 99e6, upper: 101e6 } }]);
    expect(meetsInstrumentDemand(wide, LABORATORY)).toBe("notProven");
  });

  test("of a design's divider contains the plain sum of its resistors, and little more", () => {
    for (const example of ["01-no-adjustment", "02-two-point", "03-good-at-34-volts"] as const) {
      const design = exampleDesign(example);
      const { upper, lower } = design.divider;
      const sum = [...upper, ...lower].reduce(
        (total, { count, resistance }) => total + count * resistance.toNumber(),
        0,
      );
      const { resistance } = pinImpedance([dividerPart(design)]);
      expect(resistance.lower).toBeLessThan(sum);
      expect(resistance.upper).toBeGreaterThan(sum);
      expect(resistance.upper / resistance.lower).toBeLessThan(1.1);
    }
  });

  test("two open poles of 1.5 pF put 9.5 V of a 230 V mains' crest on 25 pF", () => {
    const open = { mains: 230 * Math.SQRT2, poleCapacitance: 1.5e-12, inputCapacitance: 25e-12 };
    expect(openContactVoltage(open)).toBeCloseTo(9.47, 2);
  });

  test("is read from a document, with every fault of it", () => {
    const read = readPinParts({
      parts: [
        { name: "lead", resistance: ["1 Tohm", "10 Tohm"], capacitance: "100 pF" },
        { name: "varistor", resistance: "10 Gohm" },
      ],
    });
    expect(pinImpedance(read).capacitance.lower).toBeCloseTo(100e-12, 15);
    expect(() =>
      readPinParts({
        parts: [
          { name: "lead", resistance: ["2 Mohm", "1 Mohm"] },
          { name: "socket", capacitance: "3 V" },
        ],
      }),
    ).toThrow(/2 faults/);
    expect(() => readPinParts({ parts: [] })).toThrow(InvalidInputError);
    expect(() => readPinParts({ parts: [{ name: "lead", length: 1 }] })).toThrow(InvalidInputError);
    expect(() => pinImpedance([{ name: "lead", capacitance: exactly(1e-12) }])).toThrow(
      "at least one part with a resistance",
    );
  });
});
