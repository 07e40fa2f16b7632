import { limitVoltages } from "../design/published-limits.ts";
import type { Design } from "../design/design.ts";
import { Decimal } from "../quantity/decimal.ts";
import { fitAccuracyStatement } from "./accuracy-fit.ts";
import type { AccuracyFit } from "./accuracy-fit.ts";
import type { AccuracyFitOptions } from "./accuracy-input.ts";
import { voltagesOfPart } from "./accuracy-part.ts";
import type { ProvenBand } from "./accuracy-part.ts";
import type { VoltageBand } from "./bands.ts";
import type { Bound } from "./bracket.ts";

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

/** Bands that are first bounded together. */
const BANDS_TOGETHER = 16;

/** A stretch that uses at least this much of the statement is cut down to single bands. */
const NEARLY_BINDING = 0.985;

/** Gaps asked for: loose while bands are taken together, small against a figure of two digits. */
const COARSE_GAP = 1e-2;
const FINE_GAP = 2e-3;

/** Rounds of cutting; each halves a stretch, so that 16 bands need 4. */
const MOST_ROUNDS = 12;

/** Bounds a stretch of contiguous bands as one, to about the relative gap asked for. */
export type BoundOf = (lower: Decimal, upper: Decimal, relativeGap: number) => Bound;

function stretchOf(bands: readonly VoltageBand[], boundOf: BoundOf): Stretch {
  const { lower } = bands[0]!;
  const { upper } = bands.at(-1)!;
  const relativeGap = bands.length > 1 ? COARSE_GAP : FINE_GAP;
  return { lower, upper, bands, bound: boundOf(lower, upper, relativeGap) };
}

function provenBand({ lower, upper, bound }: Stretch): ProvenBand {
  return { lower, upper, low: bound.low.proven, high: bound.high.proven };
}

function halves(stretch: Stretch, boundOf: BoundOf): readonly Stretch[] {
  const { bands } = stretch;
  if (bands.length === 1) return [stretch];
  const middle = bands.length >> 1;
  return [stretchOf(bands.slice(0, middle), boundOf), stretchOf(bands.slice(middle), boundOf)];
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
 * The tightest accuracy statement a design guarantees. Neighbouring bands are bounded together
 * first; those that decide the statement, or nearly do, are then cut down to single bands and the
 * fit repeated, so that the outcome is that of all bands one by one.
 */
export function proveStatement(
  design: Design,
  bands: readonly VoltageBand[],
  boundOf: BoundOf,
  options: StatementOptions = {},
): ProvenStatement {
  const part = partOf(design, options);
  const concerned = bands.filter((band) => voltagesOfPart(band, part).length > 0);
  let stretches: readonly Stretch[] = [];
  let together: VoltageBand[] = [];
  for (const [index, band] of concerned.entries()) {
    const apart = index > 0 && !concerned[index - 1]!.upper.equals(band.lower);
    if (together.length === BANDS_TOGETHER || (apart && together.length > 0)) {
      stretches = [...stretches, stretchOf(together, boundOf)];
      together = [];
    }
    together.push(band);
  }
  if (together.length > 0) stretches = [...stretches, stretchOf(together, boundOf)];
  for (let round = 0; ; round += 1) {
    const fit = fitAccuracyStatement(contiguous(stretches), part);
    const used = new Map(
      fit.usedShare.map((share) => [share.lower.toString(), Math.max(share.high, share.low)]),
    );
    const coarse = stretches.filter(
      (stretch) =>
        stretch.bands.length > 1 && (used.get(stretch.lower.toString()) ?? 0) >= NEARLY_BINDING,
    );
    if (coarse.length === 0 || round === MOST_ROUNDS)
      return { fit, from: part.from, to: part.to, stretches };
    stretches = stretches.flatMap((stretch) =>
      coarse.includes(stretch) ? halves(stretch, boundOf) : [stretch],
    );
  }
}

/** The fit wants contiguous bands: a part left out around zero is filled with its own error 0. */
function contiguous(stretches: readonly Stretch[]): ProvenBand[] {
  return stretches.flatMap((stretch, index) => {
    const before = stretches[index - 1];
    const gap =
      before === undefined || before.upper.equals(stretch.lower)
        ? []
        : [{ lower: before.upper, upper: stretch.lower, low: 0, high: 0 }];
    return [...gap, provenBand(stretch)];
  });
}
