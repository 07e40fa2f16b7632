import { PlainEvaluator } from "../expression/evaluate.ts";
import type { Tape } from "../expression/tape.ts";
import type { Box } from "./box.ts";

const MOST_STEPS = 12;

/** Climbs to a vertex of a box by the signs of the plain gradient. */
export class Climber {
  private readonly plain: PlainEvaluator;
  private readonly gradient: Float64Array;
  private readonly next: Float64Array;

  constructor(tape: Tape) {
    this.plain = new PlainEvaluator(tape);
    this.gradient = new Float64Array(tape.symbols.length);
    this.next = new Float64Array(tape.symbols.length);
  }

  /** Value of the first root at a point. */
  value(point: ArrayLike<number>): number {
    return this.plain.evaluate(point);
  }

  /** Moves the point, in place, while its value rises; returns the value reached. */
  climb(box: Box, point: Float64Array): number {
    const { plain, gradient, next } = this;
    let value = plain.evaluate(point);
    for (let step = 0; step < MOST_STEPS; step += 1) {
      plain.gradient(0, gradient);
      let moved = false;
      for (let slot = 0; slot < point.length; slot += 1) {
        const slope = gradient[slot]!;
        const end = slope > 0 ? box.upper[slot]! : slope < 0 ? box.lower[slot]! : point[slot]!;
        moved ||= end !== point[slot];
        next[slot] = end;
      }
      if (!moved) break;
      const reached = plain.evaluate(next);
      if (!(reached > value)) break;
      point.set(next);
      value = reached;
    }
    return value;
  }
}
