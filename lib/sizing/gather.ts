import { InvariantBrokenError } from "../errors.ts";
import type { Candidate, Sighted } from "./candidate.ts";
import { Frontiers } from "./frontiers.ts";
import { openSearchPool } from "./search-pool.ts";
import type { SearchPool } from "./search-pool.ts";
import type { SearchFindings } from "./search.ts";
import type { SizingSpace } from "./space.ts";

/** How far a search has come. */
export interface SizingProgress {
  readonly structures: number;
  readonly of: number;
  /** Cost of the cheapest combination so far that is seen to meet every requirement. */
  readonly cheapest: number | undefined;
  /** Combinations still to be proven; 0 until the structures are searched. */
  readonly toProve: number;
}

/** How a search is run; only `signal` can change what is found, and the result says so. */
export interface SizingOptions {
  /** Worker threads; 0, the default, works in the calling thread. */
  readonly workers?: number;
  /** Structures per order to a worker; changes how much is looked at, not what is found. */
  readonly part?: number;
  /** Ends the search early with what is proven by then. */
  readonly signal?: AbortSignal;
  readonly progress?: (progress: SizingProgress) => void;
}

/** What a search of a whole space has found. */
export interface SpaceFindings {
  /** Proven combinations alone. */
  readonly frontiers: Frontiers;
  /** Whether nothing better exists. */
  readonly complete: boolean;
  readonly excluded: SearchFindings["excluded"];
  readonly structures: number;
  readonly looked: number;
  readonly proven: number;
}

/** Beyond these shares of the allowed error a combination is no neighbour of the requirement. */
const SHARES = [1.5, 4, 32, Infinity] as const;
/**
 * By how much a proof is expected to exceed what is seen: proofs stop within a thousandth. Where
 * that is too little the search is done again with proofs at once.
 */
const MARGINS = [1.5e-3, undefined] as const;
const LEAST_PART = 6;
/** Parts of a large space, however many workers there are: they do not change what is done. */
const PARTS = 24;
/** Parts of one round: each begins with what the rounds before have found, not its neighbours. */
const FIRST_ROUND = 2;
const LARGEST_ROUND = 8;
/** Combinations that are proven by one order to a worker. */
const PROOFS = 4;

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

/** Parts by round: few at first, so that most begin with good combinations of the others. */
function roundsOf<Part>(parts: readonly Part[]): readonly (readonly Part[])[] {
  const rounds: (readonly Part[])[] = [];
  for (let [from, size] = [0, FIRST_ROUND]; from < parts.length;) {
    rounds.push(parts.slice(from, from + size));
    from += size;
    size = Math.min(LARGEST_ROUND, 2 * size);
  }
  return rounds;
}

const keyOf = ({ structure, choice }: Candidate): string => `${structure}:${choice.join()}`;

/** Searches a space for combinations near a requirement. */
class Gatherer {
  readonly excluded: { structure: number; reason: string }[] = [];
  looked = 0;
  proven = 0;
  structures = 0;
  private readonly space: SizingSpace;
  private readonly pool: SearchPool;
  private readonly options: SizingOptions;
  private readonly mostUsed: number;
  private readonly sighted: Sighted[] = [];
  private readonly known = new Map<string, Candidate>();

  constructor(
    space: SizingSpace,
    pool: SearchPool,
    { mostUsed, options }: { readonly mostUsed: number; readonly options: SizingOptions },
  ) {
    this.space = space;
    this.pool = pool;
    this.options = options;
    this.mostUsed = mostUsed;
  }

  private get isStopped(): boolean {
    return this.options.signal?.aborted === true;
  }

  /** Does every task of a list, as many at a time as there are workers. */
  private async each<Task>(tasks: readonly Task[], run: (task: Task) => Promise<void>) {
    const waiting = [...tasks];
    const work = async (): Promise<void> => {
      for (let task = waiting.shift(); task !== undefined; task = waiting.shift()) await run(task);
    };
    await Promise.all(Array.from({ length: this.pool.width }, work));
  }

  private report(frontiers: Frontiers, toProve: number): void {
    const cheapest = frontiers.byError.candidates.find(({ used }) => used <= 1)?.cost;
    const of = this.space.structures.length;
    this.options.progress?.({ structures: this.structures, of, cheapest, toProve });
  }

