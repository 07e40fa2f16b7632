import { OutsideDomainError } from "../errors.ts";
import { PlainEvaluator } from "../expression/evaluate.ts";
import type { Tape } from "../expression/tape.ts";
import { effectiveDegreesOfFreedom } from "../statistics/effective-degrees-of-freedom.ts";
import { studentQuantile } from "../statistics/student-quantile.ts";
import type { PreparedModel } from "./measurement-model.ts";
import { TaylorEvaluator } from "./taylor.ts";

/** What one input adds to the combined standard uncertainty of one output. */
export interface Contribution {
  readonly input: string;
  /** Partial derivative at the estimates, unit of the output per unit of the input. */
  readonly sensitivity: number;
  readonly standardUncertainty: number;
  readonly degreesOfFreedom: number;
  /** Sensitivity times standard uncertainty, signed, in the unit of the output. */
  readonly contribution: number;
  /**
   * Share of the variance; 0 where the variance is 0. With correlation each input takes its part
   * of the mixed terms, so that shares add up to 1 and may be negative.
   */
  readonly share: number;
}

/** Estimate, uncertainty and interval of one output by the law of propagation. */
export interface PropagatedUncertainty {
  readonly estimate: number;
  readonly combinedStandardUncertainty: number;
  /** Not truncated; Infinity where no input has finite degrees of freedom. */
  readonly effectiveDegreesOfFreedom: number;
  /** From Student t with the effective degrees of freedom truncated to an integer. */
  readonly coverageFactor: number;
  readonly expandedUncertainty: number;
  /** Estimate -/+ expanded uncertainty. */
  readonly coverageInterval: { readonly lower: number; readonly upper: number };
}

/** Result of the law of propagation of uncertainty for one output. */
export interface OutputPropagation {
  readonly firstOrder: PropagatedUncertainty;
  /** Only for independent inputs, for which the formula holds. */
  readonly secondOrder?: PropagatedUncertainty;
  /** In the order of the inputs. */
  readonly contributions: readonly Contribution[];
}

/** Estimate, combined uncertainty and degrees of freedom taken to an interval. */
export function expand(
  estimate: number,
  combined: number,
  facts: { readonly degreesOfFreedom: number; readonly coverageProbability: number },
): PropagatedUncertainty {
  const { degreesOfFreedom, coverageProbability } = facts;
  const whole = degreesOfFreedom === Infinity ? Infinity : Math.floor(degreesOfFreedom + 1e-9);
  const coverageFactor = studentQuantile((1 + coverageProbability) / 2, Math.max(1, whole));
  const expandedUncertainty = coverageFactor * combined;
  return {
    estimate,
    combinedStandardUncertainty: combined,
    effectiveDegreesOfFreedom: degreesOfFreedom,
    coverageFactor,
    expandedUncertainty,
    coverageInterval: {
      lower: estimate - expandedUncertainty,
      upper: estimate + expandedUncertainty,
    },
  };
}

/** Throws OutsideDomainError unless all the values are finite. */
export function requireFinite(values: ArrayLike<number>, output: string, point: string): void {
  for (let index = 0; index < values.length; index += 1) {
    const value = values[index]!;
    if (Number.isFinite(value)) continue;
    throw new OutsideDomainError({
      path: `outputs.${output}`,
      quantity: `value and derivatives of ${output} at the estimates`,
      permitted: "finite",
      received: String(value),
      hint: `the estimates are ${point}`,
    });
  }
}

/**
 * Effective degrees of freedom. For correlated inputs the formula does not hold: the least degrees
 * of freedom of those that contribute are taken, which makes no interval too short.
 */
export function degreesOfFreedomOf(
  combined: number,
  contributions: readonly Contribution[],
  isCorrelated: boolean,
): number {
  const parts = contributions.map(({ contribution, degreesOfFreedom }) => ({
    standardUncertainty: Math.abs(contribution),
    degreesOfFreedom,
  }));
  if (!isCorrelated) return effectiveDegreesOfFreedom(combined, parts);
  const contributing = parts.filter(({ standardUncertainty }) => standardUncertainty > 0);
  return Math.min(Infinity, ...contributing.map(({ degreesOfFreedom }) => degreesOfFreedom));
}

