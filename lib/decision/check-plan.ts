import type { Design, Range } from "../design/design.ts";
import { exactDecimal } from "../quantity/exact-decimal.ts";
import { InvalidInputError, invariant } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { bandsOf } from "../guarantee/bands.ts";
import { ErrorBrackets } from "../guarantee/error-brackets.ts";
import { proveStatement } from "../guarantee/statement.ts";
import { measurementModel } from "../chain/measurement-model.ts";
import { Decimal } from "../quantity/decimal.ts";
import { CheckModel, usualCheckAmbient } from "./check-model.ts";
import { checkVoltages } from "./check-voltages.ts";
import { globalRisk } from "./global-risk.ts";
import type { GlobalRisk } from "./global-risk.ts";
import { pinImpedance, dividerPart } from "./pin-impedance.ts";
import type { PinPart } from "./pin-impedance.ts";

/** +/-(share of indication + volts), the statement that checked units shall keep. */
export interface CheckedStatement {
  readonly share: Decimal;
  /** V. */
  readonly volts: Decimal;
}

/** A statement with the magnitudes of true voltage for which it is proven, V. */
export interface ProvenPart extends CheckedStatement {
  readonly from: Decimal;
  readonly to: Decimal;
}

/** Expanded uncertainty (k = 2) of the whole calibration process: a share and volts. */
export interface CalibrationProcess {
  readonly share: number;
  readonly volts: number;
}

/** What is asked of a plan; every figure has a default. */
export interface CheckPlanOptions {
  /** Default: the share the design proves, with the least volts that can be verified on units. */
  readonly statement?: CheckedStatement;
  /** Default: what a test uncertainty ratio of 4 asks for at each point. */
  readonly process?: CalibrationProcess;
  /** Default: the ambient of the adjustment, or within 2 K of the reference. */
  readonly ambientCelsius?: Range;
  /** Default 16. */
  readonly readingsAveraged?: number;
  /** See {@link CheckConditions.productionFactor}; default 2. */
  readonly productionFactor?: number;
  /** What lies between the pins beside the divider. */
  readonly parts?: readonly PinPart[];
}

/** One voltage to apply, with its limits. */
export interface CheckPoint {
  /** V. */
  readonly voltage: number;
  readonly reason: string;
  /** Error that the statement permits, V. */
  readonly permitted: number;
  /** What is kept free for environment, drift, reading and dynamics in use, V. */
  readonly margin: number;
  /** Permitted less margin: the tolerance of the error on the bench, V; not above zero: none. */
  readonly tolerance: number;
  /** Largest error that a unit inside all its limits shows here, V. */
  readonly largestGood: number;
  /** Expanded uncertainty of the calibration process, V. */
  readonly process: number;
  /** The largest one with a test uncertainty ratio of 4, V. */
  readonly processNeeded: number;
  /** Tolerance over expanded uncertainty. */
  readonly ratio: number;
  /** Guard band: the whole expanded uncertainty, V. */
  readonly guardBand: number;
  /** Errors up to this are accepted, V; 0 where there is no room. */
  readonly acceptance: number;
  /** Indications that are accepted, V. */
  readonly accepted: { readonly lower: number; readonly upper: number };
  /** Risks over units as the design's own budget spreads them; absent where there is no room. */
  readonly risk?: GlobalRisk;
}

/** The check of the time of reading with a known capacitor and resistor. */
export interface DynamicCheck {
  /** V the standard is charged to, and V it has fallen to at the stated time. */
  readonly from: number;
  readonly voltage: number;
  /** s. */
  readonly duration: number;
  /** F and ohm of the standard alone, calculated for the nominal input resistance. */
  readonly capacitance: number;
  readonly resistance: number;
  /** ohm, nominal, in parallel. */
  readonly inputResistance: number;
  /** s, of both together. */
  readonly timeConstant: number;
  /** Tolerance of the error, V: that of a steady voltage and what the fall may add. */
  readonly tolerance: number;
  /** Largest error that a unit inside its limits shows, V. */
  readonly largestGood: number;
  /** Largest expanded uncertainty of the standard's voltage for a ratio of 4, V. */
  readonly processNeeded: number;
  /** The same as a relative uncertainty of its time constant. */
  readonly timeConstantNeeded: number;
  /** Errors up to this are accepted, V. */
  readonly acceptance: number;
}

