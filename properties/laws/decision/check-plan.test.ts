// Falsified by: a unit that passes every check point with a perfect calibration process and is
// outside the accuracy statement at some voltage in use, in the budget's equation through the real
// roundings or in the simulation in time; a unit inside its limits that a plan called good rejects;
// or limits, ratios and risks that do not follow from each other.
import { describe, expect, test } from "vitest";
import { CheckModel, usualCheckAmbient } from "../../../lib/decision/check-model.ts";
import { checkPlan } from "../../../lib/decision/check-plan.ts";
import type { CheckPlan, CheckPlanOptions } from "../../../lib/decision/check-plan.ts";
import { permittedErrors } from "../../../lib/design/requirement.ts";
import { InvalidInputError } from "../../../lib/errors.ts";
import { Domain } from "../../../lib/guarantee/domain.ts";
import { ShownReading } from "../../../lib/guarantee/shown-reading.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { readingOf, simulate } from "../../../sim/index.ts";
import { scenarioOfWitness } from "../../../sim/scenario-of-witness.ts";
import { hillClimb } from "../../support/adversary.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import type { Example } from "../../support/example-designs.ts";
import { SeededRandom } from "../../support/seeded-random.ts";

/** A unit, on the bench and in use: both see one set of parts, each its own circumstances. */
class Units {
  readonly model: CheckModel;
  readonly plan: CheckPlan;
  readonly domain: Domain;
  private readonly bench: ShownReading;
  private readonly use: ShownReading;
  private readonly own: readonly boolean[];
  readonly size: number;

  constructor(example: Example, options: CheckPlanOptions) {
    const design = exampleDesign(example);
    this.plan = checkPlan(design, options);
    this.model = new CheckModel(design, {
      ambientCelsius: usualCheckAmbient(design),
      readingsAveraged: this.plan.conditions.readingsAveraged,
      productionFactor: this.plan.conditions.productionFactor,
    });
    this.domain = new Domain(this.model.inUse);
    const benchDomain = new Domain(this.model.onBench);
    expect(benchDomain.names).toEqual(this.domain.names);
    this.bench = new ShownReading(this.model.onBench, benchDomain);
    this.use = new ShownReading(this.model.inUse, this.domain);
    const occasions = new Map(this.model.inUse.quantities.map((one) => [one.name, one.occasion]));
    this.own = this.domain.names.map((name) => occasions.get(name) === "use" || name === "V");
    this.size = this.domain.names.length;
  }

  /** Limits of a unit in use followed by the circumstances on the bench; tolerances widened. */
  limits(): { lower: Float64Array; upper: Float64Array } {
    const factor = this.plan.conditions.productionFactor;
    const inUse = this.domain.whole();
    const onBench = new Domain(this.model.onBench).whole();
    const isWidened = new Set(
      this.model.inUse.quantities
        .filter(({ kind, occasion, unit }) => {
          const isSeen = !["1/K", "V/K", "LSB/K", "A"].includes(unit);
          return kind === "production" && occasion === "all" && isSeen;
        })
        .map(({ name }) => name),
    );
    for (const [slot, name] of this.domain.names.entries()) {
      if (!isWidened.has(name)) continue;
      const nominal = this.domain.nominal[slot]!;
      inUse.lower[slot] = nominal + (inUse.lower[slot]! - nominal) * factor;
      inUse.upper[slot] = nominal + (inUse.upper[slot]! - nominal) * factor;
    }
    const both = (one: Float64Array, other: Float64Array) => Float64Array.from([...one, ...other]);
    return { lower: both(inUse.lower, onBench.lower), upper: both(inUse.upper, onBench.upper) };
  }

  errorInUse(point: Float64Array): number {
    return this.use.error(point.subarray(0, this.size));
  }

  /** How far the errors found on the bench pass the tolerances, V; not above zero: it passes. */
  excess(point: Float64Array): number {
    const onBench = Float64Array.from({ length: this.size }, (_, slot) =>
      this.own[slot] === true ? point[this.size + slot]! : point[slot]!,
    );
    let most = -Infinity;
    for (const { voltage, tolerance } of this.plan.points) {
      onBench[0] = voltage;
      most = Math.max(most, Math.abs(this.bench.error(onBench)) - tolerance);
    }
    return most;
  }

  /** How far the error in use passes what the statement permits, V. */
  breach(point: Float64Array): number {
    const { share, volts } = this.plan.statement;
    const statement = { kind: "indication", name: "", share, volts } as const;
    const { lower, upper } = permittedErrors(statement, point[0]!);
    const error = this.errorInUse(point);
    return Math.max(error - upper, lower - error);
  }
}

/** Errors in use of the unit that a search likes best, among those that pass. */
function attack(units: Units, seed: number, steps: number) {
  // Passing counts so much that the search never gives it away again.
  const value = (point: Float64Array): number => {
    const excess = units.excess(point);
    return excess > 0 ? -1000 * (1 + excess) : units.breach(point);
  };
  return hillClimb({ ...units.limits(), value }, new SeededRandom(seed), { steps });
}

