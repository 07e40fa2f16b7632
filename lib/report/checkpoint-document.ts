import type { Design } from "../design/design.ts";
import type { Requirement } from "../design/requirement.ts";
import { quantitiesOf } from "../design/quantities.ts";
import { calibrationInterval } from "../decision/calibration-interval.ts";
import type { CalibrationInterval } from "../decision/calibration-interval.ts";
import { checkPlan } from "../decision/check-plan.ts";
import type {
  CheckedStatement,
  CheckPlan,
  CheckPlanOptions,
  CheckPoint,
  DynamicCheck,
  LimitCheck,
} from "../decision/check-plan.ts";
import { Decimal } from "../quantity/decimal.ts";
import { formatQuantity } from "../quantity/format.ts";
import { statementText } from "./statement-text.ts";
import {
  assumptionsOf,
  CAUTIONS,
  conditionalOn,
  conditionsOf,
  NOT_MODELLED,
} from "./assumptions.ts";

/** A statement in exact decimals: share of the indication, and volts. */
export interface StatementText {
  readonly share: string;
  readonly volts: string;
}

/** What `plumbvolt checkpoints --json` prints. */
export interface CheckpointDocument {
  readonly format: "plumbvolt.checkpoints/1";
  readonly producer: { readonly name: string; readonly version: string };
  readonly design: { readonly name: string; readonly revision: string; readonly sha256: string };
  /** For which the statement holds in use. */
  readonly conditions: Readonly<Record<string, string>>;
  readonly bench: {
    readonly ambient: string;
    readonly readingsAveraged: number;
    readonly productionFactor: number;
  };
  readonly statement: StatementText & { readonly reason: CheckPlan["statementReason"] };
  /** What the design proves for every unit inside its limits, unchecked. */
  readonly proven: StatementText & { readonly from: string; readonly to: string };
  /** Expanded uncertainty, k = 2, of the calibration process. */
  readonly process: { readonly share: number; readonly volts: number } | "ratio of 4";
  readonly points: readonly (Omit<CheckPoint, "ratio"> & { readonly ratio: number | null })[];
  readonly dynamic: DynamicCheck;
  readonly limits: readonly LimitCheck[];
  readonly verdict: CheckPlan["verdict"];
  /** How long after adjustment the statement and the requirements are still proven. */
  readonly interval: CalibrationInterval;
  readonly guaranteed: boolean;
  readonly conditionalOn: readonly string[];
  readonly assumptions: readonly string[];
  readonly notModelled: readonly string[];
  readonly cautions: readonly string[];
}

/** Options of the plan, and what the caller knows beside the design. */
export interface CheckpointOptions extends CheckPlanOptions {
  /** SHA-256 of the document's bytes as read. */
  readonly sha256: string;
  /** Version of this package. */
  readonly version: string;
}

function textOf({ share, volts }: CheckedStatement): StatementText {
  return { share: share.toString(), volts: volts.toString() };
}

function assumed(design: Design, { productionFactor }: CheckPlan["conditions"]): readonly string[] {
  return [
    ...assumptionsOf(design),
    ...(productionFactor === 1
      ? ["Every part of the unit is inside its declared limits."]
      : [
          `Parts may be beyond their declared limits by a factor of ${productionFactor}, except ` +
            "temperature coefficients, node currents and nonlinearity, which a check at one " +
            "temperature does not show; no code is clamped.",
        ]),
    "Units are checked right after adjustment, on steady voltages.",
    "Risks count units as the design's own budget spreads them, as a normal distribution.",
  ];
}

/** Voltages of the growth: of the requirements, without such the first line and the end. */
function growthVoltages(design: Design): readonly Decimal[] {
  const asked = design.requirements.flatMap(({ at }) => at ?? []);
  const { upper } = design.measuringInterval;
  return asked.length > 0 ? asked : [Decimal.ofInteger(34), upper];
}

function intervalOf(design: Design, { statement, proven }: CheckPlan): CalibrationInterval {
  const promise = (id: string, { share, volts }: CheckedStatement): Requirement => {
    const figures = { share: share.toString(), volts: volts.toString() };
    return {
      id,
      text: statementText(figures),
      statement: { kind: "indication", name: "", share, volts },
    };
  };
  const { lower, upper } = design.measuringInterval;
  const voltages = growthVoltages(design).filter(
    (voltage) => voltage.compare(lower) >= 0 && voltage.compare(upper) <= 0,
  );
  const promises = [
    promise("statement to be kept", statement),
    { ...promise("statement proven by the design", proven), from: proven.from, to: proven.to },
    ...design.requirements,
  ];
  return calibrationInterval(design, promises, voltages);
}

/**
 * The check points of a design as a document: voltages, limits, what the calibration process has to
 * be, the check in time, and what all of it rests on. Deterministic.
 *
 * Throws InvalidInputError for bad options, UnboundedResultError where limits are too wide.
 */
export function checkpointsOf(design: Design, options: CheckpointOptions): CheckpointDocument {
  const plan = checkPlan(design, options);
  const { ambientCelsius, readingsAveraged, productionFactor } = plan.conditions;
  const degrees = [ambientCelsius.lower, ambientCelsius.upper].map((one) =>
    formatQuantity(one, "celsius"),
  );
  return {
    format: "plumbvolt.checkpoints/1",
    producer: { name: "plumbvolt", version: options.version },
    design: { name: design.name, revision: design.revision ?? "", sha256: options.sha256 },
    conditions: conditionsOf(design),
    bench: { ambient: degrees.join(" to "), readingsAveraged, productionFactor },
    statement: { ...textOf(plan.statement), reason: plan.statementReason },
    proven: {
      ...textOf(plan.proven),
      from: plan.proven.from.toString(),
      to: plan.proven.to.toString(),
    },
    process: plan.process,
    points: plan.points.map((point) => ({
      ...point,
      ratio: point.ratio === Infinity ? null : point.ratio,
    })),
    dynamic: plan.dynamic,
    limits: plan.limits,
    verdict: plan.verdict,
    interval: intervalOf(design, plan),
    guaranteed: design.inexactFigures.length === 0,
    conditionalOn: conditionalOn(quantitiesOf(design)),
    assumptions: assumed(design, plan.conditions),
    notModelled: NOT_MODELLED,
    cautions: CAUTIONS,
  };
}