/** Variance that the terms of second order add, and the shift of the estimate. */
function secondOrderTerms(
  tape: Tape,
  root: number,
  { estimates, spreads }: { readonly estimates: Float64Array; readonly spreads: Float64Array },
): { variance: number; shift: number } {
  const evaluator = new TaylorEvaluator(tape);
  const size = estimates.length;
  let [variance, shift] = [0, 0];
  const first = new Float64Array(size);
  for (let i = 0; i < size; i += 1)
    first[i] = evaluator.evaluate(estimates, { i, j: i, root }).first;
  for (let i = 0; i < size; i += 1) {
    if (spreads[i] === 0) continue;
    for (let j = 0; j < size; j += 1) {
      if (spreads[j] === 0) continue;
      const { mixed, third } = evaluator.evaluate(estimates, { i, j, root });
      const squares = (spreads[i]! * spreads[j]!) ** 2;
      variance += (0.5 * mixed * mixed + first[i]! * third) * squares;
      if (i === j) shift += 0.5 * mixed * spreads[i]! ** 2;
    }
  }
  return { variance, shift };
}

/** Sum over j of r_ij c_j u_j. */
function correlated(
  parts: ArrayLike<number>,
  row: number,
  correlation: readonly (readonly number[])[] | undefined,
): number {
  if (correlation === undefined) return parts[row]!;
  return correlation[row]!.reduce((sum, r, column) => sum + r * parts[column]!, 0);
}

/** Propagation for every output, and the correlation of the outputs. */
export interface Propagation {
  readonly outputs: readonly OutputPropagation[];
  /** Correlation coefficients of the outputs, in their order; 0 beside an output of variance 0. */
  readonly correlation: readonly (readonly number[])[];
}

/**
 * Law of propagation of uncertainty at the estimates, first and second order. The tape's slots are
 * the inputs and its first roots the outputs. A floor counts as flat: quantisation has to be an
 * input of its own here, or be left to the Monte Carlo.
 *
 * Second order adds sum over i, j of (1/2 f_ij^2 + f_i f_ijj) u_i^2 u_j^2 to the variance and
 * leaves the estimate, as the examples of JCGM 101 do. The derivatives are exact.
 *
 * Throws OutsideDomainError where value or derivatives at the estimates are not finite.
 *
 * Source: JCGM 100:2008, 5.1.2 with its note, 5.2.2, G.4; JCGM 102:2011, 6.2 (several outputs).
 */
export function propagate(
  model: PreparedModel,
  tape: Tape,
  coverageProbability: number,
): Propagation {
  const { inputs, correlation } = model;
  const estimates = Float64Array.from(inputs, ({ estimate }) => estimate);
  const spreads = Float64Array.from(inputs, ({ standardUncertainty }) => standardUncertainty);
  const evaluator = new PlainEvaluator(tape);
  evaluator.evaluate(estimates);
  const shown = inputs.map(({ name, estimate }) => `${name} = ${estimate}`).join(", ");
  const gradient = new Float64Array(inputs.length);
  const parts: Float64Array[] = [];
  const outputs = model.outputNames.map((name, root) => {
    evaluator.evaluate(estimates);
    evaluator.gradient(root, gradient);
    const estimate = evaluator.root(root);
    requireFinite([estimate, ...gradient], name, shown);
    const signed = gradient.map((sensitivity, index) => sensitivity * spreads[index]!);
    parts.push(signed);
    const mixed = signed.map((part, index) => part * correlated(signed, index, correlation));
    const variance = Math.max(
      0,
      mixed.reduce((sum, term) => sum + term, 0),
    );
    const combined = Math.sqrt(variance);
    const contributions = inputs.map((input, index) => ({
      input: input.name,
      sensitivity: gradient[index]!,
      standardUncertainty: input.standardUncertainty,
      degreesOfFreedom: input.degreesOfFreedom,
      contribution: signed[index]!,
      share: variance === 0 ? 0 : mixed[index]! / variance,
    }));
    const degreesOfFreedom = degreesOfFreedomOf(combined, contributions, correlation !== undefined);
    const facts = { degreesOfFreedom, coverageProbability };
    const firstOrder = expand(estimate, combined, facts);
    if (correlation !== undefined) return { firstOrder, contributions };
    const second = secondOrderTerms(tape, root, { estimates, spreads });
    requireFinite([second.variance], name, shown);
    // The mixed third derivatives can take away more than the first order holds.
    const secondCombined = Math.sqrt(Math.max(0, variance + second.variance));
    return { firstOrder, secondOrder: expand(estimate, secondCombined, facts), contributions };
  });
  const covariance = (a: number, b: number): number =>
    parts[a]!.reduce(
      (sum, part, index) => sum + part * correlated(parts[b]!, index, correlation),
      0,
    );
  const matrix = outputs.map((_, a) =>
    outputs.map((__, b) => {
      if (a === b) return 1;
      const size = Math.sqrt(covariance(a, a) * covariance(b, b));
      return size > 0 ? Math.max(-1, Math.min(1, covariance(a, b) / size)) : 0;
    }),
  );
  return { outputs, correlation: matrix };
}
