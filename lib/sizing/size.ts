import type { Candidate } from "./candidate.ts";
import { Frontier } from "./frontier.ts";
import type { SearchFindings } from "./search.ts";
import { openSearchPool } from "./search-pool.ts";
import type { SearchPool } from "./search-pool.ts";
import { sizingSpace } from "./space.ts";
import type { SizingQuestion, SizingSpace } from "./space.ts";

/** How far a search has come. */
export interface SizingProgress {
  readonly structures: number;
  readonly of: number;
  /** Cheapest combination so far that meets every requirement. */
  readonly cheapest: Candidate | undefined;
}

/** How a search is run; only `signal` can change what is found, and the result says so. */
export interface SizingOptions {
  /** Worker threads; 0, the default, works in the calling thread. */
  readonly workers?: number;
  /** Structures per order to a worker. */
  readonly part?: number;
  /** Ends the search early with what is proven by then. */
  readonly signal?: AbortSignal;
  readonly progress?: (progress: SizingProgress) => void;
}

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

/** Beyond these shares of the allowed error a combination is no neighbour of the requirement. */
const SHARES = [1.5, 4, 32, Infinity] as const;
const LEAST_PART = 6;
/** Parts per worker: each begins with what the ones before have found. */
const PARTS_EACH = 6;

/** Gathers what the parts of a search find. */
class Gatherer {
  readonly byError = new Frontier("used");
  readonly byCapacitance = new Frontier("capacitance");
  readonly excluded: { structure: number; reason: string }[] = [];
  looked = 0;
  proven = 0;
  structures = 0;

  add(found: SearchFindings, structures: number): void {
    for (const candidate of found.byError) this.byError.add(candidate);
    for (const candidate of found.byCapacitance) this.byCapacitance.add(candidate);
    this.excluded.push(...found.excluded);
    this.looked += found.looked;
    this.proven += found.proven;
    this.structures += structures;
  }

  get cheapest(): Candidate | undefined {
    return this.byError.candidates.find(({ used }) => used <= 1);
  }
}

function greatestCommonDivisor(one: number, other: number): number {
  return other === 0 ? one : greatestCommonDivisor(other, one % other);
}

/**
 * Structures in parts. Each takes structures from all over the space: good combinations then come
 * early and cut the rest. The golden ratio spreads steps evenly.
 */
function partsOf(count: number, size: number): readonly (readonly number[])[] {
  let step = Math.max(1, Math.round(count * 0.618));
  while (greatestCommonDivisor(step, count) > 1) step += 1;
  const spread = Array.from({ length: count }, (_, place) => (place * step) % count);
  return Array.from({ length: Math.ceil(count / size) }, (_, part) =>
    spread.slice(part * size, (part + 1) * size),
  );
}

async function gather(
  space: SizingSpace,
  pool: SearchPool,
  { mostUsed, options }: { readonly mostUsed: number; readonly options: SizingOptions },
): Promise<Gatherer> {
  const gatherer = new Gatherer();
  const even = Math.ceil(space.structures.length / (PARTS_EACH * pool.width));
  const part = options.part ?? Math.max(LEAST_PART, even);
  const parts = [...partsOf(space.structures.length, part)];
  const of = space.structures.length;
  const work = async (): Promise<void> => {
    for (;;) {
      const structures = options.signal?.aborted === true ? undefined : parts.shift();
      if (structures === undefined) return;
      const { byError, byCapacitance } = gatherer;
      const found = await pool.run({
        structures,
        byError: byError.candidates,
        byCapacitance: byCapacitance.candidates,
        mostUsed,
      });
      gatherer.add(found, structures.length);
      const { cheapest } = gatherer;
      options.progress?.({ structures: gatherer.structures, of, cheapest });
    }
  };
  await Promise.all(Array.from({ length: pool.width }, work));
  return gatherer;
}

/** Widens the share that is of interest until something comes near enough. */
async function searchSpace(space: SizingSpace, options: SizingOptions): Promise<Gatherer> {
  const pool = openSearchPool(space, options.workers ?? 0);
  try {
    let gatherer = new Gatherer();
    for (const mostUsed of SHARES) {
      gatherer = await gather(space, pool, { mostUsed, options });
      if (gatherer.byError.candidates.length > 0 || options.signal?.aborted === true) break;
    }
    return gatherer;
  } finally {
    await pool.close();
  }
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
  const found = await searchSpace(space, options);
  const { cheapest, byError, byCapacitance, excluded, looked, proven, structures } = found;
  const complete = structures === space.structures.length;
  const missed = cheapest === undefined && complete;
  const { capacitance: _, ...relaxed } = question;
  const leastCapacitance =
    missed && space.largestCapacitance < Infinity
      ? (await searchSpace(sizingSpace(relaxed), options)).byCapacitance.candidates.at(-1)
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
