import * as fc from "fast-check";
import { invariant } from "../../lib/errors.ts";
import type { FirmwareSource } from "../../sim/firmware/port.ts";
import { seededUniform } from "../arbitraries/seeded-uniform.ts";
import { drawNumber, drawPoint, pointArbitrary } from "../arbitraries/space.ts";
import type { Point, Space, Uniform } from "../arbitraries/space.ts";
import type { Claim } from "../claims/claim.ts";
import type { CampaignContext } from "../claims/situation.ts";
import { BLOCK_SIZE } from "./block.ts";
import type { BlockKey, BlockResult, FoundFailure, JudgedPoint } from "./block.ts";
import { BlockLog } from "./block-log.ts";
import { evaluatePoint } from "./evaluate-point.ts";
import type { Evaluation } from "./evaluate-point.ts";

/** What the blocks of a campaign share. */
export interface BlockWork {
  readonly claims: readonly Claim[];
  readonly context: CampaignContext;
  readonly firmware: FirmwareSource;
  readonly seed: number;
  /** Values that failed once, by claim. */
  readonly corpus: Readonly<Record<string, readonly Point[]>>;
  /** Where a search begins that knows the budget's witness. */
  readonly witnesses: readonly Point[];
}

/** Runs that the reduction of a failure may take. */
const MOST_REDUCTIONS = 400;

/** Of so many runs one is repeated. */
const REPEATED = 25;

/** Draws among which a search chooses its start. */
const STARTS = 10;

class BlockRunner {
  private readonly work: BlockWork;
  private readonly key: BlockKey;
  private readonly claim: Claim;
  private readonly space: Space;
  private readonly log: BlockLog;
  private readonly run: (point: Point) => Evaluation;
  private readonly uniform: Uniform;

  constructor(work: BlockWork, key: BlockKey) {
    const claim = work.claims.find(({ id }) => id === key.claim);
    invariant(claim !== undefined, `the campaign has the claim ${key.claim}`);
    this.work = work;
    this.key = key;
    this.claim = claim;
    this.space = claim.over(work.context);
    this.log = new BlockLog(claim, this.space);
    const firmware = work.firmware.open();
    const { context } = work;
    this.run = (point) => evaluatePoint(claim, point, { firmware, context });
    this.uniform = seededUniform(work.seed, `${key.claim}/${key.method}`, key.block);
  }

  private evaluate(point: Point, place: number): Evaluation {
    const evaluation = this.run(point);
    this.log.note(point, evaluation);
    if (place % REPEATED === 0) this.log.noteRepeated(evaluation, this.run(point));
    return evaluation;
  }

  /** Smaller failures by the library's own shrinking, begun from values it drew itself. */
  private edges(count: number): FoundFailure | null {
    let smallest: JudgedPoint | undefined;
    let place = 0;
    let reductions = 0;
    fc.check(
      fc.property(pointArbitrary(this.space), (point) => {
        if (smallest === undefined) {
          const evaluation = this.evaluate(point, place);
          place += 1;
          if (evaluation.kind !== "judged" || evaluation.judged.margin >= 0) return true;
          smallest = evaluation.judged;
          return false;
        }
        if (reductions >= MOST_REDUCTIONS) return true;
        reductions += 1;
        const evaluation = this.run(point);
        if (evaluation.kind !== "judged" || evaluation.judged.margin >= 0) return true;
        smallest = evaluation.judged;
        return false;
      }),
      { seed: Math.floor(this.uniform() * 2 ** 31), numRuns: count, endOnFailure: false },
    );
    const met = this.log.failed;
    return met === undefined ? null : { met, smallest: smallest!, reductions };
  }

  /** Brings each dimension of a failure to the simplest number with which it still fails. */
  private reduced(met: JudgedPoint): FoundFailure {
    let smallest = met;
    let reductions = 0;
    for (const { name, classes } of this.space) {
      for (const candidate of [classes[0]!.least, ...classes.map(({ least }) => least)]) {
        if (candidate === smallest.point[name] || reductions >= MOST_REDUCTIONS) break;
        reductions += 1;
        const evaluation = this.run({ ...smallest.point, [name]: candidate });
        if (evaluation.kind !== "judged" || evaluation.judged.margin >= 0) continue;
        smallest = evaluation.judged;
        break;
      }
    }
    return { met, smallest, reductions };
  }

