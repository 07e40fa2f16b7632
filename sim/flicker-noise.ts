import { CutNormals } from "./cut-normals.ts";
import type { NoisePlace } from "./cut-normals.ts";
import type { RandomWords } from "./random-words.ts";

/** Samples that are made together. */
const GROUP = 64;

/** Drawn values of a group: those of its rows, then one for each sample. */
const GROUP_VALUES = 2 * GROUP;

/**
 * What all rows faster than the sampling would add: so far below their own frequency they are white,
 * h + h/2 + h/4 + ... with h of one sample, a variance of two.
 */
const FASTER_ROWS = Math.SQRT2;

/** Rows inside a group have nodes every 2 to 64 samples. */
const GROUP_ROWS = 6;

/** The slowest row has a node every so many samples to the power of two. */
const ROWS = 24;

/** Words of the groups, and of the slow rows, lie far from those of the white noise. */
const GROUP_WORDS = 2 ** 42;
const SLOW_WORDS = 2 ** 43;
const SLOW_ROW_WORDS = 2 ** 38;
const PHASE_WORD = 2 ** 40;

/** Samples before instant zero have indices below zero. */
const LEAST_PHASE = 2 ** 20;

/** Two nodes of a slow row, between which a straight line runs. */
interface SlowRow {
  node: number;
  before: number;
  after: number;
}

interface Position {
  readonly phase: number;
  group: number;
  values: Float64Array;
  next: Float64Array;
  readonly slow: readonly SlowRow[];
}

/** What 1/f noise is made from. */
export interface FlickerParts {
  readonly words: RandomWords;
  /** Standard deviations at which each row's values are cut. */
  readonly cut: number;
}

/**
 * Noise whose power density falls as 1/f: a sum of rows of independent normal values, in the n-th
 * row 2^n samples apart with straight lines between them. The density of a row with values of
 * variance s^2 every h seconds is 2 s^2 h sinc(f h)^4; the sum over the octaves is 2 s^2 / (3 ln 2 f)
 * to within one percent, from a few times 2^-24 of the sample rate to a tenth of it. Every value
 * belongs to its sample: any can be asked for at any time.
 */
export class FlickerNoise {
  private readonly words: RandomWords;
  private readonly normals: CutNormals;
  private readonly single: CutNormals;
  private readonly positions = new Map<number, Position>();
  private readonly grid = new Float64Array(GROUP + 1);
  private readonly one = new Float64Array(1);

  constructor({ words, cut }: FlickerParts) {
    this.words = words;
    this.normals = new CutNormals(words, cut);
    this.single = new CutNormals(words, cut);
  }

  /** Adds `scale` times noise of rows of variance one. */
  add(target: Float64Array, { stream, first, scale }: NoisePlace): void {
    const position = this.positionOf(stream);
    const { grid } = this;
    let k = 0;
    while (k < target.length) {
      const place = first + k + position.phase;
      const group = Math.floor(place / GROUP);
      this.fillGrid(stream, position, group);
      let at = place - group * GROUP;
      for (; at < GROUP && k < target.length; at += 1, k += 1) target[k]! += scale * grid[at]!;
    }
  }

  /** The rows start at a drawn sample, so that no sample is special. */
  private positionOf(stream: number): Position {
    const earlier = this.positions.get(stream);
    if (earlier !== undefined) return earlier;
    const word = new Uint32Array(1);
    this.words.write(word, { stream, first: PHASE_WORD });
    const position: Position = {
      phase: LEAST_PHASE + word[0]!,
      group: Number.NaN,
      values: new Float64Array(GROUP_VALUES),
      next: new Float64Array(GROUP_VALUES),
      slow: Array.from({ length: ROWS - GROUP_ROWS }, () => ({
        node: Number.NaN,
        before: 0,
        after: 0,
      })),
    };
    this.positions.set(stream, position);
    return position;
  }

  private groupValues(stream: number, group: number, values: Float64Array): void {
    values.fill(0);
    this.normals.add(values, { stream, first: GROUP_WORDS + GROUP_VALUES * group, scale: 1 });
  }

  private slowValue(stream: number, row: number, node: number): number {
    this.one[0] = 0;
    const first = SLOW_WORDS + SLOW_ROW_WORDS * row + node;
    this.single.add(this.one, { stream, first, scale: 1 });
    return this.one[0];
  }

  /** Sum of the slow rows where a group begins. */
  private slowSum(stream: number, slow: readonly SlowRow[], group: number): number {
    let sum = 0;
    let length = 1;
    for (let row = 0; row < slow.length; row += 1) {
      length *= 2;
      const node = Math.floor(group / length);
      const line = slow[row]!;
      if (line.node !== node) {
        line.before = line.node === node - 1 ? line.after : this.slowValue(stream, row, node);
        line.after = this.slowValue(stream, row, node + 1);
        line.node = node;
      }
      sum += line.before + (line.after - line.before) * (group / length - node);
    }
    return sum;
  }

  /** Straight lines halved again and again, the next faster row's values added each time. */
  private fillGrid(stream: number, position: Position, group: number): void {
    if (position.group !== group) {
      if (position.group === group - 1)
        [position.values, position.next] = [position.next, position.values];
      else this.groupValues(stream, group, position.values);
      this.groupValues(stream, group + 1, position.next);
      position.group = group;
    }
    const { grid } = this;
    const { values, next, slow } = position;
    grid[0] = this.slowSum(stream, slow, group) + values[0]!;
    grid[GROUP] = this.slowSum(stream, slow, group + 1) + next[0]!;
    let own = 1;
    for (let step = GROUP / 2; step >= 2; step /= 2) {
      for (let at = step; at < GROUP; at += 2 * step)
        grid[at] = (grid[at - step]! + grid[at + step]!) / 2;
      for (let at = 0, k = own; at < GROUP; at += step, k += 1) grid[at]! += values[k]!;
      grid[GROUP]! += next[own]!;
      own += GROUP / step;
    }
    for (let at = 1; at < GROUP; at += 2) grid[at] = (grid[at - 1]! + grid[at + 1]!) / 2;
    for (let at = 0; at < GROUP; at += 1) grid[at]! += FASTER_ROWS * values[GROUP + at]!;
  }
}

/**
 * Size of the rows, standard deviations of white noise, at which the density of 1/f noise is that
 * of the white noise at the corner: s^2 / (3 ln 2 f) = period at f = corner.
 */
export function flickerShare(cornerFrequency: number, samplePeriod: number): number {
  return Math.sqrt(3 * Math.LN2 * cornerFrequency * samplePeriod);
}
