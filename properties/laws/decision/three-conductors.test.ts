// Falsified by: two channels inside their limits whose pair errs, through the real roundings, by more
// than is proven; a common voltage that falls otherwise than the simulation in time has it; or equal
// channels whose difference turns a common voltage into an error.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import { atSteadyVoltage } from "../../../lib/decision/check-model.ts";
import { threeConductors } from "../../../lib/decision/three-conductors.ts";
import type { PairError } from "../../../lib/decision/three-conductors.ts";
import { InvalidInputError } from "../../../lib/errors.ts";
import { Domain } from "../../../lib/guarantee/domain.ts";
import { ShownReading } from "../../../lib/guarantee/shown-reading.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { simulate } from "../../../sim/index.ts";
import { hillClimb } from "../../support/adversary.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import { SeededRandom } from "../../support/seeded-random.ts";
import { AT_CREST } from "../sim/scenarios.ts";

const exactly = (value: number) => ({ lower: value, upper: value });
const VOLTAGE = Decimal.parse("34");
const facts = (toEarth: number) => ({
  voltage: VOLTAGE,
  betweenPins: exactly(0.1e-6),
  toEarth: exactly(toEarth),
});

describe("the common voltage", () => {
  // Two dividers of 100 Mohm in parallel put 50 Mohm to earth.
  test.each([
    [150e-12, 0.015],
    [4.7e-9, 0.47],
  ])("with %d F on each pin falls with a time constant of %d s", (toEarth, expected) => {
    const { common, differential } = threeConductors(
      exampleDesign("03-good-at-34-volts"),
      facts(toEarth),
    );
    expect(common.timeConstant.lower).toBeLessThan(expected * 1.01);
    expect(common.timeConstant.upper).toBeGreaterThan(expected * 0.99);
    // Between the pins both dividers lie in series: 200 Mohm on 0.1 uF.
    expect(differential.timeConstant.lower).toBeGreaterThan(19.5);
    expect(differential.timeConstant.upper).toBeLessThan(21);
  });

  test("falls in the simulation as it does here", () => {
    const toEarth = 2e-9;
    const simulation = simulate({
      ...AT_CREST,
      tester: { ground: "PE", channels: ["L", "N"], inputCapacitance: 0, earthCapacitance: 0 },
      disconnection: {
        ...AT_CREST.disconnection,
        L: { instant: 0.1, bounces: [] },
        N: { instant: 0.1, bounces: [] },
      },
      product: {
        kind: "passive",
        capacitance: 1e-7,
        bleeder: 4.35e6,
        earthCapacitance: { L: toEarth, N: toEarth },
        earthResistance: { L: 0, N: 0 },
      },
    });
    const commonAt = (instant: number): number =>
      (simulation.voltageAt(["L", "PE"], instant) + simulation.voltageAt(["N", "PE"], instant)) / 2;
    const opening = simulation.lastOpening!;
    const design = { ...AT_CREST.design };
    const { common } = threeConductors(design, facts(toEarth));
    // The dividers return to a bias, so that the common voltage falls towards a little beside zero:
    // three instants a step apart tell the rate whatever it falls to.
    const step = 0.1;
    const [first, second, third] = [0.001, 0.001 + step, 0.001 + 2 * step].map((after) =>
      commonAt(opening + after),
    ) as [number, number, number];
    const timeConstant = -step / Math.log((third - second) / (second - first));
    expect(timeConstant).toBeGreaterThan(common.timeConstant.lower * 0.99);
    expect(timeConstant).toBeLessThan(common.timeConstant.upper * 1.01);
  });

  test("costs more the longer it lingers", () => {
    const design = exampleDesign("03-good-at-34-volts");
    const errors = [150e-12, 1e-9, 4.7e-9, 22e-9].map(
      (toEarth) => threeConductors(design, facts(toEarth)).pairs[0]!.high,
    );
    for (const [index, error] of errors.slice(1).entries())
      expect(error).toBeGreaterThanOrEqual(errors[index]! * 0.999);
    expect(errors.at(-1)).toBeGreaterThan(errors[0]! * 1.05);
  });
});

/** Two channels drawn inside their limits: the first half is L's and shared, the second half N's. */
class TwoChannels {
  readonly limits: { lower: Float64Array; upper: Float64Array };
  private readonly reading: ShownReading;
  private readonly size: number;
  private readonly own: readonly boolean[];

  constructor(common: number) {
    const model = atSteadyVoltage(measurementModel(exampleDesign("03-good-at-34-volts")));
    const domain = new Domain(model);
    this.reading = new ShownReading(model, domain);
    this.size = domain.names.length;
    const parts = new Map(model.quantities.map(({ name, part }) => [name, part]));
    // Said anew: what a second channel has for itself.
    this.own = domain.names.map((name) => {
      const part = parts.get(name) ?? "quantiser";
      const isOwnPart = ["divider.bias", "reference", "adc", "conditions", "timing"].every(
        (shared) => !part.startsWith(shared),
      );
      return isOwnPart || name.startsWith("noise") || name.startsWith("adc_nonlinearity");
    });
    const { lower, upper } = domain.whole();
    [lower[0], upper[0]] = [0, common];
    this.limits = {
      lower: Float64Array.from([...lower, ...lower]),
      upper: Float64Array.from([...upper, ...upper]),
    };
  }

  errors(point: Float64Array): Readonly<Record<PairError["pair"], number>> {
    const common = point[0]!;
    const across = VOLTAGE.toNumber();
    const ofL = Float64Array.from({ length: this.size }, (_, slot) => point[slot]!);
    const ofN = Float64Array.from({ length: this.size }, (_, slot) =>
      this.own[slot] === true ? point[this.size + slot]! : point[slot]!,
    );
    ofL[0] = common + across / 2;
    ofN[0] = common - across / 2;
    const [errorOfL, errorOfN] = [this.reading.error(ofL), this.reading.error(ofN)];
    return { "L-N": errorOfL - errorOfN, "L-PE": errorOfL, "N-PE": errorOfN };
  }
}

describe("two channels inside their limits", () => {
  const found = threeConductors(exampleDesign("03-good-at-34-volts"), facts(4.7e-9));
  const channels = new TwoChannels(found.commonVoltage.upper);

  test.each(["L-N", "L-PE", "N-PE"] as const)("never pass the proven error of %s", (name) => {
    const pair = found.pairs.find((one) => one.pair === name)!;
    const random = new SeededRandom(11);
    for (const sign of [1, -1] as const) {
      const { value } = hillClimb(
        { ...channels.limits, value: (point) => sign * channels.errors(point)[name] },
        random,
        { steps: 4000 },
      );
      // Timing and capacitive mismatch are no part of a steady reading.
      const proven = sign === 1 ? pair.high : -pair.low;
      const steady = proven - pair.timing - pair.capacitiveMismatch;
      expect(value).toBeLessThanOrEqual(steady);
      expect(value).toBeGreaterThan(0.4 * steady);
    }
  });
});

test("facts that are none are refused, all at once", () => {
  const design = exampleDesign("03-good-at-34-volts");
  const bad = { lower: 0, upper: Infinity };
  expect(() =>
    threeConductors(design, { voltage: Decimal.zero, betweenPins: bad, toEarth: bad }),
  ).toThrow(/3 faults/);
  expect(() => threeConductors(design, { ...facts(1e-9), voltage: Decimal.parse("2000") })).toThrow(
    InvalidInputError,
  );
});