/** A quantity other than a voltage that is checked, with the limits of the design. */
export interface LimitCheck {
  readonly id: "inputResistance" | "inputCapacitance" | "timeBase";
  readonly quantity: string;
  readonly unit: "ohm" | "F" | "1";
  readonly lower: number;
  readonly upper: number;
  /** Largest expanded uncertainty for a ratio of 4, same unit. */
  readonly processNeeded: number;
}

/** Which voltages to apply to every unit, and what to accept. */
export interface CheckPlan {
  readonly statement: CheckedStatement;
  readonly statementReason: "asked for" | "least volts that can be verified on every unit";
  /** What the design proves without any check of units, for comparison. */
  readonly proven: ProvenPart;
  readonly conditions: {
    readonly ambientCelsius: Range;
    readonly readingsAveraged: number;
    readonly productionFactor: number;
  };
  readonly process: CalibrationProcess | "ratio of 4";
  readonly points: readonly CheckPoint[];
  readonly dynamic: DynamicCheck;
  readonly limits: readonly LimitCheck[];
  /** Every point has room and no unit inside its limits is rejected by a perfect process. */
  readonly verdict: "holds" | "rejectsGoodUnits" | "noRoom";
}

const USUAL_READINGS = 16;
const USUAL_PRODUCTION_FACTOR = 2;
const WANTED_RATIO = 4;
/** Tolerance that accepts an error of 1 with the guard band of the ratio wanted. */
const GUARDED = 1 / (1 - 1 / WANTED_RATIO);
/** Significant digits of the volts of a statement. */
const STATEMENT_DIGITS = 2;
/** The standard for the dynamic check is charged to this share of the range. */
const CHARGE_SHARE = 0.7;
/** Least ratio of the tester's resistance to that of the standard with it. */
const LEAST_LOADING = 10;

/**
 * What the statement permits at every true voltage of this magnitude, V: for low errors at the
 * voltages above `volts`, where the indication is lowest; no branch permits less.
 */
function permittedAt({ share, volts }: CheckedStatement, voltage: number): number {
  const [s, v] = [share.toNumber(), volts.toNumber()];
  return (s * Math.abs(voltage) + v) / (1 + s);
}

function processAt(process: CalibrationProcess, voltage: number): number {
  return process.share * Math.abs(voltage) + process.volts;
}

interface Bench {
  readonly voltage: Decimal;
  readonly reason: string;
  readonly margin: number;
  readonly largestGood: number;
}

/** Margin of each point: the larger of the stretches that end there. */
function benchPoints(
  model: CheckModel,
  voltages: readonly { readonly voltage: Decimal; readonly reason: string }[],
  share: number,
): readonly Bench[] {
  const good = voltages.map(({ voltage }) => model.benchError(voltage.toNumber()));
  const goodAt = new Map(
    voltages.map(({ voltage }, index) => [Math.abs(voltage.toNumber()), good[index]!]),
  );
  // What good units need at a point, less what the share of the statement gives there.
  const used = (magnitude: number): number =>
    (goodAt.get(magnitude) ?? 0) * GUARDED - (share / (1 + share)) * magnitude;
  const stretches = voltages
    .slice(1)
    .map(({ voltage }, index) => model.margins(voltages[index]!.voltage, voltage, used));
  return voltages.map(({ voltage, reason }, index) => ({
    voltage,
    reason,
    margin: Math.max(stretches[index - 1]?.upper ?? 0, stretches[index]?.lower ?? 0),
    largestGood: good[index]!,
  }));
}

/** Least volts with which every point has room for the units that are inside their limits. */
function verifiableVolts(
  share: Decimal,
  points: readonly Bench[],
  process: CalibrationProcess | undefined,
): Decimal {
  const s = share.toNumber();
  const needed = points.map(({ voltage, margin, largestGood }) => {
    const volts = voltage.toNumber();
    const guarded =
      process === undefined ? largestGood * GUARDED : largestGood + processAt(process, volts);
    return (margin + guarded) * (1 + s) - s * Math.abs(volts);
  });
  const most = Math.max(0, ...needed);
  const decimals = STATEMENT_DIGITS - 1 - Math.floor(Math.log10(most === 0 ? 1 : most));
  // A little more, so that rounding of doubles leaves no point short.
  return exactDecimal(most * (1 + 1e-9)).roundUp(Math.max(0, decimals));
}

