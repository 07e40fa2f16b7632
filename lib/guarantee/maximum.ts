import { above } from "../interval/rounding.ts";
import type { Tape } from "../expression/tape.ts";
import { BoundQueue } from "./bound-queue.ts";
import { copyBox } from "./box.ts";
import type { Box } from "./box.ts";
import { Climber } from "./climb.ts";
import { FaceBounder } from "./face.ts";
import type { Collapse } from "./face.ts";

/** How far to go. */
export interface MaximumOptions {
  /** A bound is good when it exceeds the best point by less than this share of it. */
  readonly relativeGap: number;
  /** ... or by less than this, in units of the root. */
  readonly absoluteGap: number;
  /** Largest number of boxes to examine. */
  readonly workLimit: number;
  /** A bound of at most this is good however far it is from the best point. */
  readonly enough?: number;
}

/**
 * One step of a proof. Starting from the box it is given: collapse passes, then either a bound on
 * the face that is left, or a division into two. A division into `ends` replaces the interval of a
 * quantity by its two ends and adds `miss` to the bound of everything below it.
 */
export interface ProofStep {
  readonly passes: readonly (readonly Collapse[])[];
  readonly bound: number;
  division?: Division;
}

/** How a box was divided. */
export interface Division {
  readonly slot: number;
  readonly kind: "ends" | "halves";
  /** Where the halves meet; for `ends` the lower end. */
  readonly at: number;
  readonly miss: number;
  readonly parts: readonly [ProofStep, ProofStep];
}

/** Why a search ended: tight, low enough, out of work, or no double left between two ends. */
export type Stop = "gap" | "enough" | "work" | "rounding";

/** Largest value of a function over a box, from both sides. */
export interface Maximum {
  /** Proven: no value over the box exceeds it. */
  readonly bound: number;
  /** Best value found at a point of the box, in plain doubles. */
  readonly reached: number;
  readonly point: Float64Array;
  readonly boxes: number;
  /** Quantities that still have no sign on the face that carries the bound. */
  readonly undecided: readonly number[];
  readonly stopped: Stop;
  readonly proof: ProofStep;
}

/** An open box of the search. */
interface Open {
  readonly box: Box;
  readonly bound: number;
  readonly costly: readonly number[];
  /** What earlier steps to the ends of intervals may have missed, in all. */
  readonly penalty: number;
  readonly step: ProofStep;
}

interface Part {
  readonly box: Box;
  readonly penalty: number;
}

interface Cut {
  readonly slot: number;
  readonly kind: Division["kind"];
  readonly at: number;
  readonly miss: number;
  readonly parts: readonly [Part, Part];
}

/** Share of the tolerance that all steps to the ends of intervals together may use. */
const PENALTY_SHARE = 0.5;

/** Costly quantities that are tried for a step to their ends before one is halved. */
const CANDIDATES = 6;

/** Share of "enough" left for the rounding of a bound with its penalty. */
const ENOUGH_ROOM = 1e-14;

function middleOf(box: Box): Float64Array {
  return box.lower.map((low, slot) => low + (box.upper[slot]! - low) / 2);
}

function holds({ lower, upper }: Box, point: Float64Array): boolean {
  return point.every((value, slot) => value >= lower[slot]! && value <= upper[slot]!);
}

/**
 * Encloses the largest value of the first root of a tape over boxes by branch and bound, best box
 * first. A box is divided along its costliest quantity: into the two ends of its interval where
 * the second derivative shows that nothing worth having is missed between them, else into halves,
 * at zero where zero is inside.
 */
export class Maximiser {
  readonly tape: Tape;
  private readonly face: FaceBounder;
  private readonly climber: Climber;

  constructor(tape: Tape) {
    this.tape = tape;
    this.face = new FaceBounder(tape);
    this.climber = new Climber(tape);
  }

  /** Bounds a part, whose box is collapsed in place. */
  private open({ box, penalty }: Part, parentBound: number, enough: number): Open {
    const found = this.face.bound(box, enough - penalty - ENOUGH_ROOM * Math.abs(enough));
    const own = penalty === 0 ? found.bound : above(found.bound + penalty);
    const bound = Math.min(own, parentBound);
    const step: ProofStep = { passes: found.passes, bound };
    return { box, bound, costly: found.costly, penalty, step };
  }

  private cutToEnds(open: Open, slot: number, allowed: number): Cut | undefined {
    const { box } = open;
    const miss = this.face.missedAtEnds(box, slot);
    const penalty = above(open.penalty + miss);
    if (penalty > allowed) return undefined;
    const [lowPart, highPart] = [copyBox(box), copyBox(box)];
    lowPart.upper[slot] = box.lower[slot]!;
    highPart.lower[slot] = box.upper[slot]!;
    return {
      slot,
      kind: "ends",
      at: box.lower[slot]!,
      miss,
      parts: [
        { box: lowPart, penalty },
        { box: highPart, penalty },
      ],
    };
  }

