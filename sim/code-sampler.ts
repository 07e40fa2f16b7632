import { invariant } from "../lib/errors.ts";
import { cosineOfTurns, exponential, sineOfTurns } from "./elementary.ts";
import type { NoiseAdder } from "./noise.ts";
import { STREAMS_PER_CHANNEL } from "./noise.ts";
import { codeOf, MOST_TABULATED_BITS } from "./quantiser.ts";
import type { Quantiser } from "./quantiser.ts";
import { valueAt } from "./signal.ts";
import type { Signal } from "./signal.ts";
import type { Segment } from "./timeline.ts";

/** Samples between two anchors: within them an exponential is its anchor times a tabulated factor. */
const BLOCK = 256;

/** V: what is left of a term below this is left out. */
const NOTHING = 1e-18;

/** Exponent below which nothing of a term of less than a gigavolt is left. */
const DEAD = -65;

/** A sampling clock. */
export interface Clock {
  /** s of sample 0 and between samples. */
  readonly phase: number;
  readonly period: number;
  /** s, standard deviation of each instant. */
  readonly jitter: number;
}

/** What one channel needs to turn its signals into codes. */
export interface SampledChannel {
  readonly index: number;
  readonly quantiser: Quantiser;
  readonly noise: NoiseAdder;
  /** Deviations of the instants in standard deviations. */
  readonly jitter: NoiseAdder;
  /** s for which the code stays at its end after the buffer was overdriven. */
  readonly recovery: number;
}

/** Factors of one term at the samples of a block. */
interface TermTable {
  readonly term: number;
  readonly cosine: Float64Array;
  readonly sine: Float64Array;
}

interface SegmentTables {
  readonly signal: Signal;
  /** Samples inside the segment: first, and one past the last. */
  readonly first: number;
  readonly end: number;
  readonly constant: number;
  readonly terms: readonly TermTable[];
}

function requireFinite({ re, im, basis }: Signal): void {
  const all = [re, im, basis.rate, basis.frequency];
  invariant(
    all.every((list) => list.every((value) => Number.isFinite(value))),
    "a solved signal is finite",
  );
}

/** A table of a sampler's own: full, to be filled as codes are met, or none for too many codes. */
function edgesFor({ edges, lowest, highest }: Quantiser): Float64Array {
  if (edges.length > 0) return edges.slice();
  const count = highest - lowest + 1;
  if (count > 2 ** MOST_TABULATED_BITS) return edges;
  return new Float64Array(count + 1).fill(Number.NaN);
}

/** Codes of one channel at any range of samples; nothing is carried from one range to the next. */
export class CodeSampler {
  private readonly segments: readonly Segment[];
  private readonly clock: Clock;
  private readonly channel: SampledChannel;
  private readonly buffer = new Float64Array(BLOCK);
  /** Codes, counted from the lowest, at the ends of the buffer's swing. */
  private readonly least: number;
  private readonly most: number;
  /**
   * Edges with those beyond the swing at infinity; not a number until met, where the quantiser has
   * no table of its own. Empty for more codes than a table is made for.
   */
  private readonly edges: Float64Array;
  private tables: SegmentTables | undefined;
  private tablesOf = -1;
  /** First sample of the block that the buffer holds, noise included. */
  private heldAnchor = Number.NaN;

  constructor(segments: readonly Segment[], clock: Clock, channel: SampledChannel) {
    this.segments = segments;
    this.clock = clock;
    this.channel = channel;
    const { quantiser } = channel;
    const { swing, lowest, highest } = quantiser;
    // Codes rise with the voltage: holding the voltage inside the swing is holding the code.
    this.least = swing === undefined ? 0 : codeOf(quantiser, swing.lower) - lowest;
    this.most = swing === undefined ? highest - lowest : codeOf(quantiser, swing.upper) - lowest;
    this.edges = edgesFor(quantiser);
    if (this.edges.length === 0) return;
    this.edges.fill(-Infinity, 0, this.least + 1);
    this.edges.fill(Infinity, this.most + 1);
  }

  instantOf(sample: number): number {
    return this.clock.phase + sample * this.clock.period;
  }

  /** First sample at or after an instant. */
  private sampleFrom(instant: number): number {
    const guess = Math.ceil((instant - this.clock.phase) / this.clock.period);
    if (this.instantOf(guess - 1) >= instant) return guess - 1;
    return this.instantOf(guess) >= instant ? guess : guess + 1;
  }