function checkPoint(
  bench: Bench,
  facts: {
    readonly model: CheckModel;
    readonly statement: CheckedStatement;
    readonly process: CalibrationProcess | undefined;
  },
): CheckPoint {
  const { model, statement, process } = facts;
  const voltage = bench.voltage.toNumber();
  const permitted = permittedAt(statement, voltage);
  const tolerance = permitted - bench.margin;
  const processNeeded = Math.max(0, tolerance) / WANTED_RATIO;
  const expanded = process === undefined ? processNeeded : processAt(process, voltage);
  const acceptance = Math.max(0, tolerance - expanded);
  const spread = model.propagation.at(voltage);
  const hasRoom = acceptance > 0 && expanded > 0;
  return {
    voltage,
    reason: bench.reason,
    permitted,
    margin: bench.margin,
    tolerance,
    largestGood: bench.largestGood,
    process: expanded,
    processNeeded,
    ratio: expanded > 0 ? Math.max(0, tolerance) / expanded : Infinity,
    guardBand: expanded,
    acceptance,
    accepted: { lower: voltage - acceptance, upper: voltage + acceptance },
    ...(hasRoom
      ? {
          risk: globalRisk({
            prior: {
              estimate: spread.expected,
              standardUncertainty: spread.standardUncertainty,
              source: "the design's own budget under check conditions",
            },
            tolerance: { lower: -tolerance, upper: tolerance },
            acceptance: { lower: -acceptance, upper: acceptance },
            standardUncertainty: expanded / 2,
          }),
        }
      : {}),
  };
}

/** Farad: at least a microfarad, and in steps of ten so much that the tester hardly loads it. */
function standardCapacitance(timeConstant: number, inputResistance: number): number {
  const needed = (LEAST_LOADING * timeConstant) / inputResistance;
  return Number((10 ** Math.max(-6, Math.ceil(Math.log10(needed)))).toPrecision(1));
}

/** A standard that falls to the lowest line at the stated time, read as it falls. */
function dynamicCheck(
  model: CheckModel,
  points: readonly CheckPoint[],
  inputResistance: number,
): DynamicCheck {
  const { design } = model;
  const from = Number((design.measuringInterval.upper.toNumber() * CHARGE_SHARE).toPrecision(2));
  // The lowest point that the standard can fall to, with something left to fall.
  const positive = points.filter(({ voltage }) => voltage > 0);
  const point = positive.find(({ voltage }) => voltage < from / 2) ?? positive[0];
  invariant(point !== undefined, "a plan has a point above zero");
  const { voltage, tolerance: steady, largestGood: good } = point;
  const begin = Math.max(from, 2 * voltage);
  const duration = design.conditions.instant.toNumber();
  const timeConstant = duration / Math.log(begin / voltage);
  const capacitance = standardCapacitance(timeConstant, inputResistance);
  const both = timeConstant / capacitance;
  const resistance = 1 / (1 / both - 1 / inputResistance);
  const largestGood = model.decayError(voltage);
  // What the fall may add is what the proven bound on a falling voltage has beyond a steady one.
  const tolerance = steady + Math.max(0, largestGood - good);
  const processNeeded = Math.max(0, tolerance) / WANTED_RATIO;
  return {
    from: begin,
    voltage,
    duration,
    capacitance,
    resistance,
    inputResistance,
    timeConstant,
    tolerance,
    largestGood,
    processNeeded,
    // dV / V = (t / tau) dtau / tau.
    timeConstantNeeded: (processNeeded / voltage) * (timeConstant / duration),
    acceptance: Math.max(0, tolerance - processNeeded),
  };
}

function limitChecks(design: Design, parts: readonly PinPart[]): readonly LimitCheck[] {
  const { resistance, capacitance } = pinImpedance([dividerPart(design), ...parts]);
  const needed = (lower: number, upper: number): number => (upper - lower) / 2 / WANTED_RATIO;
  const clock = design.timing?.clockTolerance;
  const [low, high] = [clock?.lower.toNumber() ?? 0, clock?.upper.toNumber() ?? 0];
  return [
    {
      id: "inputResistance",
      quantity: "resistance between the pins",
      unit: "ohm",
      ...resistance,
      processNeeded: needed(resistance.lower, resistance.upper),
    },
    {
      id: "inputCapacitance",
      quantity: "capacitance between the pins",
      unit: "F",
      ...capacitance,
      processNeeded: needed(capacitance.lower, capacitance.upper),
    },
    ...(clock === undefined
      ? []
      : [
          {
            id: "timeBase" as const,
            quantity: "time base, relative deviation of its period",
            unit: "1" as const,
            lower: low,
            upper: high,
            processNeeded: needed(low, high),
          },
        ]),
  ];
}

