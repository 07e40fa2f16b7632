import type { Candidate } from "./candidate.ts";
import { gatherSpace } from "./gather.ts";
import type { SizingOptions } from "./gather.ts";
import type { SearchFindings } from "./search.ts";
import { sizingSpace } from "./space.ts";
import type { SizingQuestion, SizingSpace } from "./space.ts";

/** Frontiers of a space. */
export interface SizingResult {
  readonly space: SizingSpace;
  /** False where the search was ended early: better combinations may exist then. */
  readonly complete: boolean;
  /** Cost against the share of the allowed error that the proven error takes. */
  readonly byError: readonly Candidate[];
  /** Cost against product capacitance, every requirement met. */
  readonly byCapacitance: readonly Candidate[];
  readonly cheapest: Candidate | undefined;
  /** Where nothing meets every requirement, what comes nearest. */
  readonly nearest: Candidate | undefined;
  /**
   * Where nothing meets the requirements and the capacitance together: the combination with the
   * least product capacitance among those that meet the requirements.
   */
  readonly leastCapacitance: Candidate | undefined;
  /** Structures searched, combinations looked at together, and proven one by one. */
  readonly structures: number;
  readonly looked: number;
  readonly proven: number;
  readonly excluded: SearchFindings["excluded"];
}

/**
 * Finds the cheapest combination of parts that meets every requirement, and the frontiers of cost
 * against guaranteed error and against the smallest product capacitance. Every member is proven as
 * a budget proves it; nothing is left out but what a proven member excludes. The same question
 * gives the same result whatever the number of workers.
 *
 * Throws InvalidInputError for faults of template, catalogue or requirement.
 */
export async function sizeDesign(
  question: SizingQuestion,
  options: SizingOptions = {},
): Promise<SizingResult> {
  const space = sizingSpace(question);
  const { frontiers, complete, ...search } = await gatherSpace(space, options);
  const { excluded, looked, proven, structures } = search;
  const { byError, byCapacitance } = frontiers;
  const cheapest = byError.candidates.find(({ used }) => used <= 1);
  const missed = cheapest === undefined && complete;
  const { capacitance: _, ...relaxed } = question;
  const leastCapacitance =
    missed && space.largestCapacitance < Infinity
      ? (await gatherSpace(sizingSpace(relaxed), options)).frontiers.byCapacitance.candidates.at(-1)
      : undefined;
  return {
    space,
    complete,
    byError: byError.candidates,
    byCapacitance: byCapacitance.candidates,
    cheapest,
    nearest: cheapest === undefined ? byError.candidates.at(-1) : undefined,
    leastCapacitance,
    structures,
    looked,
    proven,
    excluded: [...excluded].sort((one, other) => one.structure - other.structure),
  };
}
