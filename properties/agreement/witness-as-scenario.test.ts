// Falsified by: a witness of the budget whose scenario, played through the simulation, stands
// before the converter, on any occasion, more than 0.1 % of the proven bound from where the budget
// has it; or whose error of indication differs from the budget's by more than that.
//
// Declared model difference: 0.1 % of the bound, referred to the pins. A witness stands a hair from
// a code edge, so the edges of its codes are moved apart by that much: any larger difference flips
// a code, which costs hundreds of times as much as the limit of the comparison.
import { describe, expect, it } from "vitest";
import { measurementModel } from "../../lib/chain/measurement-model.ts";
import { add } from "../../lib/expression/build.ts";
import { PlainEvaluator } from "../../lib/expression/evaluate.ts";
import { compileTape } from "../../lib/expression/tape.ts";
import { ErrorBrackets } from "../../lib/guarantee/error-brackets.ts";
import type { Occasion } from "../../lib/design/quantity.ts";
import type { Design } from "../../lib/design/design.ts";
import { scalingConstants } from "../../lib/design/scaling-constants.ts";
import { DrawnValues } from "../../sim/drawn-values.ts";
import { drawFrontEnd } from "../../sim/front-end.ts";
import type { Scenario } from "../../sim/scenario.ts";
import { positionOfPin } from "../../sim/static-transfer.ts";
import { readingOf } from "../../sim/reading.ts";
import { scenarioOfWitness } from "../../sim/scenario-of-witness.ts";
import { simulate } from "../../sim/simulate.ts";
import { demoDesign } from "../laws/sim/scenarios.ts";

const DECLARED_SHARE = 1e-3;

const VOLTAGES = [-300, -34, 0, 34, 60, 126, 325, 430];

/** Witnesses of a design as scenarios, with the error the budget gives for each. */
function witnesses(design: Design, voltages: readonly number[]) {
  const model = measurementModel(design);
  const brackets = new ErrorBrackets(model);
  const { names } = brackets.domain;
  const occasions = Object.keys(model.codes) as Occasion[];
  const evaluator = new PlainEvaluator(
    compileTape(
      [model.shown, ...occasions.map((occasion) => add(model.codes[occasion]!, 0))],
      names,
    ),
  );
  return voltages.flatMap((voltage) => {
    const bracket = brackets.bracket({ lower: voltage, upper: voltage });
    return [bracket.high, bracket.low].map(({ proven, witness }) => {
      const budget = evaluator.evaluate(witness);
      const values = Object.fromEntries(names.map((name, slot) => [name, witness[slot]!]));
      const positions = occasions.map((_, index) => evaluator.root(index + 1));
      for (const [index, occasion] of occasions.entries())
        values[`rounding_${occasion}`] = Math.floor(positions[index]! + 0.5) - positions[index]!;
      const bound = Math.abs(proven);
      const modelDifference = DECLARED_SHARE * bound;
      const made = scenarioOfWitness(design, values, voltage, { modelDifference });
      return { budget, bound, occasions, positions, ...made };
    });
  });
}

type Witnessed = ReturnType<typeof witnesses>[number];

/** Largest difference before the converter over all occasions, as a share of the bound. */
function differenceBefore(witness: Witnessed, scenario: Scenario): number {
  const { design } = scenario;
  const simulation = simulate(scenario);
  const drawn = new DrawnValues(design, scenario.quantities, scenario);
  const { adjustment } = design;
  const { codesPerVolt } = scalingConstants(design);
  const shares = witness.occasions.map((occasion, index) => {
    const { first, count } = witness.samples;
    let position = 0;
    if (occasion === "use") {
      for (let k = first; k < first + count; k += 1)
        position += simulation.codePositionAt(0, simulation.sampleInstant(k)) / count;
    } else {
      const point =
        adjustment.kind === "twoPoint"
          ? adjustment[occasion === "adjustLow" ? "low" : "high"]
          : adjustment.kind === "gain"
            ? adjustment.at
            : undefined;
      const applied = point!.voltage.toNumber() + drawn.lasting(`applied_${occasion}`);
      position = positionOfPin(drawFrontEnd(drawn, occasion), applied);
    }
    const codes = Math.abs(position - witness.positions[index]!);
    return codes / codesPerVolt.toNumber() / witness.bound;
  });
  return Math.max(...shares);
}

describe("a witness of the budget runs as a scenario", () => {
  it.each(["01-no-adjustment", "02-two-point", "03-good-at-34-volts", "04-percent-of-range"])(
    "%s: the simulated error of indication is the witnessed one to a thousandth of the bound",
    (folder) => {
      const design = demoDesign(folder);
      const all = witnesses(design, VOLTAGES);
      expect(all).toHaveLength(2 * VOLTAGES.length);
      for (const witness of all) {
        const { scenario, samples, trueVoltage, budget, bound } = witness;
        const simulation = simulate(scenario);
        // The pins carry the true voltage at the stated instant after the opening.
        const instant = design.conditions.instant.toNumber();
        expect(simulation.voltageAt(["L", "N"], instant)).toBeCloseTo(trueVoltage, 9);
        expect(differenceBefore(witness, scenario)).toBeLessThan(DECLARED_SHARE);
        const error = readingOf(simulation, samples).indication - trueVoltage;
        expect(Math.abs(error - budget)).toBeLessThanOrEqual(DECLARED_SHARE * bound);
      }
    },
  );

  it.each([
    "clamp_current",
    "upper1_tempco",
    "upper1_drift_use",
    "adc_nonlinearity_use",
    "noise_use",
    "reference_box_use",
    "buffer_offsetTempco",
    "latency_use",
    "interference_use",
    "board_nodeToGround_use",
  ])("a simulation that ignores %s differs by more than is declared", (left) => {
    const all = witnesses(demoDesign("02-two-point"), [-300, 34, 126, 430]);
    const worst = all.map((witness) => {
      const { scenario } = witness;
      const { [left]: ignored, ...quantities } = scenario.quantities;
      const late = left === "latency_use" ? ignored! : 0;
      const sampling = { ...scenario.sampling, phase: scenario.sampling.phase - late };
      return differenceBefore(witness, { ...scenario, quantities, sampling });
    });
    expect(Math.max(...worst)).toBeGreaterThan(DECLARED_SHARE);
  });
});
