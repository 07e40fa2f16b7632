import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Design } from "../design/design.ts";
import { permittedErrors, permittedErrorsOver } from "../design/requirement.ts";
import type { PermittedErrors } from "../design/requirement.ts";
import { UnboundedResultError } from "../errors.ts";
import { negate } from "../expression/build.ts";
import { compileTape } from "../expression/tape.ts";
import { bandsOf } from "../guarantee/bands.ts";
import type { VoltageBand } from "../guarantee/bands.ts";
import { SIDES, withCheckerRoom, withoutCheckerRoom } from "../guarantee/bracket.ts";
import type { Side } from "../guarantee/bracket.ts";
import type { Box } from "../guarantee/box.ts";
import { enclosingInterval } from "../guarantee/domain.ts";
import type { Domain, VoltageInterval } from "../guarantee/domain.ts";
import { DEFAULT_BRACKET_OPTIONS } from "../guarantee/error-brackets.ts";
import { Maximiser } from "../guarantee/maximum.ts";
import { Decimal } from "../quantity/decimal.ts";
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
  /** Magnitude allowed at every voltage of the band that is asked for, V. */
  readonly allowed: number;
  /** The voltages of the band that are asked for, and the largest magnitude allowed at any, V. */
  readonly asked: VoltageInterval;
  readonly loosest: number;
  start: Float64Array | undefined;
}

/** Spots that are looked at again and again: those with the largest shares when all were. */
const LEADING = 4;

function spotsAt(band: VoltageBand, { requirement, voltages }: Demand): readonly Spot[] {
  const { at, statement } = requirement;
  const from = Decimal.max(band.lower, voltages.lower);
  const to = Decimal.min(band.upper, voltages.upper);
  if (from.compare(to) > 0) return [];
  const tightest = permittedErrorsOver(statement, { from, to });
  // What is allowed grows to both sides of where it is least, so that it is largest at an end.
  const ends = [from, to].map((voltage) => permittedErrors(statement, voltage));
  return SIDES.map((side): Spot => {
    const of = ({ lower, upper }: PermittedErrors): number => (side === "high" ? upper : -lower);
    return {
      side,
      band: enclosingInterval(band),
      allowed: of(tightest),
      // A code is shown at every voltage of its band: one voltage stands for all of it.
      asked: enclosingInterval(at === undefined ? { lower: from, upper: to } : band),
      loosest: Math.max(...ends.map(of)),
      start: undefined,
    };
  });
}

/** The bands of a budget, so that what is proven here is proven there. */
function spotsOf(design: Design, { demands, neighbours }: Asked): readonly Spot[] {
  const asked = demands.flatMap(({ requirement }) => requirement.at ?? []);
  const bands = bandsOf(design, [...neighbours, ...asked]);
  return demands.flatMap((demand) => bands.flatMap((band) => spotsAt(band, demand)));
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
  private leading: readonly Spot[] | undefined;

  constructor(model: MeasurementModel, domain: Domain, asked: Asked) {
    const tape = (side: Side) =>
      compileTape([side === "high" ? model.provable : negate(model.provable)], domain.names);
    this.maximisers = { high: new Maximiser(tape("high")), low: new Maximiser(tape("low")) };
    this.spots = spotsOf(model.design, asked);
  }

  /** Forgets the points reached before: what is seen then depends on nothing that went before. */
  restart(): void {
    this.leading = undefined;
    for (const spot of this.spots) spot.start = undefined;
  }

  private look(spot: Spot, limits: Box): number {
    const starts = spot.start === undefined ? [] : [spot.start];
    const box = boxAt(limits, spot.band);
    const { value, point } = this.maximisers[spot.side].reach(box, starts);
    spot.start = point;
    return (value / spot.allowed) * SEEN;
  }

  /** A share that is reached inside the limits. */
  seen(limits: Box): number {
    if (this.leading !== undefined)
      return Math.max(0, ...this.leading.map((spot) => this.look(spot, limits)));
    const shares = this.spots.map((spot) => ({ spot, share: this.look(spot, limits) }));
    shares.sort((one, other) => other.share - one.share);
    this.leading = shares.slice(0, LEADING).map(({ spot }) => spot);
    return Math.max(0, shares[0]!.share);
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

  /** Whether an error is reached inside the limits that is not allowed at its own voltage. */
  isExceeded(limits: Box): boolean {
    return this.spots.some(({ side, asked, loosest }) => {
      const { value } = this.maximisers[side].reach(boxAt(limits, asked), []);
      return (value / loosest) * SEEN > 1;
    });
  }

  /** A share that nothing inside the limits exceeds; infinite where there is no bound. */
  proven(limits: Box): number {
    // The spot that looks worst is bounded first: the others then have to be no worse, no more.
    const spots = this.spots
      .map((spot) => {
        const { value } = this.maximisers[spot.side].reach(boxAt(limits, spot.band), []);
        return { ...spot, share: value / spot.allowed };
      })
      .sort((one, other) => other.share - one.share);
    let share = 0;
    try {
      for (const { side, band, allowed } of spots) {
        const enough = withoutCheckerRoom(share * allowed);
        const options = share > 0 ? { ...OPTIONS, enough } : OPTIONS;
        const { bound } = this.maximisers[side].maximise(boxAt(limits, band), options);
        if (share === 0 || bound > enough)
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
    if (this.isExceeded(limits)) return false;
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
