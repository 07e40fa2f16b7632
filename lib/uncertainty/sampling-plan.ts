import { streamOf } from "../random/stream.ts";
import type { Stream } from "../random/stream.ts";
import type { Distribution } from "../statistics/distribution.ts";
import { normalProbability } from "../statistics/normal-probability.ts";
import { choleskyFactor } from "./cholesky.ts";
import type { PreparedInput, PreparedModel } from "./measurement-model.ts";
import { invariant } from "../errors.ts";

/**
 * How one input is drawn from uniform numbers, as data: both the loop in JavaScript and any other
 * form of it are laid out from this. `u` and `v` are the first and second uniform number.
 */
export type Draw =
  /** The same value in every trial; takes no uniform number. */
  | { readonly kind: "constant"; readonly value: number }
  /** The value at that place of the parameters a run is given; takes no uniform number. */
  | { readonly kind: "parameter"; readonly place: number }
  /** middle + half (2 u - 1) */
  | { readonly kind: "rectangular"; readonly middle: number; readonly half: number }
  /** middle +/- half (sqrt(2 tail) - 1) */
  | { readonly kind: "triangular"; readonly middle: number; readonly half: number }
  /** middle + half sin(pi (u - 1/2)) */
  | { readonly kind: "arcsine"; readonly middle: number; readonly half: number }
  | { readonly kind: "twoPoint"; readonly lower: number; readonly upper: number }
  /** A limit drawn from lower -/+ d, its mirror image, and a value between (JCGM 101, 6.4.3). */
  | {
      readonly kind: "curvilinearTrapezoid";
      readonly lower: number;
      readonly upper: number;
      readonly limitUncertainty: number;
    }
  /** middle + deviation times the normal quantile of u, or of outside + u (1 - 2 outside). */
  | {
      readonly kind: "normal";
      readonly mean: number;
      readonly deviation: number;
      readonly outside: number;
    }
  /** mean + scale sqrt(nu (u^(-2/nu) - 1)) cos(2 pi v) */
  | {
      readonly kind: "studentT";
      readonly mean: number;
      readonly scale: number;
      readonly degreesOfFreedom: number;
    }
  /** By the quantile function of the distribution. */
  | { readonly kind: "quantile"; readonly distribution: Distribution }
  /** mean + deviation times a sum of independent normal scores. */
  | {
      readonly kind: "jointNormal";
      readonly mean: number;
      readonly deviation: number;
      /** Weights of the scores of the correlated inputs up to this one. */
      readonly weights: readonly (readonly [input: number, weight: number])[];
    }
  /** Quantile of the distribution at the normal probability of such a sum. */
  | {
      readonly kind: "jointQuantile";
      readonly distribution: Distribution;
      readonly weights: readonly (readonly [input: number, weight: number])[];
    };

/** One input of the plan. */
export interface PlannedInput {
  readonly name: string;
  readonly draw: Draw;
  /** One stream per uniform number that a trial takes. */
  readonly streams: readonly Stream[];
}

/** Number of uniform numbers a draw takes. */
function drawCount(draw: Draw): number {
  if (draw.kind === "constant" || draw.kind === "parameter") return 0;
  return draw.kind === "curvilinearTrapezoid" || draw.kind === "studentT" ? 2 : 1;
}

/** Whether values far out hang on the last bits of a uniform number. */
function hasTails(draw: Draw): boolean {
  switch (draw.kind) {
    case "normal":
    case "studentT":
    case "jointNormal":
    case "jointQuantile":
      return true;
    default:
      return false;
  }
}

/** An input with the streams that its draw takes. */
export function plannedInput(name: string, draw: Draw): PlannedInput {
  const resolution = hasTails(draw) ? "fine" : "coarse";
  const streams = Array.from({ length: drawCount(draw) }, (_, number) =>
    streamOf(name, number, resolution),
  );
  return { name, draw, streams };
}

/** How a quantity that is correlated with no other is drawn. */
export function independentDraw(distribution: Distribution): Draw {
  switch (distribution.shape) {
    case "normal": {
      const { mean, standardDeviation, cut = Infinity } = distribution;
      const outside = cut === Infinity ? 0 : normalProbability(-cut);
      return { kind: "normal", mean, deviation: standardDeviation, outside };
    }
    case "studentT": {
      const { mean, scale, degreesOfFreedom } = distribution;
      if (degreesOfFreedom === Infinity)
        return { kind: "normal", mean, deviation: scale, outside: 0 };
      return { kind: "studentT", mean, scale, degreesOfFreedom };
    }
    case "curvilinearTrapezoid": {
      const { lower, upper, limitUncertainty } = distribution;
      return { kind: "curvilinearTrapezoid", lower, upper, limitUncertainty };
    }
    case "twoPoint":
      return { kind: "twoPoint", lower: distribution.lower, upper: distribution.upper };
    case "trapezoidal":
    case "empirical":
      return { kind: "quantile", distribution };
    default: {
      const { shape, lower, upper } = distribution;
      const middle = lower + (upper - lower) / 2;
      return { kind: shape, middle, half: (upper - lower) / 2 };
    }
  }
}

function jointDraw(input: PreparedInput, weights: (readonly [number, number])[]): Draw {
  const { distribution } = input;
  if (distribution.shape === "normal" && distribution.cut === undefined) {
    const { mean, standardDeviation: deviation } = distribution;
    return { kind: "jointNormal", mean, deviation, weights };
  }
  return { kind: "jointQuantile", distribution, weights };
}

/** Inputs that are correlated with at least one other. */
export function correlatedInputs(model: PreparedModel): readonly number[] {
  return (model.correlation ?? [])
    .map((row, index) => (row.some((r, column) => r !== 0 && column !== index) ? index : -1))
    .filter((index) => index >= 0);
}

/**
 * How every input of a model is drawn. Correlated inputs share normal scores: for normal
 * distributions that is the multivariate normal distribution of JCGM 101, 6.4.8; for others the
 * coefficients apply to the scores, and the values are a little less correlated.
 */
export function planSampling(model: PreparedModel): readonly PlannedInput[] {
  const joint = correlatedInputs(model);
  const factor = choleskyFactor(
    joint.map((row) => joint.map((column) => model.correlation![row]![column]!)),
  );
  invariant(factor !== undefined, "a checked correlation matrix is positive definite");
  return model.inputs.map((input, index) => {
    const place = joint.indexOf(index);
    const draw =
      place < 0
        ? independentDraw(input.distribution)
        : jointDraw(
            input,
            factor[place]!.map((weight, column) => [joint[column]!, weight] as const),
          );
    return plannedInput(input.name, draw);
  });
}
