import { limitVoltages } from "../design/published-limits.ts";
import type { ShareAndVolts } from "../design/accuracy-statement.ts";
import type { Design } from "../design/design.ts";
import { InvariantBrokenError } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { fitAccuracyStatement } from "./accuracy-fit.ts";
import type { AccuracyFit } from "./accuracy-fit.ts";
import type { AccuracyFitOptions } from "./accuracy-input.ts";
import { permittedMagnitudes } from "./accuracy-permitted.ts";
import { voltagesOfPart } from "./accuracy-part.ts";
import type { ProvenBand, StatedInterval } from "./accuracy-part.ts";
import type { VoltageBand } from "./bands.ts";
import { SIDES } from "./bracket.ts";
import type { Bound, Magnitudes, Side } from "./bracket.ts";
import { enclosingInterval } from "./domain.ts";
import type { ErrorBrackets } from "./error-brackets.ts";

/** A bounded stretch of the range: one band, or several taken together. */
export interface Stretch {
  readonly lower: Decimal;
  readonly upper: Decimal;
  readonly bound: Bound;
  /** The bands it is made of. */
  readonly bands: readonly VoltageBand[];
}

/** An accuracy statement and the bounds that carry it. */
export interface ProvenStatement {
  readonly fit: AccuracyFit;
  readonly from: Decimal;
  readonly to: Decimal;
  readonly stretches: readonly Stretch[];
}

/** What the caller may fix; by default the part runs from the lowest published line to the end. */
export interface StatementOptions {
  readonly from?: Decimal;
  readonly to?: Decimal;
  readonly fixedShare?: Decimal;
  readonly fixedVolts?: Decimal;
}

/** Bands that are bounded together at most. */
const BANDS_TOGETHER = 8;

/** Share by which a bound may end above the best point found, of single bands and of several. */
const FINE_GAP = 1e-3;
const COARSE_GAP = 4e-3;

/** Share by which the error of a band is taken to be larger than it was seen to be. */
const SEEN_ROOM = 1e-3;

/** Each round settles at least one more band, so that there are fewer than bands. */
const MOST_ROUNDS = 10_000;

/** A band with the magnitudes of error it is taken to reach, V, and whether they are proven. */
interface SeenBand {
  readonly band: VoltageBand;
  readonly errors: Magnitudes;
  readonly proven: boolean;
}

function spanOf(seen: readonly SeenBand[]): StatedInterval {
  return { lower: seen[0]!.band.lower, upper: seen.at(-1)!.band.upper };
}

function mostOf(seen: readonly SeenBand[], side: Side): number {
  return seen.reduce((most, { errors }) => Math.max(most, errors[side]), 0);
}

function isWithin(errors: Magnitudes, most: Magnitudes) {
  return errors.high <= most.high && errors.low <= most.low;
}

/** Proves one statement, its search state apart from its result. */
class StatementProof {
  private readonly brackets: ErrorBrackets;
  private readonly part: AccuracyFitOptions;
  private seen: readonly SeenBand[];
  private stretches: readonly Stretch[] = [];
  private readonly finest = new Map<VoltageBand, Stretch>();

  constructor(bands: readonly VoltageBand[], part: AccuracyFitOptions, brackets: ErrorBrackets) {
    this.brackets = brackets;
    this.part = part;
    this.seen = bands.map((band) => ({
      band,
      errors: { high: this.seenError("high", band), low: this.seenError("low", band) },
      proven: false,
    }));
  }

  private seenError(side: Side, band: VoltageBand): number {
    return Math.max(0, this.brackets.reach(side, enclosingInterval(band))) * (1 + SEEN_ROOM);
  }

  /** The fit of what is seen, and its statements with the ends of the curve. */
  private aims(): readonly ShareAndVolts[] {
    const bands = this.seen.map(({ band: { lower, upper }, errors }) => ({
      lower,
      upper,
      low: 0 - errors.low,
      high: errors.high,
    }));
    const fit = fitAccuracyStatement(contiguous(bands), this.part);
    return [fit, ...fit.ends];
  }

  /** Neighbours that may be bounded together without asking more of any statement. */
  private grouped(seen: readonly SeenBand[], aims: readonly ShareAndVolts[]): SeenBand[][] {
    const groups: SeenBand[][] = [];
    for (const next of seen) {
      const last = groups.at(-1);
      const together = last === undefined ? [] : [...last, next];
      const joins =
        last !== undefined &&
        together.length <= BANDS_TOGETHER &&
        last.at(-1)!.band.upper.equals(next.band.lower) &&
        this.isPromising(together, aims);
      if (joins) last.push(next);
      else groups.push([next]);
    }
    return groups;
  }

