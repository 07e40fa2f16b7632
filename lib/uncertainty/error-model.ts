import { AMBIENT_ORIGIN_CELSIUS } from "../design/occasions.ts";
import { add, multiply, symbol } from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { PlainEvaluator } from "../expression/evaluate.ts";
import { compileTape } from "../expression/tape.ts";
import { InvalidInputError } from "../errors.ts";
import type { Particulars, ResultInUse, UnitCertificate } from "./particulars.ts";
import { MEASURAND, roundingQuantities } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Quantity } from "../design/quantity.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { Distribution } from "../statistics/distribution.ts";
import type { InputQuantity } from "./measurement-model.ts";
import type { SweptModel } from "./uncertainty-along.ts";

/** Declared limits of a quantity as a distribution; a normal one is cut at the limits. */
export function distributionOf({ lower, upper, distribution }: Quantity): Distribution {
  const limits = { lower: lower.toNumber(), upper: upper.toNumber() };
  if (distribution.shape !== "normal") return { shape: distribution.shape, ...limits };
  const { coverageFactor } = distribution;
  return {
    shape: "normal",
    mean: limits.lower + (limits.upper - limits.lower) / 2,
    standardDeviation: (limits.upper - limits.lower) / (2 * coverageFactor),
    cut: coverageFactor,
  };
}

/** Whether the limits leave a spread that a double can hold. */
function isSpread({ lower, upper }: Pick<Quantity, "lower" | "upper">): boolean {
  return lower.toNumber() < upper.toNumber();
}

/** An input, or a constant where the limits coincide. */
function inputOf(quantity: Quantity): InputQuantity {
  const { name, degreesOfFreedom } = quantity;
  const freedom = degreesOfFreedom === undefined ? {} : { degreesOfFreedom };
  return { name, distribution: distributionOf(quantity), ...freedom };
}

function middleOf({ lower, upper }: Pick<Quantity, "lower" | "upper">): number {
  return (lower.toNumber() + upper.toNumber()) / 2;
}

/** Whether a calibrated unit has the quantity behind it: it lies in the errors found. */
function isSettled({
  name,
  kind,
  occasion,
}: Pick<Quantity, "name" | "kind" | "occasion">): boolean {
  const isBefore = kind === "drift" && name.endsWith("_driftBefore");
  return kind === "production" || isBefore || occasion === "adjustLow" || occasion === "adjustHigh";
}

/** Quantities with the temperature of the use in place of the declared one. */
function quantitiesInUse(model: MeasurementModel, use: ResultInUse | undefined): Quantity[] {
  const { ambientCelsius } = use ?? {};
  if (ambientCelsius === undefined) return [...model.quantities];
  const above = (celsius: number): Decimal =>
    Decimal.fromNumber(celsius).value.subtract(AMBIENT_ORIGIN_CELSIUS);
  const lower = above(ambientCelsius.lower);
  const upper = above(ambientCelsius.upper);
  return model.quantities.map((quantity) =>
    quantity.name === "ambient_use" ? { ...quantity, lower, upper } : quantity,
  );
}

/** Figures of a certificate at a voltage, along straight lines between its points. */
function certified({ points, coverageFactor }: UnitCertificate, voltage: number) {
  const next = points.findIndex((point) => point.voltage >= voltage);
  const upper = points[next];
  const lower = points[Math.max(0, next - 1)];
  if (upper === undefined || lower === undefined || lower.voltage > voltage) {
    const range = `${points[0]?.voltage} V to ${points.at(-1)?.voltage} V`;
    const permitted = `inside the points of the certificate, ${range}`;
    const received = `${voltage} V`;
    const fault = { path: "certificate.points", quantity: "true voltage", permitted, received };
    throw new InvalidInputError("particulars", [fault]);
  }
  const width = upper.voltage - lower.voltage;
  const part = width === 0 ? 0 : (voltage - lower.voltage) / width;
  const between = (one: number, other: number): number => one + part * (other - one);
  return {
    error: between(lower.error, upper.error),
    standardUncertainty:
      between(lower.expandedUncertainty, upper.expandedUncertainty) / coverageFactor,
  };
}

const CERTIFICATE = { offset: "certificate_offset", spread: "certificate_spread" } as const;
const SCORE = "certificate_error";
const REPEATABILITY = "repeatability";
const LOADING = "loading_correction";

/** The terms that a certificate and a use add to the error. */
function addedTerms({ certificate, use }: Particulars): readonly Expression[] {
  return [
    ...(certificate === undefined
      ? []
      : [symbol(CERTIFICATE.offset), multiply(symbol(CERTIFICATE.spread), symbol(SCORE))]),
    ...(use?.readings === undefined ? [] : [symbol(REPEATABILITY)]),
    ...(use?.loading === undefined ? [] : [multiply(symbol(MEASURAND), symbol(LOADING))]),
  ];
}

