import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import type { Claim } from "../claims/claim.ts";
import type { ClaimTally } from "./block.ts";

/** Hits of one class against what is asked for. */
export interface ClassCount {
  readonly name: string;
  readonly hits: number;
  readonly least: number;
}

/** How well the runs of a claim cover its space. */
export interface Coverage {
  readonly runs: number;
  readonly classes: readonly ClassCount[];
  /** Pairs of classes of two parameters that were met, and those of them met too seldom. */
  readonly pairs: number;
  readonly pairsShort: number;
}

/** In 1 000 runs each class is met at least so often, and each pair of classes. */
const LEAST_PER_CLASS = 50;
const LEAST_PER_PAIR = 3;
const PER = 1_000;

function added(tallies: readonly ClaimTally[], pick: "classes" | "pairs"): Map<string, number> {
  const sums = new Map<string, number>();
  for (const tally of tallies)
    for (const [name, count] of Object.entries(tally[pick]))
      sums.set(name, (sums.get(name) ?? 0) + count);
  return sums;
}

/** Every class of a claim by name: those of the parameters, and what is seen in an episode. */
export function classNames(claim: Claim, { classed }: ScenarioSpace): readonly string[] {
  return [
    ...classed
      .filter(({ strata }) => strata.length > 1)
      .flatMap(({ meaning, strata }) => strata.map(({ name }) => `${meaning}: ${name}`)),
    ...Object.keys(claim.covers ?? {}).map((name) => `outcome: ${name}`),
  ];
}

/**
 * Counts the classes and pairs of the runs that look for faults. Pairs that two parameters cannot
 * make, as the bleeder of an open circuit, are not asked for.
 */
export function coverageOf(
  claim: Claim,
  space: ScenarioSpace,
  { tallies, runs }: { readonly tallies: readonly ClaimTally[]; readonly runs: number },
): Coverage {
  const share = Math.min(runs, PER) / PER;
  const least = Math.ceil(LEAST_PER_CLASS * share);
  const hits = added(tallies, "classes");
  const names = classNames(claim, space);
  const pairs = added(tallies, "pairs");
  const leastOfPair = Math.ceil(LEAST_PER_PAIR * share);
  const short = [...pairs.values()].filter((count) => count < leastOfPair).length;
  return {
    runs,
    classes: names.map((name) => ({ name, hits: hits.get(name) ?? 0, least })),
    pairs: pairs.size,
    pairsShort: short,
  };
}
