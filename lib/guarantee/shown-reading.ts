import { add } from "../expression/build.ts";
import { PlainEvaluator } from "../expression/evaluate.ts";
import type { Expression } from "../expression/node.ts";
import { topologicalOrder } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import { invariant } from "../errors.ts";
import type { Domain } from "./domain.ts";

/** A witness stays at least this far from every rounding edge, in steps of the quantiser. */
export const EDGE_MARGIN = 1e-6;

/** The equation through the real roundings, in plain doubles, for witnesses. */
export class ShownReading {
  private readonly evaluator: PlainEvaluator;
  private readonly domain: Domain;
  private readonly nearest: readonly boolean[];

  constructor(model: MeasurementModel, domain: Domain) {
    this.domain = domain;
    const named = new Map<string, Expression>();
    for (const node of topologicalOrder([model.shown]))
      if (node.kind === "named") named.set(node.name, node);
    const list = model.quantisers.map(({ argument }) => {
      const node = named.get(argument);
      invariant(node !== undefined, `the equation defines ${argument}`);
      return add(node, 0);
    });
    this.nearest = model.quantisers.map(({ mode }) => mode === "nearest");
    this.evaluator = new PlainEvaluator(compileTape([model.shown, ...list], domain.names));
  }

  /** Error of indication through the real roundings, V. */
  error(point: ArrayLike<number>): number {
    return this.evaluator.evaluate(point);
  }

  /** Distance to the nearest rounding edge of the last {@link error}, over all quantisers. */
  distanceToEdge(): number {
    let least = Infinity;
    for (const [index, nearest] of this.nearest.entries()) {
      const shifted = this.evaluator.root(index + 1) + (nearest ? 0.5 : 0);
      const fraction = shifted - Math.floor(shifted);
      least = Math.min(least, fraction, 1 - fraction);
    }
    return least;
  }

  /** Error when the point, moved inside the decimal limits, is a fair witness, else undefined. */
  witnessed(point: Float64Array): number | undefined {
    this.domain.moveInside(point);
    const error = this.error(point);
    return this.distanceToEdge() >= EDGE_MARGIN && Number.isFinite(error) ? error : undefined;
  }
}