  /** Those that may stand on a frontier beside the candidates. */
  private standing(candidates: readonly Candidate[]): readonly Sighted[] {
    const frontiers = new Frontiers(this.mostUsed, candidates);
    return this.sighted.filter(
      ({ cost, seen, capacitance }) => !frontiers.exclude({ cost, share: seen, capacitance }),
    );
  }

  /**
   * Searches part by part. What a part is told depends on the rounds before alone, never on which
   * worker was quicker: so even the number of looks is the same for any number of workers.
   */
  async search(margin: number | undefined): Promise<void> {
    const { space, options, mostUsed } = this;
    const of = space.structures.length;
    const part = options.part ?? Math.max(LEAST_PART, Math.ceil(of / PARTS));
    this.structures = 0;
    this.excluded.length = 0;
    for (const round of roundsOf(partsOf(of, part))) {
      const known = this.standing(this.sighted);
      await this.each(round, async (structures) => {
        if (this.isStopped) return;
        const asked = { structures, known, mostUsed };
        const found = await this.pool.search(margin === undefined ? asked : { ...asked, margin });
        this.sighted.push(...found.sighted);
        this.excluded.push(...found.excluded);
        this.looked += found.looked;
        this.proven += found.proven;
        this.structures += structures.length;
        this.report(new Frontiers(mostUsed, this.sighted), 0);
      });
    }
  }

  private async prove(combinations: readonly Sighted[]): Promise<void> {
    const open = combinations
      .filter((one) => !one.isProven && !this.known.has(keyOf(one)))
      .map(({ structure, choice }) => ({ structure, choice }))
      .sort((one, other) => one.structure - other.structure);
    const orders = Array.from({ length: Math.ceil(open.length / PROOFS) }, (_, order) =>
      open.slice(order * PROOFS, (order + 1) * PROOFS),
    );
    let toProve = open.length;
    await this.each(orders, async (order) => {
      for (const found of await this.pool.prove({ combinations: order }))
        this.known.set(keyOf(found), found);
      this.proven += order.length;
      toProve -= order.length;
      this.report(new Frontiers(this.mostUsed, [...this.known.values()]), toProve);
    });
  }

  /** Proves what was forecast to stand on a frontier; then what may stand beside that. */
  async proveStanding(): Promise<Frontiers> {
    for (const { seen: _, isProven, ...candidate } of this.sighted)
      if (isProven) this.known.set(keyOf(candidate), candidate);
    const forecast = new Frontiers(this.mostUsed, this.sighted);
    const { byError, byCapacitance } = forecast;
    const members = new Set([...byError.candidates, ...byCapacitance.candidates].map(keyOf));
    await this.prove(this.sighted.filter((one) => members.has(keyOf(one))));
    await this.prove(this.standing([...this.known.values()]));
    return new Frontiers(this.mostUsed, [...this.known.values()]);
  }

  /** Whether every cut was right: what was forecast is reached by what is proven. */
  isTrue(frontiers: Frontiers): boolean {
    return this.sighted.every((one) => frontiers.reach(one));
  }

  /** Forgets forecasts; what is proven stays known. */
  forget(): void {
    const known = [...this.known.values()].map((one) => ({ ...one, seen: one.used }));
    this.sighted.splice(0, Infinity, ...known.map((one) => ({ ...one, isProven: true })));
  }

  async gather(): Promise<SpaceFindings> {
    let frontiers = new Frontiers(this.mostUsed);
    let complete = false;
    for (const margin of MARGINS) {
      await this.search(margin);
      frontiers = await this.proveStanding();
      const isTrue = this.isTrue(frontiers);
      complete = isTrue && this.structures === this.space.structures.length;
      if (this.isStopped || isTrue) break;
      this.forget();
    }
    const { excluded, structures, looked, proven } = this;
    return { frontiers, complete, excluded, structures, looked, proven };
  }
}

/**
 * Finds the frontiers of a space, widening the share of the allowed error that is of interest until
 * something comes near enough.
 */
export async function gatherSpace(
  space: SizingSpace,
  options: SizingOptions,
): Promise<SpaceFindings> {
  const pool = openSearchPool(space, options.workers ?? 0);
  try {
    for (const mostUsed of SHARES) {
      const found = await new Gatherer(space, pool, { mostUsed, options }).gather();
      const isNear = found.frontiers.byError.candidates.length > 0;
      if (isNear || mostUsed === Infinity) return found;
      if (options.signal?.aborted === true) return { ...found, complete: false };
    }
    throw new InvariantBrokenError("the last share is infinite");
  } finally {
    await pool.close();
  }
}