function addedInputs({ certificate, use }: Particulars): InputQuantity[] {
  const inputs: InputQuantity[] = [];
  if (certificate !== undefined) {
    const { degreesOfFreedom } = certificate;
    const freedom = degreesOfFreedom === undefined ? {} : { degreesOfFreedom };
    const distribution = { shape: "normal", mean: 0, standardDeviation: 1 } as const;
    inputs.push({ name: SCORE, distribution, ...freedom });
  }
  if (use?.readings !== undefined) {
    const mean = use.readings.reduce((sum, reading) => sum + reading, 0) / use.readings.length;
    inputs.push({ name: REPEATABILITY, readings: use.readings.map((reading) => reading - mean) });
  }
  const loading = use?.loading;
  if (loading !== undefined && loading.standardUncertainty > 0) {
    const mean = loading.isApplied ? 0 : -loading.correction;
    const standardDeviation = loading.standardUncertainty;
    inputs.push({ name: LOADING, distribution: { shape: "normal", mean, standardDeviation } });
  }
  return inputs;
}

/** A model along the true voltage, with the values that its parameters take. */
export interface ErrorModel extends SweptModel {
  /** Parameters at a true voltage, V. */
  parametersAt(voltage: number): readonly number[];
}

/** What the equation says at the calibration: everything at its middle but the ambient. */
function errorAtCalibration(model: MeasurementModel, certificate: UnitCertificate) {
  const roundings = roundingQuantities(model);
  const all = [...model.quantities, ...roundings];
  const names = [...all.map(({ name }) => name), MEASURAND];
  const evaluator = new PlainEvaluator(compileTape([model.bounded], names));
  const origin = AMBIENT_ORIGIN_CELSIUS.toNumber();
  const point = Float64Array.from([
    ...all.map((quantity) =>
      quantity.name === "ambient_use" ? certificate.ambientCelsius - origin : middleOf(quantity),
    ),
    0,
  ]);
  return (voltage: number): number => {
    point[names.length - 1] = voltage;
    return evaluator.evaluate(point);
  };
}

/**
 * The error of indication of a design as a model for {@link uncertaintyAlong}: every declared
 * quantity with its distribution, the real roundings for the trials and a rectangular quantity for
 * each of them in the law of propagation. A quantity whose limits coincide is a constant.
 *
 * The same equation serves three subjects. Without particulars it speaks for any unit made to the
 * drawing. With a certificate the production spread, the adjustment and what drifted before it give
 * way to the errors found and their uncertainty; what is left is the change since: temperature,
 * drift, the reading. With a use the temperature of that use replaces the declared one, and the
 * scatter of its readings and the correction for loading are added.
 *
 * Throws {@link InvalidInputError} for a voltage outside the points of the certificate.
 */
export function errorModel(model: MeasurementModel, particulars: Particulars = {}): ErrorModel {
  const { certificate } = particulars;
  const settled = (one: Pick<Quantity, "name" | "kind" | "occasion">): boolean =>
    certificate !== undefined && isSettled(one);
  const quantities = quantitiesInUse(model, particulars.use);
  const isFree = (quantity: Quantity): boolean => isSpread(quantity) && !settled(quantity);
  const roundings = roundingQuantities(model);
  const isFreeRounding = (rounding: (typeof roundings)[number]): boolean =>
    isSpread(rounding) && (certificate === undefined || rounding.occasion === "use");
  const inputs = [
    ...quantities.filter(isFree).map(inputOf),
    ...roundings.filter(isFreeRounding).map(({ name, lower, upper }): InputQuantity => {
      const limits = { lower: lower.toNumber(), upper: upper.toNumber() };
      return { name, distribution: { shape: "rectangular", ...limits } };
    }),
    ...addedInputs(particulars),
  ];
  const loading = particulars.use?.loading;
  const constants = [
    ...quantities.filter((one) => !isFree(one)).map((one) => [one.name, middleOf(one)] as const),
    ...roundings
      .filter((one) => !isFreeRounding(one))
      .map((one) => [one.name, middleOf(one)] as const),
    ...(loading !== undefined && loading.standardUncertainty === 0
      ? [[LOADING, loading.isApplied ? 0 : -loading.correction] as const]
      : []),
  ];
  const terms = addedTerms(particulars);
  const atCalibration =
    certificate === undefined ? undefined : errorAtCalibration(model, certificate);
  return {
    parameters: [
      MEASURAND,
      ...(certificate === undefined ? [] : [CERTIFICATE.offset, CERTIFICATE.spread]),
    ],
    rounded: add(model.shown, ...terms),
    smooth: add(model.bounded, ...terms),
    inputs,
    constants: Object.fromEntries(constants),
    parametersAt: (voltage) => {
      if (certificate === undefined || atCalibration === undefined) return [voltage];
      const { error, standardUncertainty } = certified(certificate, voltage);
      return [voltage, error - atCalibration(voltage), standardUncertainty];
    },
  };
}
