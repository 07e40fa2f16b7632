import { InvalidInputError } from "../errors.ts";
import { PlainEvaluator } from "../expression/evaluate.ts";
import { compileTape } from "../expression/tape.ts";
import { MOST_DIMENSIONS, ScrambledPoints } from "../random/scrambled-points.ts";
import { keyOfSeed, streamOf } from "../random/stream.ts";
import { philox4x32 } from "../random/philox.ts";
import { quantileOf } from "../statistics/quantile.ts";
import { correlatedInputs } from "./sampling-plan.ts";
import type { UncertaintyModel } from "./measurement-model.ts";
import { prepareModel } from "./prepare-model.ts";

/** How much one input matters for one output, as shares of the output's variance. */
export interface SensitivityShare {
  readonly input: string;
  /** What would vanish from the variance if this input alone were known, on the average. */
  readonly first: number;
  /** What would remain if all others were known: with every interaction it takes part in. */
  readonly total: number;
}

/** How the shares are sampled. */
export interface SensitivityOptions {
  /** Points per input and round, a power of 2. Default 4096. */
  readonly points?: number;
  /** Seed of the scramble. Default 1. */
  readonly seed?: number;
}

/** Points of two independent samples of the inputs, A and B, as values. */
interface SamplePair {
  readonly a: Float64Array;
  readonly b: Float64Array;
}

function scrambleSeeds(names: readonly string[], seed: number): number[] {
  const key = keyOfSeed(seed);
  const words = new Uint32Array(4);
  return [0, 1].flatMap((half) =>
    names.map((name) => {
      const { identifier, drawWord } = streamOf(name, half);
      philox4x32([0, 0, identifier, drawWord], key, words);
      return words[0]!;
    }),
  );
}

function refuse(quantity: string, permitted: string, received: string): never {
  const fault = { path: "", quantity, permitted, received };
  throw new InvalidInputError("sensitivity shares", [fault]);
}

/** Runs through the points and sums up what the estimators need. */
function sumsOver(
  evaluator: PlainEvaluator,
  size: number,
  pairs: Iterable<SamplePair>,
): { variance: number; first: Float64Array; total: Float64Array } {
  const first = new Float64Array(size);
  const total = new Float64Array(size);
  let [count, mean, squares] = [0, 0, 0];
  for (const { a, b } of pairs) {
    const atA = evaluator.evaluate(a);
    const atB = evaluator.evaluate(b);
    for (const value of [atA, atB]) {
      count += 1;
      const step = value - mean;
      mean += step / count;
      squares += step * (value - mean);
    }
    for (let input = 0; input < size; input += 1) {
      const kept = a[input]!;
      a[input] = b[input]!;
      const mixed = evaluator.evaluate(a);
      a[input] = kept;
      // Jansen's forms: neither needs the mean, so that a large estimate does no harm.
      first[input]! += (atB - mixed) ** 2;
      total[input]! += (atA - mixed) ** 2;
    }
  }
  return { variance: squares / count, first, total };
}

/**
 * Shares of every input in the variance of every output, by sampling: what the gradient cannot
 * tell where the model is curved, has products of inputs or rounds. First shares add up to 1 for
 * an additive model; total ones add up to more where inputs act together. Uses scrambled
 * low-discrepancy points for models of up to 64 inputs.
 *
 * Throws {@link InvalidInputError} for correlated inputs, for which shares are not defined, for
 * more than 64 inputs, or a number of points that is no power of 2 from 64 to 1048576.
 *
 * Source: Saltelli et al., Computer Physics Communications 181 (2010) 259, estimators of Jansen
 * (from memory).
 */
export function sensitivityShares(
  given: UncertaintyModel,
  { points = 4_096, seed = 1 }: SensitivityOptions = {},
): Readonly<Record<string, readonly SensitivityShare[]>> {
  const model = prepareModel(given);
  const { inputs } = model;
  const size = inputs.length;
  if (correlatedInputs(model).length > 0) refuse("inputs", "independent", "a correlation matrix");
  if (size < 1 || 2 * size > MOST_DIMENSIONS)
    refuse("number of inputs", `1 to ${MOST_DIMENSIONS / 2}`, String(size));
  const isPower = Number.isInteger(Math.log2(points)) && points >= 64 && points <= 1_048_576;
  if (!isPower) refuse("number of points", "a power of 2 from 64 to 1048576", String(points));
  const names = inputs.map(({ name }) => name);
  const sample = new ScrambledPoints(scrambleSeeds(names, seed));
  function* pairs(): Generator<SamplePair> {
    const [a, b] = [new Float64Array(size), new Float64Array(size)];
    for (let index = 0; index < points; index += 1) {
      inputs.forEach(({ distribution }, slot) => {
        a[slot] = quantileOf(distribution, sample.coordinate(index, slot));
        b[slot] = quantileOf(distribution, sample.coordinate(index, size + slot));
      });
      yield { a, b };
    }
  }
  const entries = model.outputs.map((root, index) => {
    const evaluator = new PlainEvaluator(compileTape([root], names));
    const { variance, first, total } = sumsOver(evaluator, size, pairs());
    const shares = names.map((input, slot) => ({
      input,
      first: variance === 0 ? 0 : 1 - first[slot]! / (2 * points * variance),
      total: variance === 0 ? 0 : total[slot]! / (2 * points * variance),
    }));
    return [model.outputNames[index]!, shares] as const;
  });
  return Object.fromEntries(entries);
}
