import { measurementModel } from "../chain/measurement-model.ts";
import { checkRelations } from "../design/check-relations.ts";
import type { Design, ResistorGroup } from "../design/design.ts";
import { FaultList } from "../design/fault-list.ts";
import { InvalidInputError, InvariantBrokenError, PlumbvoltError } from "../errors.ts";
import { ErrorBrackets } from "../guarantee/error-brackets.ts";
import { checkCodesInside } from "../guarantee/range-check.ts";
import type { Interval } from "../interval/interval.ts";
import { Decimal } from "../quantity/decimal.ts";
import { loadingCorrection } from "./loading.ts";
import { dividerPart, pinImpedance } from "./pin-impedance.ts";

/** What a design with its divider scaled would do at one voltage. */
export interface ResistancePoint {
  /** On every resistance of the divider. */
  readonly factor: number;
  /** Least resistance between the pins, ohm. */
  readonly inputResistance: number;
  /** What the tester takes from the product's voltage, V. */
  readonly loading: number;
  /** Largest proven error of indication, V. */
  readonly error: number;
  /** Both together: an uncorrected reading is wrong by at most this, V. */
  readonly total: number;
}

/** Error against input resistance, with its optimum. */
export interface ResistanceCurve {
  /** True voltage, V. */
  readonly voltage: number;
  readonly capacitance: Interval;
  readonly duration: number;
  /** Ascending; factors for which there is no design are left out. */
  readonly points: readonly ResistancePoint[];
  /** The point with the least total. */
  readonly optimum: ResistancePoint;
  /** Factors left out, and why. */
  readonly impossible: readonly { readonly factor: number; readonly reason: string }[];
}

/** Six factors to the decade, one decade to either side. */
const FACTORS: readonly number[] = Array.from({ length: 13 }, (_, step) =>
  Number((10 ** ((step - 6) / 6)).toPrecision(3)),
);

function scaled(design: Design, factor: number): Design {
  const by = Decimal.parse(String(factor));
  const scale = (group: ResistorGroup): ResistorGroup => ({
    ...group,
    resistance: group.resistance.multiply(by),
  });
  const { divider } = design;
  return {
    ...design,
    divider: {
      ...divider,
      upper: divider.upper.map(scale),
      lower: divider.lower.map(scale),
    },
  };
}

interface Facts {
  readonly voltage: number;
  readonly duration: number;
  readonly capacitance: Interval;
}

function pointAt(design: Design, factor: number, facts: Facts): ResistancePoint {
  const { voltage, duration, capacitance } = facts;
  const faults = new FaultList();
  checkRelations(design, faults);
  faults.throwIfAny("scaled design");
  const model = measurementModel(design);
  const brackets = new ErrorBrackets(model);
  checkCodesInside(model, brackets.domain);
  const { high, low } = brackets.bound({ lower: voltage, upper: voltage });
  const tester = pinImpedance([dividerPart(design)]);
  const { factor: correction } = loadingCorrection(duration, { capacitance }, { tester });
  const loading = voltage * (1 - 1 / correction.upper);
  const error = Math.max(Math.abs(high.proven), Math.abs(low.proven));
  return {
    factor,
    inputResistance: tester.resistance.lower,
    loading,
    error,
    total: loading + error,
  };
}

/**
 * How loading and error of indication at one voltage change when the whole divider is scaled, all
 * else as designed: loading falls as the resistance rises, and what currents and leakage at the
 * node cost rises with it. The optimum is that of the factors looked at.
 *
 * Throws InvalidInputError where no factor gives a design, and for a voltage outside the range.
 */
export function errorAgainstResistance(design: Design, facts: Facts): ResistanceCurve {
  const { voltage } = facts;
  const { lower, upper } = design.measuringInterval;
  if (!(voltage >= lower.toNumber() && voltage <= upper.toNumber())) {
    const permitted = `inside the measuring interval ${lower.toString()} V to ${upper.toString()} V`;
    throw new InvalidInputError("resistance", [
      { path: "voltage", quantity: "true voltage", permitted, received: `${voltage} V` },
    ]);
  }
  const points: ResistancePoint[] = [];
  const impossible: { factor: number; reason: string }[] = [];
  for (const factor of FACTORS) {
    try {
      points.push(pointAt(scaled(design, factor), factor, facts));
    } catch (error) {
      if (error instanceof InvariantBrokenError || !(error instanceof PlumbvoltError)) throw error;
      impossible.push({ factor, reason: error.message });
    }
  }
  const optimum = points.reduce<ResistancePoint | undefined>(
    (least, one) => (least === undefined || one.total < least.total ? one : least),
    undefined,
  );
  if (optimum === undefined) {
    const reasons = impossible.map(({ factor, reason }) => `${factor}: ${reason}`).join("; ");
    throw new InvalidInputError("resistance", [
      { path: "divider", quantity: "scaled divider", permitted: "a design", received: reasons },
    ]);
  }
  return { ...facts, points, optimum, impossible };
}
