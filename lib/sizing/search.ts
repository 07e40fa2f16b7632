import { BoundQueue } from "../guarantee/bound-queue.ts";
import type { Candidate, Sighted } from "./candidate.ts";
import { Frontiers } from "./frontiers.ts";
import type { PartialChoice } from "./grade-limits.ts";
import type { SizingSpace } from "./space.ts";
import type { Structure } from "./structure.ts";

/** Part of a search: some structures, and what is known from others. */
export interface SearchTask {
  readonly structures: readonly number[];
  /** Combinations of other structures against which these have to stand. */
  readonly known: readonly Sighted[];
  /** Combinations that take more than this share of the allowed error are of no interest. */
  readonly mostUsed: number;
  /**
   * Share by which a proof is expected to exceed what was seen; absent: each combination is proven
   * at once.
   */
  readonly margin?: number;
}

/** What a search has found, and what it cost. */
export interface SearchFindings {
  /** Every combination that may stand on a frontier, as far as these structures tell. */
  readonly sighted: readonly Sighted[];
  readonly proven: number;
  readonly looked: number;
  /** Structures that cannot be built, with the reason. */
  readonly excluded: readonly { readonly structure: number; readonly reason: string }[];
}

/** Choices that are still open, with what none of them falls below. */
interface Open {
  readonly structure: Structure;
  readonly choice: PartialChoice;
  /** Kinds in the order in which they are decided, and how many have been. */
  readonly order: readonly number[];
  readonly decided: number;
  readonly cost: number;
  readonly share: number;
  readonly capacitance: number;
  /** The queue takes the largest first: minus the cost. */
  readonly bound: number;
}

/**
 * Kinds of parts by how much their plainest option alone adds to the error, most first: deciding
 * them early cuts early.
 */
function orderOf(structure: Structure): readonly number[] {
  const open = structure.costs.map(() => undefined);
  const effects = structure.costs.map((options, kind) => {
    const cheapest = options.indexOf(Math.min(...options));
    return { kind, share: structure.seenShare(open.with(kind, cheapest as never)) };
  });
  return effects
    .sort((one, other) => other.share - one.share || one.kind - other.kind)
    .map(({ kind }) => kind);
}

/** Branch and bound over the choices of some structures, cheapest first. */
class Search {
  readonly sighted: Sighted[] = [];
  readonly excluded: { structure: number; reason: string }[] = [];
  proven = 0;
  looked = 0;
  private readonly space: SizingSpace;
  private readonly task: SearchTask;
  private readonly frontiers: Frontiers;
  private readonly queue = new BoundQueue<Open>();

  constructor(space: SizingSpace, task: SearchTask) {
    this.space = space;
    this.task = task;
    this.frontiers = new Frontiers(task.mostUsed, task.known);
  }

  /** Whether no choice that is still open can stand on a frontier. */
  private isCut({ cost, share, capacitance }: Omit<Open, "bound" | "structure">): boolean {
    if (capacitance > this.space.largestCapacitance) return true;
    return this.frontiers.exclude({ cost, share, capacitance });
  }

  private push(open: Omit<Open, "bound">): void {
    if (!this.isCut(open)) this.queue.push({ ...open, bound: -open.cost });
  }

  start(structure: Structure): void {
    const reason = structure.excluded();
    if (reason !== undefined) {
      this.excluded.push({ structure: structure.plan.index, reason });
      return;
    }
    structure.restart();
    const choice = structure.costs.map(() => undefined);
    const cost = structure.leastCost(choice);
    const share = structure.seenShare(choice);
    const capacitance = structure.leastCapacitance();
    this.looked += 1;
    const open = { structure, choice, decided: 0, cost, share, capacitance, order: [] };
    if (this.isCut(open)) return;
    this.push({ ...open, order: orderOf(structure) });
  }

  private divide(open: Open): void {
    const { structure, order, decided, capacitance } = open;
    const kind = order[decided]!;
    for (const option of structure.costs[kind]!.keys()) {
      const choice = open.choice.with(kind, option);
      const cost = structure.leastCost(choice);
      const known = { ...open, choice, cost, decided: decided + 1, capacitance };
      // The share of the parent holds here too: a look is saved where it is enough.
      if (this.isCut(known)) continue;
      this.looked += 1;
      this.push({ ...known, share: Math.max(open.share, structure.seenShare(choice)) });
    }
  }

  private sight({ structure, ...open }: Open): void {
    const choice = open.choice as readonly number[];
    const { margin } = this.task;
    this.looked += 1;
    const seen = structure.seenClosely(choice);
    if (this.isCut({ ...open, share: seen })) return;
    const { cost, capacitance } = structure.figuresOf(choice);
    if (this.isCut({ ...open, share: seen, capacitance })) return;
    // Whether it can be built is dear to tell, and of no interest where it changes nothing.
    if (!structure.canBeBuilt(choice)) return;
    if (margin === undefined) this.proven += 1;
    const used = margin === undefined ? structure.prove(choice).used : seen * (1 + margin);
    const isProven = margin === undefined;
    const number = structure.plan.index;
    const found: Sighted = { structure: number, choice, cost, used, capacitance, seen, isProven };
    this.sighted.push(found);
    this.frontiers.add(found);
  }

  run(): void {
    // Each step takes one entry and adds only entries with one more kind decided, so it ends.
    for (;;) {
      const open = this.queue.take();
      if (open === undefined) return;
      if (this.isCut(open)) continue;
      if (open.decided === open.order.length) this.sight(open);
      else this.divide(open);
    }
  }
}

/**
 * Finds, among the combinations of some structures, those that may belong to the frontiers. A cut
 * is made only where the least error that the open choices are all seen to reach, at the least cost
 * they can have, is no better than what is forecast of a combination. Where every forecast comes
 * true the frontiers are those of an evaluation of every combination, whatever is known before and
 * in whatever order it is found.
 */
export function searchStructures(space: SizingSpace, task: SearchTask): SearchFindings {
  const search = new Search(space, task);
  for (const index of task.structures) search.start(space.structures[index]!);
  search.run();
  const { sighted, proven, looked, excluded } = search;
  return { sighted, proven, looked, excluded };
}

/** Combinations to be proven, by structure. */
export interface ProofTask {
  readonly combinations: readonly Pick<Sighted, "structure" | "choice">[];
}

/** Proves combinations one by one. */
export function proveCombinations(space: SizingSpace, task: ProofTask): readonly Candidate[] {
  return task.combinations.map(({ structure, choice }) =>
    space.structures[structure]!.prove(choice),
  );
}
