import type { Fault } from "../errors.ts";

/** A pair of limits, in the unit of the quantity; the lower one lies below the upper one. */
export interface DistributionLimits {
  readonly lower: number;
  readonly upper: number;
}

/**
 * What is known of an input quantity, as a probability distribution. All figures are in the unit
 * of the quantity.
 *
 * Source: JCGM 100:2008, 4.3; JCGM 101:2008, 6.4 and table 1.
 */
export type Distribution =
  | ({ readonly shape: "rectangular" } & DistributionLimits)
  /** Symmetric, its peak in the middle. */
  | ({ readonly shape: "triangular" } & DistributionLimits)
  /** Symmetric; `topRatio` is the width of the flat top over that of the base, 0 to 1. */
  | ({ readonly shape: "trapezoidal"; readonly topRatio: number } & DistributionLimits)
  /** Rectangular with limits known to +/- `limitUncertainty` only. */
  | ({
      readonly shape: "curvilinearTrapezoid";
      readonly limitUncertainty: number;
    } & DistributionLimits)
  /** Of a sinusoid of unknown phase; also called U-shaped. */
  | ({ readonly shape: "arcsine" } & DistributionLimits)
  /** One of the two limits, each as likely. */
  | ({ readonly shape: "twoPoint" } & DistributionLimits)
  /** `cut`: the values beyond that many standard deviations do not occur; at least 0.5. */
  | {
      readonly shape: "normal";
      readonly mean: number;
      readonly standardDeviation: number;
      readonly cut?: number;
    }
  /** Student t around `mean`, stretched by `scale`; what n readings give with n - 1 degrees. */
  | {
      readonly shape: "studentT";
      readonly mean: number;
      readonly scale: number;
      readonly degreesOfFreedom: number;
    }
  /** Each of the values as likely as the others. */
  | { readonly shape: "empirical"; readonly values: readonly number[] };

interface Figure {
  readonly field: string;
  readonly quantity: string;
  readonly value: number;
  readonly permitted: string;
  readonly holds: boolean;
}

function finiteLimit(field: "lower" | "upper", value: number): Figure {
  const holds = Number.isFinite(value);
  return { field, quantity: `${field} limit`, value, permitted: "a finite number", holds };
}

function limitFigures({ lower, upper }: DistributionLimits): Figure[] {
  return [
    finiteLimit("lower", lower),
    finiteLimit("upper", upper),
    {
      field: "upper",
      quantity: "upper limit",
      value: upper,
      permitted: `above the lower limit ${lower}`,
      holds: !(Number.isFinite(lower) && Number.isFinite(upper)) || lower < upper,
    },
  ];
}

function spreadFigures(field: string, quantity: string, mean: number, spread: number): Figure[] {
  return [
    {
      field: "mean",
      quantity: "mean",
      value: mean,
      permitted: "a finite number",
      holds: Number.isFinite(mean),
    },
    {
      field,
      quantity,
      value: spread,
      permitted: "a finite number above zero",
      holds: Number.isFinite(spread) && spread > 0,
    },
  ];
}

function figuresOf(distribution: Distribution): Figure[] {
  switch (distribution.shape) {
    case "rectangular":
    case "triangular":
    case "arcsine":
    case "twoPoint":
      return limitFigures(distribution);
    case "trapezoidal": {
      const { topRatio } = distribution;
      const ratio = { field: "topRatio", quantity: "ratio of top to base", value: topRatio };
      const holds = topRatio >= 0 && topRatio <= 1;
      return [...limitFigures(distribution), { ...ratio, permitted: "0 to 1", holds }];
    }
    case "curvilinearTrapezoid": {
      const value = distribution.limitUncertainty;
      const half = (distribution.upper - distribution.lower) / 2;
      const field = { field: "limitUncertainty", quantity: "uncertainty of the limits", value };
      const permitted = "above zero and at most half the distance of the limits";
      const holds = value > 0 && (value <= half || !(half > 0));
      return [...limitFigures(distribution), { ...field, permitted, holds }];
    }
    case "normal": {
      const { mean, standardDeviation, cut = Infinity } = distribution;
      return [
        ...spreadFigures("standardDeviation", "standard deviation", mean, standardDeviation),
        {
          field: "cut",
          quantity: "cut in standard deviations",
          value: cut,
          permitted: "at least 0.5",
          holds: cut >= 0.5,
        },
      ];
    }
    case "studentT": {
      const { mean, scale, degreesOfFreedom } = distribution;
      return [
        ...spreadFigures("scale", "scale", mean, scale),
        {
          field: "degreesOfFreedom",
          quantity: "degrees of freedom",
          value: degreesOfFreedom,
          permitted: "at least 1",
          holds: degreesOfFreedom >= 1,
        },
      ];
    }
    case "empirical": {
      const { values } = distribution;
      const odd = values.find((value) => !Number.isFinite(value));
      return [
        {
          field: "values",
          quantity: "number of values",
          value: values.length,
          permitted: "at least 2",
          holds: values.length >= 2,
        },
        {
          field: "values",
          quantity: "every value",
          value: odd ?? 0,
          permitted: "a finite number",
          holds: odd === undefined,
        },
      ];
    }
  }
}

/** Every fault of a distribution, with its place below `path`; none when it can be used. */
export function distributionFaults(distribution: Distribution, path: string): Fault[] {
  return figuresOf(distribution)
    .filter((figure) => !figure.holds)
    .map(({ field, quantity, permitted, value }) => ({
      path: path === "" ? field : `${path}.${field}`,
      quantity,
      permitted,
      received: String(value),
    }));
}