  private isPromising(seen: readonly SeenBand[], aims: readonly ShareAndVolts[]): boolean {
    const most = permittedMagnitudes(aims, spanOf(seen), this.part);
    return SIDES.every((side) => mostOf(seen, side) * (1 + COARSE_GAP) <= most[side]);
  }

  /** Bounds a group low enough for the aims, or its bands one by one as tightly as asked. */
  private prove(seen: readonly SeenBand[], aims: readonly ShareAndVolts[]): readonly Stretch[] {
    const span = spanOf(seen);
    const enough = permittedMagnitudes(aims, span, this.part);
    const single = seen.length === 1 ? seen[0]! : undefined;
    const known = single === undefined ? undefined : this.finest.get(single.band);
    if (known !== undefined) return [known];
    const relativeGap = single === undefined ? COARSE_GAP : FINE_GAP;
    const bound = this.brackets.bound(enclosingInterval(span), { relativeGap, enough });
    const stretch = { ...span, bound, bands: seen.map(({ band }) => band) };
    if (isWithin(errorsOf(bound), enough)) return [stretch];
    if (single !== undefined) {
      this.finest.set(single.band, stretch);
      return [stretch];
    }
    const middle = seen.length >> 1;
    return [...this.prove(seen.slice(0, middle), aims), ...this.prove(seen.slice(middle), aims)];
  }

  /** Bands that turned out larger than seen count with their proven errors from now on. */
  private learn(): boolean {
    const before = this.seen;
    this.seen = before.map((seen) => {
      const finest = this.finest.get(seen.band);
      if (finest === undefined || seen.proven) return seen;
      return { band: seen.band, errors: errorsOf(finest.bound), proven: true };
    });
    return this.seen.some(({ proven }, index) => proven !== before[index]!.proven);
  }

  run(): readonly Stretch[] {
    let open = this.seen;
    for (let round = 0; round < MOST_ROUNDS; round += 1) {
      const aims = this.aims();
      const kept = this.stretches.filter((stretch) =>
        isWithin(errorsOf(stretch.bound), permittedMagnitudes(aims, stretch, this.part)),
      );
      const covered = new Set(kept.flatMap(({ bands }) => bands));
      open = this.seen.filter(({ band }) => !covered.has(band));
      const proven = this.grouped(open, aims).flatMap((group) => this.prove(group, aims));
      this.stretches = [...kept, ...proven].sort((one, other) => one.lower.compare(other.lower));
      if (!this.learn()) return this.stretches;
    }
    throw new InvariantBrokenError("an accuracy statement is proven in as many rounds as bands");
  }
}

function errorsOf({ high, low }: Bound): Magnitudes {
  return { high: Math.max(0, high.proven), low: Math.max(0, -low.proven) };
}

function provenBand({ lower, upper, bound }: Stretch): ProvenBand {
  return { lower, upper, low: bound.low.proven, high: bound.high.proven };
}

/** The part of the range a design's statement is made for, unless the caller says otherwise. */
function partOf(design: Design, options: StatementOptions): AccuracyFitOptions {
  const { lower, upper } = design.measuringInterval;
  const most = Decimal.max(lower.absolute(), upper.absolute());
  const lowest = Decimal.fromNumber(limitVoltages()[0]!.voltage).value;
  return {
    from: options.from ?? Decimal.min(lowest, most),
    to: options.to ?? most,
    ...(options.fixedShare === undefined ? {} : { fixedShare: options.fixedShare }),
    ...(options.fixedVolts === undefined ? {} : { fixedVolts: options.fixedVolts }),
  };
}

/**
 * The tightest accuracy statement a design guarantees. What the errors are seen to reach decides
 * which statement to aim at, and which ends of the curve of pairs; each stretch of bands is then
 * proven to stay within them, and no tighter. A band that turns out larger than it was seen counts
 * with its proven error and the aim is set again, so that the outcome is that of all bands proven
 * one by one, to a share of {@link SEEN_ROOM} of their errors.
 */
export function proveStatement(
  design: Design,
  bands: readonly VoltageBand[],
  brackets: ErrorBrackets,
  options: StatementOptions = {},
): ProvenStatement {
  const part = partOf(design, options);
  const concerned = bands.filter((band) => voltagesOfPart(band, part).length > 0);
  const stretches = new StatementProof(concerned, part, brackets).run();
  const fit = fitAccuracyStatement(contiguous(stretches.map(provenBand)), part);
  return { fit, from: part.from, to: part.to, stretches };
}

/** The fit wants contiguous bands: a part left out around zero is filled with its own error 0. */
function contiguous(bands: readonly ProvenBand[]): ProvenBand[] {
  return bands.flatMap((band, index) => {
    const before = bands[index - 1];
    const gap =
      before === undefined || before.upper.equals(band.lower)
        ? []
        : [{ lower: before.upper, upper: band.lower, low: 0, high: 0 }];
    return [...gap, band];
  });
}