  private listed(points: readonly Point[]): FoundFailure | null {
    points.forEach((point, place) => this.evaluate(point, place));
    const met = this.log.failed;
    return met === undefined ? null : this.reduced(met);
  }

  /** A neighbour: a few dimensions drawn anew, or moved a little. */
  private neighbour(point: Point): Point {
    const moved: Record<string, number> = { ...point };
    const changes = 1 + Math.floor(this.uniform() * 3);
    for (let change = 0; change < changes; change += 1) {
      const dimension = this.space[Math.floor(this.uniform() * this.space.length)]!;
      const value = point[dimension.name]!;
      const own = dimension.classes.find(({ least, most }) => value >= least && value <= most);
      const near = own !== undefined && own.most > own.least && this.uniform() < 0.5;
      const step = near ? Math.round((this.uniform() - 0.5) * 0.1 * (own.most - own.least)) : 0;
      moved[dimension.name] =
        step === 0
          ? drawNumber(dimension, this.uniform)
          : Math.min(own!.most, Math.max(own!.least, value + step));
    }
    return moved;
  }

  private search(count: number, start: Point | undefined): FoundFailure | null {
    let best: JudgedPoint | undefined;
    for (let place = 0; place < count; place += 1) {
      const isStart = place < (start === undefined ? STARTS : 1) || best === undefined;
      const point = isStart
        ? place === 0 && start !== undefined
          ? start
          : drawPoint(this.space, this.uniform)
        : this.neighbour(best!.point);
      const evaluation = this.evaluate(point, place);
      if (evaluation.kind !== "judged") continue;
      if (best === undefined || evaluation.judged.margin <= best.margin) best = evaluation.judged;
    }
    const met = this.log.failed;
    return met === undefined ? null : this.reduced(met);
  }

  private asked(total: number): number {
    return Math.max(0, Math.min(BLOCK_SIZE, total - this.key.block * BLOCK_SIZE));
  }

  private slice(points: readonly Point[]): readonly Point[] {
    return points.slice(this.key.block * BLOCK_SIZE, (this.key.block + 1) * BLOCK_SIZE);
  }

  result(total: number): BlockResult {
    const { key, work, claim, space } = this;
    const asked = this.asked(total);
    let failure: FoundFailure | null;
    switch (key.method) {
      case "corpus":
        failure = this.listed(this.slice(work.corpus[claim.id] ?? []));
        break;
      case "exhaustive":
        failure = this.listed(this.slice(claim.every!(work.context)));
        break;
      case "edges":
        failure = this.edges(asked);
        break;
      case "search":
        failure = this.search(asked, undefined);
        break;
      case "witness": {
        const { length } = work.witnesses;
        failure = this.search(asked, completed(work.witnesses[key.block % length]!, space));
        break;
      }
      case "unbiased":
        failure = this.listed(
          Array.from({ length: asked }, (_, index) =>
            drawPoint(
              space,
              seededUniform(
                work.seed,
                `${key.claim}/${key.method}`,
                key.block * BLOCK_SIZE + index,
              ),
            ),
          ),
        );
        break;
    }
    return this.log.result(key, asked, failure);
  }
}

/** A point that says something of every dimension of a space, and of no other. */
function completed(point: Point, space: Space): Point {
  return Object.fromEntries(
    space.map(({ name, classes }) => [name, point[name] ?? classes[0]!.least]),
  );
}

/**
 * Does one block of a campaign. The result depends on the work and the key and on nothing else:
 * neither on blocks done before nor on who does it. `total`: runs asked of claim and method.
 */
export function runBlock(work: BlockWork, key: BlockKey, total: number): BlockResult {
  return new BlockRunner(work, key).result(total);
}