function provenStatement(design: Design): ProvenPart {
  const brackets = new ErrorBrackets(measurementModel(design));
  const { fit, from, to } = proveStatement(design, bandsOf(design, []), brackets);
  return { share: fit.share, volts: fit.volts, from, to };
}

function checkOptions(options: CheckPlanOptions): void {
  const { statement, process, readingsAveraged = 1, productionFactor = 1 } = options;
  const faults: Fault[] = [];
  const fault = (path: string, quantity: string, permitted: string, received: string): void => {
    faults.push({ path, quantity, permitted, received });
  };
  if (statement !== undefined) {
    const { share, volts } = statement;
    if (share.sign() < 0 || share.compare(Decimal.one) >= 0 || volts.sign() < 0) {
      const received = `${share.toString()} and ${volts.toString()} V`;
      fault(
        "statement",
        "statement",
        "a share from 0 to less than 1 and volts from 0 on",
        received,
      );
    }
  }
  if (process !== undefined) {
    const { share, volts } = process;
    if (!(share >= 0 && share < 1 && volts >= 0 && volts < Infinity && share + volts > 0)) {
      const permitted = "a share from 0 to less than 1 and volts from 0 on, not both zero";
      fault("process", "calibration process", permitted, `${share} and ${volts} V`);
    }
  }
  if (!(Number.isInteger(readingsAveraged) && readingsAveraged >= 1)) {
    const received = String(readingsAveraged);
    fault("readingsAveraged", "number of readings", "an integer of 1 or more", received);
  }
  if (!(productionFactor >= 1 && productionFactor <= 10)) {
    fault("productionFactor", "production factor", "from 1 to 10", String(productionFactor));
  }
  if (faults.length > 0) throw new InvalidInputError("check plan", faults);
}

function verdictOf(points: readonly CheckPoint[]): CheckPlan["verdict"] {
  if (points.some(({ acceptance }) => acceptance <= 0)) return "noRoom";
  return points.every(({ acceptance, largestGood }) => acceptance >= largestGood)
    ? "holds"
    : "rejectsGoodUnits";
}

/**
 * A plan of check points: a unit that passes them with a calibration process as good as stated is
 * inside the accuracy statement at every voltage of the range, under all operating conditions and
 * for as long after adjustment as the design declares. Between two points the error in use is held
 * against the straight line through the errors found; the rest is proven and kept free as margin.
 *
 * Throws InvalidInputError for bad options, UnboundedResultError where limits are too wide.
 */
export function checkPlan(design: Design, options: CheckPlanOptions = {}): CheckPlan {
  checkOptions(options);
  const conditions = {
    ambientCelsius: options.ambientCelsius ?? usualCheckAmbient(design),
    readingsAveraged: options.readingsAveraged ?? USUAL_READINGS,
    productionFactor: options.productionFactor ?? USUAL_PRODUCTION_FACTOR,
  };
  const proven = provenStatement(design);
  const model = new CheckModel(design, conditions);
  const aim = options.statement ?? proven;
  const voltages = checkVoltages(model.onBench, (voltage) => permittedAt(aim, voltage));
  const bench = benchPoints(model, voltages, aim.share.toNumber());
  const { process } = options;
  const statement = options.statement ?? {
    share: proven.share,
    volts: verifiableVolts(proven.share, bench, process),
  };
  const points = bench.map((one) => checkPoint(one, { model, statement, process }));
  const { upper, lower } = design.divider;
  const nominal = [...upper, ...lower].reduce(
    (sum, { count, resistance }) => sum + count * resistance.toNumber(),
    0,
  );
  return {
    statement,
    statementReason:
      options.statement === undefined
        ? "least volts that can be verified on every unit"
        : "asked for",
    proven,
    conditions,
    process: process ?? "ratio of 4",
    points,
    dynamic: dynamicCheck(model, points, nominal),
    limits: limitChecks(design, options.parts ?? []),
    verdict: verdictOf(points),
  };
}
