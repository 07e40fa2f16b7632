import { InvariantBrokenError } from "../errors.ts";
import type { CoverageInterval } from "./coverage-interval.ts";

/** Where a histogram is fine: `centre` and the spread of the values, both finite, spread > 0. */
export interface HistogramScale {
  readonly centre: number;
  readonly spread: number;
}

/** Bins per spread in the linear part, which reaches 8 spreads to either side. */
const PER_SPREAD = 4_096;
const REACH = 8;
const LINEAR = 2 * REACH * PER_SPREAD;
/** Beyond, bins grow in proportion to the distance: this many per doubling. */
const PER_OCTAVE = 512;
const OCTAVES = 40;
const OUTER = PER_OCTAVE * OCTAVES;
const BINS = LINEAR + 2 * OUTER;

/**
 * Counts of values in fixed bins, for quantiles of any number of values in a fixed amount of
 * memory. Bins depend on the scale alone, so that histograms of the same scale merge exactly, in
 * any order. A quantile is wrong by at most the width of its bin: 1/4096 of the spread within 8
 * spreads of the centre, 0.14 % of the distance from the centre beyond.
 */
export class Histogram {
  readonly scale: HistogramScale;
  private readonly counts = new Float64Array(BINS);
  private total = 0;
  private least = Infinity;
  private greatest = -Infinity;

  constructor(scale: HistogramScale) {
    if (!(Number.isFinite(scale.centre) && Number.isFinite(scale.spread) && scale.spread > 0))
      throw new InvariantBrokenError("a histogram needs a finite centre and a spread above zero");
    this.scale = scale;
  }

  /** Number of values counted. */
  get count(): number {
    return this.total;
  }

  get minimum(): number {
    return this.least;
  }

  get maximum(): number {
    return this.greatest;
  }

  /** The bin of a value that lies `z` spreads from the centre, 8 and more. */
  private outerBin(z: number): number {
    const octave = Math.log2(Math.abs(z) / REACH) * PER_OCTAVE;
    const step = Math.min(OUTER - 1, Math.max(0, Math.floor(octave)));
    return z < 0 ? OUTER - 1 - step : OUTER + LINEAR + step;
  }

  /** Lower end of a bin; that of the next one is its upper end. */
  private edge(bin: number): number {
    const { centre, spread } = this.scale;
    const inner = bin - OUTER;
    if (inner < 0) return centre - spread * REACH * 2 ** (-inner / PER_OCTAVE);
    if (inner <= LINEAR) return centre + spread * (inner / PER_SPREAD - REACH);
    return centre + spread * REACH * 2 ** ((inner - LINEAR) / PER_OCTAVE);
  }

  /** Counts values. */
  add(values: ArrayLike<number>): void {
    const { counts } = this;
    const { centre, spread } = this.scale;
    let { least, greatest } = this;
    for (let index = 0; index < values.length; index += 1) {
      const value = values[index]!;
      const z = (value - centre) / spread;
      const isInner = z >= -REACH && z < REACH;
      counts[isInner ? OUTER + (((z + REACH) * PER_SPREAD) | 0) : this.outerBin(z)]! += 1;
      if (value < least) least = value;
      if (value > greatest) greatest = value;
    }
    this.total += values.length;
    this.least = least;
    this.greatest = greatest;
  }

  /** Adds the counts of another histogram of the same scale. */
  merge(other: Histogram): void {
    if (other.scale.centre !== this.scale.centre || other.scale.spread !== this.scale.spread)
      throw new InvariantBrokenError("only histograms of one scale can be merged");
    for (let bin = 0; bin < BINS; bin += 1) this.counts[bin]! += other.counts[bin]!;
    this.total += other.total;
    this.least = Math.min(this.least, other.least);
    this.greatest = Math.max(this.greatest, other.greatest);
  }

  /** Number of values in all bins up to and including each one. */
  private cumulative(): Float64Array {
    const sums = new Float64Array(BINS);
    let sum = 0;
    for (let bin = 0; bin < BINS; bin += 1) sums[bin] = sum += this.counts[bin]!;
    return sums;
  }

  private valueAt(sums: Float64Array, rank: number): number {
    let lower = 0;
    let upper = BINS - 1;
    while (lower < upper) {
      const middle = (lower + upper) >> 1;
      if (sums[middle]! >= rank) upper = middle;
      else lower = middle + 1;
    }
    const inBin = this.counts[lower]!;
    const share = inBin === 0 ? 0.5 : (rank - (sums[lower]! - inBin)) / inBin;
    const [from, to] = [this.edge(lower), this.edge(lower + 1)];
    const value = from + share * (to - from);
    return Math.min(this.greatest, Math.max(this.least, value));
  }

  /** The value that the stated share of the values does not exceed, to the width of its bin. */
  quantile(probability: number): number {
    return this.valueAt(this.cumulative(), probability * this.total);
  }

  /** Probabilistically symmetric coverage interval. Source: JCGM 101:2008, 7.7.2. */
  symmetricInterval(coverage: number): CoverageInterval {
    const sums = this.cumulative();
    const tail = ((1 - coverage) / 2) * this.total;
    return { lower: this.valueAt(sums, tail), upper: this.valueAt(sums, this.total - tail) };
  }

  /** Shortest coverage interval, its lower end at the edge of a bin. Source: as above. */
  shortestInterval(coverage: number): CoverageInterval {
    const sums = this.cumulative();
    const inside = coverage * this.total;
    let best: CoverageInterval = { lower: this.least, upper: this.greatest };
    let found = Infinity;
    for (let bin = 0; bin < BINS; bin += 1) {
      const below = bin === 0 ? 0 : sums[bin - 1]!;
      if (below + inside > this.total) break;
      if (this.counts[bin] === 0) continue;
      const lower = Math.max(this.least, this.edge(bin));
      const upper = this.valueAt(sums, below + inside);
      if (upper - lower < found) {
        found = upper - lower;
        best = { lower, upper };
      }
    }
    return best;
  }
}