  private segmentAt(instant: number): number {
    let low = 0;
    let high = this.segments.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.segments[middle]!.start <= instant) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  private prepare(index: number): SegmentTables {
    if (this.tablesOf === index) return this.tables!;
    const segment = this.segments[index]!;
    const signal = segment.sampled[this.channel.index]!;
    requireFinite(signal);
    const { basis, re, im } = signal;
    const last = index === this.segments.length - 1;
    const first = index === 0 ? -Infinity : this.sampleFrom(segment.start);
    const end = last ? Infinity : this.sampleFrom(segment.end);
    let constant = 0;
    const terms: TermTable[] = [];
    for (let term = 0; term < re.length; term += 1) {
      const rate = basis.rate[term]!;
      const frequency = basis.frequency[term]!;
      if (Math.abs(re[term]!) + Math.abs(im[term]!) < NOTHING) continue;
      if (rate === 0 && frequency === 0) {
        constant += re[term]!;
        continue;
      }
      terms.push(this.table(term, rate, frequency));
    }
    this.tables = { signal, first, end, constant, terms };
    this.tablesOf = index;
    this.heldAnchor = Number.NaN;
    return this.tables;
  }

  private table(term: number, rate: number, frequency: number): TermTable {
    const cosine = new Float64Array(BLOCK);
    const sine = new Float64Array(BLOCK);
    for (let k = 0; k < BLOCK; k += 1) {
      const t = k * this.clock.period;
      const size = exponential(rate * t);
      cosine[k] = frequency === 0 ? size : size * cosineOfTurns(frequency * t);
      sine[k] = frequency === 0 ? 0 : size * sineOfTurns(frequency * t);
    }
    return { term, cosine, sine };
  }

  /** Node voltages of up to a block of samples that start at an anchor. */
  private evaluateBlock(tables: SegmentTables, anchor: number): void {
    const { buffer } = this;
    const { signal, constant, terms } = tables;
    const { basis, re, im } = signal;
    const t = this.instantOf(anchor) - basis.start;
    let begun = false;
    for (const { term, cosine, sine } of terms) {
      const rate = basis.rate[term]!;
      if (rate * t < DEAD) continue;
      const size = rate === 0 ? 1 : exponential(rate * t);
      const frequency = basis.frequency[term]!;
      if (frequency === 0) {
        const a = re[term]! * size;
        if (Math.abs(a) < NOTHING) continue;
        if (begun) for (let k = 0; k < BLOCK; k += 1) buffer[k]! += a * cosine[k]!;
        else for (let k = 0; k < BLOCK; k += 1) buffer[k] = constant + a * cosine[k]!;
        begun = true;
        continue;
      }
      const c = cosineOfTurns(frequency * t) * size;
      const s = sineOfTurns(frequency * t) * size;
      const a = re[term]! * c - im[term]! * s;
      const b = re[term]! * s + im[term]! * c;
      if (Math.abs(a) + Math.abs(b) < NOTHING) continue;
      if (begun) for (let k = 0; k < BLOCK; k += 1) buffer[k]! += a * cosine[k]! - b * sine[k]!;
      else
        for (let k = 0; k < BLOCK; k += 1) buffer[k] = constant + (a * cosine[k]! - b * sine[k]!);
      begun = true;
    }
    if (!begun) buffer.fill(constant);
  }

  private evaluateJittered(first: number, count: number): void {
    const { buffer, channel, clock } = this;
    const { index } = channel;
    buffer.fill(0);
    channel.jitter(buffer, { stream: index * STREAMS_PER_CHANNEL + 1, first, scale: 1 });
    for (let k = 0; k < count; k += 1) {
      const instant = this.instantOf(first + k) + clock.jitter * buffer[k]!;
      const segment = this.segments[this.segmentAt(instant)]!;
      buffer[k] = valueAt(segment.sampled[index]!, instant);
    }
  }

