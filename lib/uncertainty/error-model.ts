import { MEASURAND, roundingQuantities } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Quantity } from "../design/quantity.ts";
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

/**
 * The error of indication of a design as a model for {@link uncertaintyAlong}, with the true
 * voltage as its parameter: every declared quantity with its distribution, the real roundings for
 * the trials and a rectangular quantity for each of them in the law of propagation. A quantity
 * whose limits coincide is a constant.
 */
export function errorModel(model: MeasurementModel): SweptModel {
  const spread = model.quantities.filter(isSpread);
  const fixed = model.quantities.filter((quantity) => !isSpread(quantity));
  const roundings = roundingQuantities(model);
  const inputs = [
    ...spread.map((quantity): InputQuantity => {
      const { name, degreesOfFreedom } = quantity;
      const freedom = degreesOfFreedom === undefined ? {} : { degreesOfFreedom };
      return { name, distribution: distributionOf(quantity), ...freedom };
    }),
    ...roundings.filter(isSpread).map(({ name, lower, upper }): InputQuantity => {
      const limits = { lower: lower.toNumber(), upper: upper.toNumber() };
      return { name, distribution: { shape: "rectangular", ...limits } };
    }),
  ];
  const constants = [
    ...fixed.map(({ name, lower }) => [name, lower.toNumber()] as const),
    ...roundings
      .filter((rounding) => !isSpread(rounding))
      .map(({ name, lower }) => [name, lower.toNumber()] as const),
  ];
  return {
    parameters: [MEASURAND],
    rounded: model.shown,
    smooth: model.bounded,
    inputs,
    constants: Object.fromEntries(constants),
  };
}