  /** Halves a quantity; undefined where no double lies between its ends. */
  private cutToHalves(open: Open, slot: number): Cut | undefined {
    const { box, penalty } = open;
    const low = box.lower[slot]!;
    const high = box.upper[slot]!;
    const at = low < 0 && high > 0 ? 0 : low + (high - low) / 2;
    if (at <= low || at >= high) return undefined;
    const [lowPart, highPart] = [copyBox(box), copyBox(box)];
    lowPart.upper[slot] = at;
    highPart.lower[slot] = at;
    return {
      slot,
      kind: "halves",
      at,
      miss: 0,
      parts: [
        { box: lowPart, penalty },
        { box: highPart, penalty },
      ],
    };
  }

  /** Divides a box; all steps to ends together may miss `allowed`. */
  private cut(open: Open, allowed: number): Cut | undefined {
    this.face.enclose(open.box);
    for (const slot of open.costly.slice(0, CANDIDATES)) {
      const cut = this.cutToEnds(open, slot, allowed);
      if (cut !== undefined) return cut;
    }
    for (const slot of open.costly) {
      const cut = this.cutToHalves(open, slot);
      if (cut !== undefined) return cut;
    }
    return undefined;
  }

  /** The best value that climbing finds from the starts and from the middle of the box. */
  reach(box: Box, starts: readonly Float64Array[]): { value: number; point: Float64Array } {
    const best = new BestPoint(this.climber, box);
    for (const start of starts) best.tryFrom(start);
    if (starts.length === 0) best.tryFrom(middleOf(box));
    return { value: best.reached, point: best.point };
  }

  /**
   * Bounds the root from above over the box. `starts` are points from which to climb first, as the
   * best points of neighbouring boxes.
   */
  maximise(box: Box, options: MaximumOptions, starts: readonly Float64Array[] = []): Maximum {
    const best = new BestPoint(this.climber, box);
    const enough = options.enough ?? -Infinity;
    const root = this.open({ box: copyBox(box), penalty: 0 }, Infinity, enough);
    if (root.bound > enough) {
      best.tryFrom(middleOf(box));
      for (const start of starts) best.tryFrom(start);
    }
    const queue = new BoundQueue<Open>();
    queue.push(root);
    let boxes = 1;
    for (;;) {
      const worst = queue.first!;
      // From the middle of a box that holds the best point the climb mostly leads there again.
      if (worst.bound > Math.max(enough, best.reached) && !holds(worst.box, best.point))
        best.tryFrom(middleOf(worst.box));
      const tolerance = Math.max(options.absoluteGap, options.relativeGap * Math.abs(best.reached));
      const tight = worst.bound - best.reached <= tolerance;
      const done = tight || worst.bound <= enough;
      const cut =
        done || boxes >= options.workLimit ? undefined : this.cut(worst, tolerance * PENALTY_SHARE);
      if (cut === undefined) {
        const undecided = [...worst.box.lower.keys()].filter(
          (slot) => worst.box.lower[slot] !== worst.box.upper[slot],
        );
        return {
          bound: worst.bound,
          reached: best.reached,
          point: best.point,
          boxes,
          undecided,
          stopped: tight
            ? "gap"
            : done
              ? "enough"
              : boxes >= options.workLimit
                ? "work"
                : "rounding",
          proof: root.step,
        };
      }
      queue.take();
      const [low, high] = cut.parts.map((part) => this.open(part, worst.bound, enough)) as [
        Open,
        Open,
      ];
      boxes += 2;
      worst.step.division = {
        slot: cut.slot,
        kind: cut.kind,
        at: cut.at,
        miss: cut.miss,
        parts: [low.step, high.step],
      };
      queue.push(low);
      queue.push(high);
    }
  }
}

/** The best point found so far in a box. */
class BestPoint {
  reached = -Infinity;
  point: Float64Array;
  private readonly climber: Climber;
  private readonly box: Box;

  constructor(climber: Climber, box: Box) {
    this.climber = climber;
    this.box = box;
    this.point = middleOf(box);
  }

  /** Climbs from a point, moved into the box where it lies outside. */
  tryFrom(start: Float64Array): void {
    const { lower, upper } = this.box;
    const point = start.map((value, slot) => Math.min(Math.max(value, lower[slot]!), upper[slot]!));
    const reached = this.climber.climb(this.box, point);
    if (!(reached > this.reached)) return;
    this.reached = reached;
    this.point = point;
  }
}