  private quantise(from: number, count: number, into: IntoCodes): void {
    const { buffer, channel } = this;
    const { origin, slope, lowest, searched } = channel.quantiser;
    const { codes, at } = into;
    const { least, most, edges } = this;
    const shift = at - from;
    if (edges.length === 0) {
      const { indexOf } = searched!;
      for (let k = from; k < from + count; k += 1)
        codes[k + shift] = lowest + Math.min(Math.max(indexOf(buffer[k]!), least), most);
      return;
    }
    for (let k = from; k < from + count; k += 1) {
      const node = buffer[k]!;
      // Truncation to 32 bits first: far outside the span the search walks from an end.
      const guess = ((node - origin) * slope) | 0;
      let index = guess < least ? least : guess > most ? most : guess;
      // Not so either where an edge was never met.
      if (!(node >= edges[index]! && node < edges[index + 1]!)) index = this.indexNear(index, node);
      codes[k + shift] = lowest + index;
    }
  }

  /** Index of the code of a node voltage, by steps from a guess. */
  private indexNear(guess: number, node: number): number {
    let index = guess;
    if (node < this.edgeAt(index)) {
      do index -= 1;
      while (node < this.edgeAt(index));
    } else while (node >= this.edgeAt(index + 1)) index += 1;
    return index;
  }

  /** Edge of a code, worked out the first time it is met. */
  private edgeAt(index: number): number {
    const known = this.edges[index]!;
    if (!Number.isNaN(known)) return known;
    const edge = this.channel.quantiser.searched!.edgeAt(index);
    this.edges[index] = edge;
    return edge;
  }

  /** Codes of consecutive samples from index `first` on. */
  fill(first: number, codes: Int32Array): void {
    const { recovery, quantiser } = this.channel;
    const behind = quantiser.swing === undefined ? 0 : Math.ceil(recovery / this.clock.period);
    // What the samples before have left over: as many as the recovery lasts decide.
    const past = new Int32Array(behind);
    this.fillRaw(first - behind, past);
    this.fillRaw(first, codes);
    if (behind === 0) return;
    const left = this.holdOverload(past, { held: 0, value: 0 });
    this.holdOverload(codes, left);
  }

  /** After an overload the code stays where it was until the buffer has recovered. */
  private holdOverload(codes: Int32Array, begun: Overload): Overload {
    const { recovery, quantiser } = this.channel;
    const behind = Math.ceil(recovery / this.clock.period);
    const floor = quantiser.lowest + this.least;
    const ceiling = quantiser.lowest + this.most;
    let { held, value } = begun;
    for (let k = 0; k < codes.length; k += 1) {
      const code = codes[k]!;
      if (code <= floor || code >= ceiling) {
        held = behind;
        value = code;
      } else if (held > 0) {
        codes[k] = value;
        held -= 1;
      }
    }
    return { held, value };
  }

  private fillRaw(first: number, codes: Int32Array): void {
    let done = 0;
    while (done < codes.length) {
      const sample = first + done;
      const wanted = codes.length - done;
      const count =
        this.clock.jitter > 0
          ? this.jitteredBlock(sample, Math.min(wanted, BLOCK), { codes, at: done })
          : this.plainBlock(sample, wanted, { codes, at: done });
      done += count;
    }
  }

  private jitteredBlock(sample: number, count: number, into: IntoCodes): number {
    this.evaluateJittered(sample, count);
    this.disturb(sample);
    this.quantise(0, count, into);
    return count;
  }

  private disturb(anchor: number): void {
    const { buffer, channel } = this;
    const stream = channel.index * STREAMS_PER_CHANNEL;
    channel.noise(buffer, { stream, first: anchor, scale: channel.quantiser.voltsPerCode });
  }

  /** Codes from a sample on, to the end of its block or segment at most. */
  private plainBlock(sample: number, wanted: number, into: IntoCodes): number {
    const held = this.tables;
    const inHeld = held !== undefined && sample >= held.first && sample < held.end;
    const tables = inHeld ? held : this.prepare(this.segmentAt(this.instantOf(sample)));
    // Anchors are counted from the segment's first sample, so that they never depend on the caller.
    const begin = Math.max(tables.first, 0);
    const anchor = begin + Math.floor((sample - begin) / BLOCK) * BLOCK;
    if (anchor !== this.heldAnchor) {
      this.evaluateBlock(tables, anchor);
      this.disturb(anchor);
      this.heldAnchor = anchor;
    }
    const offset = sample - anchor;
    const count = Math.min(BLOCK - offset, wanted, tables.end - sample);
    this.quantise(offset, count, into);
    return count;
  }
}

/** Samples for which a code is still held, and the code. */
interface Overload {
  readonly held: number;
  readonly value: number;
}

interface IntoCodes {
  readonly codes: Int32Array;
  readonly at: number;
}
