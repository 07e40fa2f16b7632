import { invariant } from "../errors.ts";
import { above } from "../interval/rounding.ts";
import { CurvatureEvaluator } from "../expression/curvature.ts";
import { IntervalEvaluator } from "../expression/enclose.ts";
import type { Tape } from "../expression/tape.ts";
import type { Box } from "./box.ts";

/** A quantity that was moved to one end because the derivative keeps one sign. */
export interface Collapse {
  readonly slot: number;
  readonly end: "lower" | "upper";
}

/** What is known of the largest value of a function over a box. */
export interface FaceBound {
  /** No value over the box exceeds this. */
  readonly bound: number;
  /** Passes of collapse, each a list of quantities decided on the face left by the one before. */
  readonly passes: readonly (readonly Collapse[])[];
  /** Quantities that cost by an undecided sign, the costliest first; empty where all are points. */
  readonly costly: readonly number[];
}

/** A face is evaluated again when at least this share of what is open has just collapsed. */
const WORTH_ANOTHER_PASS = 0.25;

function openCount({ lower, upper }: Box): number {
  let count = 0;
  for (let slot = 0; slot < lower.length; slot += 1) if (lower[slot] !== upper[slot]) count += 1;
  return count;
}

/** Second derivatives enclosed in another order of operations differ by less than this factor. */
const CHECKER_ROOM = 1 + 2 ** -12;

/** Quantities that cost at least this share of the costliest are candidates for a division. */
const COSTLY_SHARE = 0.2;

/**
 * Bounds the largest value of the first root of a tape over a box by interval methods. The bound
 * is exact where the root is monotone in a quantity: the quantity is collapsed to the end its
 * derivative points to, and the rest is examined again on that face until little collapses. What
 * remains gets the better of the natural and the mean-value bound.
 *
 * Source: R. E. Moore, R. B. Kearfott, M. J. Cloud, Introduction to Interval Analysis (SIAM 2009),
 * chapters 6 to 8, for the mean-value form and the monotonicity test.
 */
export class FaceBounder {
  readonly tape: Tape;
  private readonly intervals: IntervalEvaluator;
  private readonly curvature: CurvatureEvaluator;
  private readonly gradientLower: Float64Array;
  private readonly gradientUpper: Float64Array;
  private readonly centre: Box;

  constructor(tape: Tape) {
    const size = tape.symbols.length;
    this.tape = tape;
    this.intervals = new IntervalEvaluator(tape);
    this.curvature = new CurvatureEvaluator(this.intervals);
    this.gradientLower = new Float64Array(size);
    this.gradientUpper = new Float64Array(size);
    this.centre = { lower: new Float64Array(size), upper: new Float64Array(size) };
  }

  /** Encloses the root over a box. */
  enclose(box: Box): readonly [number, number] {
    this.intervals.enclose(box.lower, box.upper);
    const root = this.tape.roots[0]!;
    return [this.intervals.lower[root]!, this.intervals.upper[root]!];
  }

  private collapseOnce(box: Box): Collapse[] {
    const { gradientLower, gradientUpper } = this;
    const { lower, upper } = box;
    const collapsed: Collapse[] = [];
    for (let slot = 0; slot < lower.length; slot += 1) {
      if (lower[slot] === upper[slot]) continue;
      const low = gradientLower[slot]!;
      const high = gradientUpper[slot]!;
      if (low >= 0) {
        lower[slot] = upper[slot]!;
        collapsed.push({ slot, end: "upper" });
      } else if (high <= 0) {
        upper[slot] = lower[slot]!;
        collapsed.push({ slot, end: "lower" });
      }
    }
    return collapsed;
  }

  /**
   * Mean-value bound with the centre placed where the bound is least. Uses the gradient of the
   * face as it was last evaluated.
   *
   * Source: E. Baumann, Optimal centered forms, BIT 28 (1988) 80-87.
   */
  private meanValueBound(box: Box): number {
    const { gradientLower, gradientUpper, centre } = this;
    const { lower, upper } = box;
    for (let slot = 0; slot < lower.length; slot += 1) {
      const low = gradientLower[slot]!;
      const high = gradientUpper[slot]!;
      let at = upper[slot]!;
      if (low < 0 && high > 0) {
        const inside = lower[slot]! + (high / (high - low)) * (upper[slot]! - lower[slot]!);
        at = Math.min(Math.max(inside, lower[slot]!), upper[slot]!);
      } else if (high <= 0) at = lower[slot]!;
      centre.lower[slot] = at;
      centre.upper[slot] = at;
    }
    let [, bound] = this.enclose(centre);
    for (let slot = 0; slot < lower.length; slot += 1) {
      if (lower[slot] === upper[slot]) continue;
      const at = centre.lower[slot]!;
      const rise = above(gradientUpper[slot]! * above(upper[slot]! - at));
      const fall = above(-gradientLower[slot]! * above(at - lower[slot]!));
      bound = above(bound + Math.max(rise, fall, 0));
    }
    return bound;
  }

  /** What an undecided sign adds to the mean-value bound with the best centre. */
  private costOf(box: Box, slot: number): number {
    const low = this.gradientLower[slot]!;
    const high = this.gradientUpper[slot]!;
    if (!(low < 0 && high > 0)) return 0;
    return ((box.upper[slot]! - box.lower[slot]!) * -low * high) / (high - low);
  }

  /**
   * Collapses the box in place to the face that carries the maximum and bounds it there. A bound of
   * at most `enough` is not made tighter.
   */
  bound(box: Box, enough = -Infinity): FaceBound {
    const { intervals, gradientLower, gradientUpper } = this;
    const passes: Collapse[][] = [];
    let natural = Infinity;
    // Each pass but the last collapses something, so the passes end.
    for (let pass = 0; pass <= box.lower.length; pass += 1) {
      const [, upper] = this.enclose(box);
      natural = Math.min(natural, upper);
      if (natural <= enough) return { bound: natural, passes, costly: [] };
      intervals.gradient(0, gradientLower, gradientUpper);
      const collapsed = this.collapseOnce(box);
      if (collapsed.length === 0) break;
      passes.push(collapsed);
      // The gradient of the larger face holds on the smaller: where little changed it will do.
      const left = openCount(box);
      if (left > 0 && collapsed.length < left * WORTH_ANOTHER_PASS) break;
    }
    const open: { slot: number; cost: number }[] = [];
    for (let slot = 0; slot < box.lower.length; slot += 1)
      if (box.lower[slot] !== box.upper[slot]) open.push({ slot, cost: this.costOf(box, slot) });
    open.sort((one, other) => other.cost - one.cost);
    const most = open[0]?.cost ?? 0;
    const costly = open.filter(({ cost }) => cost >= most * COSTLY_SHARE).map(({ slot }) => slot);
    const bound = open.length === 0 ? natural : Math.min(natural, this.meanValueBound(box));
    invariant(bound === bound, "a bound is a number");
    return { bound, passes, costly };
  }

  /**
   * What replacing the interval of a quantity by its two ends may miss: a function whose second
   * derivative is at least -c lies at most c width^2 / 8 above the larger of its end values. The
   * box must be the one enclosed last.
   */
  missedAtEnds(box: Box, slot: number): number {
    const width = above(box.upper[slot]! - box.lower[slot]!);
    const least = this.curvature.leastCurvature(slot);
    return least >= 0 ? 0 : above((above(-least * above(width * width)) / 8) * CHECKER_ROOM);
  }
}
