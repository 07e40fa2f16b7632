import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Design } from "../design/design.ts";
import { UnboundedResultError } from "../errors.ts";
import { negate } from "../expression/build.ts";
import { compileTape } from "../expression/tape.ts";
import { bandsOf } from "../guarantee/bands.ts";
import { SIDES, withCheckerRoom, withoutCheckerRoom } from "../guarantee/bracket.ts";
import type { Side } from "../guarantee/bracket.ts";
import type { Box } from "../guarantee/box.ts";
import { enclosingInterval } from "../guarantee/domain.ts";
import type { Domain, VoltageInterval } from "../guarantee/domain.ts";
import { DEFAULT_BRACKET_OPTIONS } from "../guarantee/error-brackets.ts";
import { Maximiser } from "../guarantee/maximum.ts";
import type { Decimal } from "../quantity/decimal.ts";
import type { Demand } from "./demand.ts";

/** Boxes per voltage and side: what is not closed by then counts as far as it is bounded. */
const MOST_BOXES = 400;
const OPTIONS = { ...DEFAULT_BRACKET_OPTIONS, workLimit: MOST_BOXES, absoluteGap: 1e-7 };

/** Plain doubles err by less than this share where an error is seen. */
const SEEN = 1 - 1e-9;

/** What is asked, and beside which voltages of a budget. */
export interface Asked {
  readonly demands: readonly Demand[];
  /** Voltages of a budget beside those asked for: near ones share a band with them. */
  readonly neighbours: readonly Decimal[];
}

/** A place and side at which the error is bounded. */
interface Spot {
  readonly side: Side;
  readonly band: VoltageInterval;
  readonly allowed: number;
  start: Float64Array | undefined;
}

function spotsOf(design: Design, { demands, neighbours }: Asked): readonly Spot[] {
  const bands = bandsOf(design, [...neighbours, ...demands.map(({ voltage }) => voltage)]);
  return demands.flatMap(({ voltage, allowed }) =>
    bands
      .filter(({ lower, upper }) => lower.compare(voltage) <= 0 && upper.compare(voltage) >= 0)
      .flatMap((band) =>
        SIDES.map((side): Spot => ({
          side,
          band: enclosingInterval(band),
          allowed: allowed[side],
          start: undefined,
        })),
      ),
  );
}

function boxAt(limits: Box, { lower, upper }: VoltageInterval): Box {
  const box = { lower: limits.lower.slice(), upper: limits.upper.slice() };
  box.lower[0] = lower;
  box.upper[0] = upper;
  return box;
}

/**
 * Which share of the allowed error is taken, for one equation and any limits of its quantities;
 * the largest over voltages and sides. Every rounding is a quantity of its own.
 */
export class UsedShare {
  private readonly maximisers: Readonly<Record<Side, Maximiser>>;
  private readonly spots: readonly Spot[];

  constructor(model: MeasurementModel, domain: Domain, asked: Asked) {
    const tape = (side: Side) =>
      compileTape([side === "high" ? model.provable : negate(model.provable)], domain.names);
    this.maximisers = { high: new Maximiser(tape("high")), low: new Maximiser(tape("low")) };
    this.spots = spotsOf(model.design, asked);
  }

  /** Forgets the points reached before: what is seen then depends on nothing that went before. */
  restart(): void {
    for (const spot of this.spots) spot.start = undefined;
  }

  /** A share that is reached inside the limits. */
  seen(limits: Box): number {
    let share = 0;
    for (const spot of this.spots) {
      const starts = spot.start === undefined ? [] : [spot.start];
      const box = boxAt(limits, spot.band);
      const { value, point } = this.maximisers[spot.side].reach(box, starts);
      spot.start = point;
      share = Math.max(share, (value / spot.allowed) * SEEN);
    }
    return share;
  }

  /**
   * A share that is reached inside the limits, looked for with more care. A climb from the middle
   * stays where a quantity and its factor both stand at zero, as a supply's deviation and the line
   * regulation: each quantity that is left between its ends is moved to one, and climbed from again.
   */
  seenClosely(limits: Box): number {
    let share = 0;
    for (const { side, band, allowed } of this.spots) {
      const box = boxAt(limits, band);
      const maximiser = this.maximisers[side];
      let best = maximiser.reach(box, []);
      for (const [slot, upper] of box.upper.entries()) {
        const value = best.point[slot]!;
        if (value <= box.lower[slot]! || value >= upper) continue;
        const moved = maximiser.reach(box, [best.point.with(slot, upper)]);
        if (moved.value > best.value) best = moved;
      }
      share = Math.max(share, (best.value / allowed) * SEEN);
    }
    return share;
  }

  /** A share that nothing inside the limits exceeds; infinite where there is no bound. */
  proven(limits: Box): number {
    let share = 0;
    try {
      for (const { side, band, allowed } of this.spots) {
        const { bound } = this.maximisers[side].maximise(boxAt(limits, band), OPTIONS);
        share = Math.max(share, withCheckerRoom(bound) / allowed);
      }
      return share;
    } catch (error) {
      if (error instanceof UnboundedResultError) return Infinity;
      throw error;
    }
  }

  /** Whether it is proven that nothing inside the limits takes more than is allowed. */
  isMet(limits: Box): boolean {
    if (this.seen(limits) > 1) return false;
    try {
      return this.spots.every(({ side, band, allowed }) => {
        const enough = withoutCheckerRoom(allowed);
        const { bound } = this.maximisers[side].maximise(boxAt(limits, band), {
          ...OPTIONS,
          enough,
        });
        return bound <= enough;
      });
    } catch (error) {
      if (error instanceof UnboundedResultError) return false;
      throw error;
    }
  }
}