describe("a unit that passes the check points", () => {
  const tight = { share: Decimal.parse("0.01"), volts: Decimal.parse("4.5") };
  const units = new Units("01-no-adjustment", { statement: tight, productionFactor: 1 });

  test("is needed: units with every part inside its limits break the statement asked for", () => {
    expect(units.plan.verdict).toBe("rejectsGoodUnits");
    const free = hillClimb(
      { ...units.limits(), value: (point) => units.breach(point) },
      new SeededRandom(4),
      { steps: 3000 },
    );
    expect(free.value).toBeGreaterThan(0);
    expect(units.excess(free.point)).toBeGreaterThan(0);
  });

  test("is inside the statement at every voltage, in the budget and in the simulation", () => {
    let closest = -Infinity;
    for (const seed of [5, 6, 7]) {
      const { value, point } = attack(units, seed, 2500);
      expect(value).toBeGreaterThan(-1000);
      expect(value).toBeLessThanOrEqual(0);
      closest = Math.max(closest, value);
      const values = Object.fromEntries(
        units.domain.names.map((name, slot) => [name, point[slot]!]),
      );
      const played = scenarioOfWitness(units.model.design, values, point[0]!);
      const simulation = simulate(played.scenario);
      const error = readingOf(simulation, played.samples).indication - played.trueVoltage;
      const { lower, upper } = permittedErrors(
        { kind: "indication", name: "", ...tight },
        played.trueVoltage,
      );
      // Simulation and budget agree to 0.1 % of the bound.
      expect(error).toBeLessThanOrEqual(upper * 1.001);
      expect(error).toBeGreaterThanOrEqual(lower * 1.001);
    }
    // The search is no idle one: it uses most of what is permitted.
    expect(closest).toBeGreaterThan(-0.5 * tight.volts.toNumber());
  });

  test("is so with parts out of tolerance, adjusted", () => {
    const statement = { share: Decimal.parse("0.003"), volts: Decimal.parse("1.2") };
    const adjusted = new Units("03-good-at-34-volts", { statement });
    expect(adjusted.plan.verdict).not.toBe("noRoom");
    const { value } = attack(adjusted, 8, 2500);
    expect(value).toBeGreaterThan(-1000);
    expect(value).toBeLessThanOrEqual(0);
  });
});

describe("a plan for the least statement that can be verified", () => {
  const design = exampleDesign("04-percent-of-range");
  const plan = checkPlan(design);

  test("has zero, both polarities, points near the lines and the ends", () => {
    const voltages = plan.points.map(({ voltage }) => voltage);
    for (const wanted of [-440, -34, 0, 34, 440]) expect(voltages).toContain(wanted);
    expect(voltages).toEqual([...voltages].sort((one, other) => one - other));
  });

  test("rejects no unit inside its limits, and is no wider than its two digits ask for", () => {
    expect(plan.verdict).toBe("holds");
    for (const { acceptance, largestGood } of plan.points)
      expect(acceptance).toBeGreaterThanOrEqual(largestGood);
    const { share, volts } = plan.statement;
    const less = volts.subtract(Decimal.one);
    const tighter = checkPlan(design, {
      statement: { share, volts: less },
    });
    expect(tighter.verdict).not.toBe("holds");
  });

  test("its limits, ratios and risks follow from each other", () => {
    for (const point of plan.points) {
      const { voltage, permitted, margin, tolerance, process, acceptance, accepted } = point;
      expect(tolerance).toBeCloseTo(permitted - margin, 12);
      expect(process).toBe(point.processNeeded);
      expect(point.ratio).toBeCloseTo(4, 12);
      expect(acceptance).toBeCloseTo(tolerance - process, 12);
      expect(accepted.upper - voltage).toBeCloseTo(acceptance, 12);
      expect(point.risk!.consumer).toBeLessThan(0.001);
    }
    const { dynamic } = plan;
    const parallel = 1 / (1 / dynamic.resistance + 1 / dynamic.inputResistance);
    const left = dynamic.from * Math.exp(-dynamic.duration / (parallel * dynamic.capacitance));
    expect(left).toBeCloseTo(dynamic.voltage, 9);
    expect(dynamic.tolerance).toBeGreaterThanOrEqual(dynamic.largestGood);
    // A relative change of the time constant as large as needed moves the voltage by U.
    const moved = dynamic.timeConstant * (1 + dynamic.timeConstantNeeded);
    const voltage = dynamic.from * Math.exp(-dynamic.duration / moved);
    expect((voltage - dynamic.voltage) / dynamic.processNeeded).toBeCloseTo(1, 1);
  });

  test("a coarse process leaves less to the unit, and a statement too tight leaves no room", () => {
    const process = { share: 0, volts: 10 };
    const coarse = checkPlan(design, { statement: plan.statement, process });
    for (const [index, point] of plan.points.entries()) {
      const other = coarse.points[index]!;
      expect(other.tolerance).toBe(point.tolerance);
      expect(other.ratio).toBeLessThan(point.ratio);
      expect(other.acceptance).toBeCloseTo(point.tolerance - 10, 12);
      expect(other.risk!.producer).toBeGreaterThan(point.risk!.producer);
    }
    const statement = { share: Decimal.zero, volts: Decimal.parse("24") };
    const tight = checkPlan(design, { statement });
    expect(tight.verdict).toBe("noRoom");
    const without = tight.points.filter(({ acceptance }) => acceptance === 0);
    expect(without.length).toBeGreaterThan(0);
    for (const { risk } of without) expect(risk).toBe(undefined);
  });

  test("refuses figures that are none, all at once", () => {
    expect(() =>
      checkPlan(exampleDesign("03-good-at-34-volts"), {
        statement: { share: Decimal.one, volts: Decimal.zero },
        process: { share: 0, volts: 0 },
        readingsAveraged: 1.5,
        productionFactor: 0.5,
      }),
    ).toThrow(/4 faults/);
    expect(() => checkPlan(exampleDesign("03-good-at-34-volts"), { productionFactor: 11 })).toThrow(
      InvalidInputError,
    );
  });
});
