import { negate } from "../expression/build.ts";
import { compileTape } from "../expression/tape.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import { withCheckerRoom, withoutCheckerRoom } from "./bracket.ts";
import type { Bound, Bracket, Magnitudes, Side, SideBound, SideBracket } from "./bracket.ts";
import { CodeBrackets } from "./code-brackets.ts";
import { Domain } from "./domain.ts";
import type { VoltageInterval } from "./domain.ts";
import { EdgeWitness } from "./edge-witness.ts";
import { Maximiser } from "./maximum.ts";
import type { Maximum, MaximumOptions } from "./maximum.ts";
import { ShownReading } from "./shown-reading.ts";

/** How tight and how hard. */
export interface BracketOptions {
  /** Share of the error by which the bound may exceed the best point of the bounded equation. */
  readonly relativeGap: number;
  /** Largest number of boxes per side and band. */
  readonly workLimit: number;
}

/** Tight enough that the witness, not the proof, decides the gap that is reported. */
export const DEFAULT_BRACKET_OPTIONS: BracketOptions = { relativeGap: 1e-3, workLimit: 20_000 };

/** How tight a bound is asked for. */
export interface BoundDemand {
  /** As in {@link BracketOptions}; by default that of the brackets. */
  readonly relativeGap?: number;
  /** Magnitude of the error of each side below which a tighter bound has no use, V. */
  readonly enough?: Magnitudes;
}

/** Boxes of a first look with free roundings. */
const FIRST_LOOK = 3;

/** Points of earlier bands from which the search on a band starts. */
const MOST_STARTS = 4;

/** ... and from which climbing alone starts. */
const MOST_REACH_STARTS = 4;

/** Errors below this are told apart no further, V. */
const ABSOLUTE_GAP = 1e-7;

/**
 * Brackets the error of indication of a model on any band of true voltages: no value inside the
 * declared limits passes the proven figures, and each witness reaches its figure through the real
 * roundings.
 */
export class ErrorBrackets {
  readonly model: MeasurementModel;
  readonly domain: Domain;
  readonly shown: ShownReading;
  private readonly options: MaximumOptions;
  private readonly maximisers: Readonly<Record<Side, Maximiser>>;
  private readonly edges: EdgeWitness;
  private readonly codes: CodeBrackets | undefined;
  /** Best points of brackets, all of them. */
  private readonly found: Readonly<Record<Side, Float64Array[]>> = { high: [], low: [] };
  private readonly reached: Partial<Record<Side, Float64Array>> = {};
  private readonly starts: Readonly<Record<Side, Float64Array[]>> = { high: [], low: [] };

  constructor(model: MeasurementModel, options: BracketOptions = DEFAULT_BRACKET_OPTIONS) {
    this.model = model;
    this.domain = new Domain(model);
    this.shown = new ShownReading(model, this.domain);
    this.options = { ...options, absoluteGap: ABSOLUTE_GAP };
    this.maximisers = {
      high: new Maximiser(compileTape([model.provable], this.domain.names)),
      low: new Maximiser(compileTape([negate(model.provable)], this.domain.names)),
    };
    this.edges = new EdgeWitness(model, this.domain, this.shown);
    this.codes =
      model.indicationOfCode === undefined
        ? undefined
        : new CodeBrackets(model, this.domain, this.shown);
  }

  /** Proven maximum of one side over a band, roundings as quantities. */
  maximum(side: Side, band: VoltageInterval, asked: Partial<MaximumOptions> = {}): Maximum {
    const starts = this.starts[side];
    const found = this.maximisers[side].maximise(
      this.domain.box(band),
      { ...this.options, ...asked },
      starts,
    );
    if (found.stopped !== "enough") {
      starts.unshift(found.point);
      starts.splice(MOST_STARTS);
    }
    return found;
  }

  private boundSide(side: Side, band: VoltageInterval, asked: BoundDemand): SideBound {
    const { relativeGap = this.options.relativeGap } = asked;
    const enough = asked.enough?.[side];
    if (enough === undefined)
      return this.codes?.side(side, band) ?? this.boundFreely(side, band, { relativeGap });
    const room = withoutCheckerRoom(enough);
    if (this.codes === undefined)
      return this.boundFreely(side, band, { relativeGap, enough: room });
    // Codes one by one are dear: first a look whether roundings as quantities will do.
    const free = this.boundFreely(side, band, { workLimit: FIRST_LOOK, enough: room });
    if (free.stopped === "enough") return free;
    return (
      this.codes.side(side, band) ?? this.boundFreely(side, band, { relativeGap, enough: room })
    );
  }

  /** Bound with every rounding as a quantity of its own. */
  private boundFreely(
    side: Side,
    band: VoltageInterval,
    asked: Partial<MaximumOptions> = {},
  ): SideBound & { readonly point: Float64Array } {
    const sign = side === "high" ? 1 : -1;
    const found = this.maximum(side, band, asked);
    return {
      proven: 0 + sign * withCheckerRoom(found.bound),
      boxes: found.boxes,
      undecided: found.undecided,
      stopped: found.stopped,
      claim: { kind: "error", proof: found.proof },
      point: found.point,
    };
  }

  private side(side: Side, band: VoltageInterval): SideBracket {
    const byCode = this.codes?.side(side, band);
    if (byCode !== undefined) return byCode;
    const bound = this.boundFreely(side, band);
    this.found[side].push(bound.point);
    const box = this.domain.box(band);
    const best = this.edges.find(side, bound.point, box);
    const witness = best?.point ?? this.fallback(box);
    return { ...bound, witnessed: best?.error ?? this.shown.error(witness), witness };
  }

  /** A fair witness of any error, where none near the bound was found: a little off the middle. */
  private fallback(box: { lower: Float64Array; upper: Float64Array }): Float64Array {
    const nominal = this.domain.nominalAt(0);
    for (let step = 1; step < 200; step += 1) {
      const point = nominal.slice();
      const share = (step * 0.618034) % 1;
      point[0] = box.lower[0]! + share * (box.upper[0]! - box.lower[0]!);
      if (this.shown.witnessed(point) !== undefined) return point;
    }
    return nominal;
  }

  /** Proven figures of both sides on a band, without looking for witnesses. */
  bound(band: VoltageInterval, asked: BoundDemand = {}): Bound {
    return {
      band,
      high: this.boundSide("high", band, asked),
      low: this.boundSide("low", band, asked),
    };
  }

  /**
   * A magnitude that the error of a side reaches on a band, found by climbing: quick, from below,
   * and proof of nothing. It guides what is then proven.
   */
  reach(side: Side, band: VoltageInterval): number {
    const byCode = this.codes?.reach(side, band);
    if (byCode !== undefined) return byCode;
    const middle = (band.lower + band.upper) / 2;
    const away = (point: Float64Array): number => Math.abs(point[0]! - middle);
    const nearest = [...this.found[side]].sort((one, other) => away(one) - away(other));
    const before = this.reached[side];
    const { value, point } = this.maximisers[side].reach(this.domain.box(band), [
      ...(before === undefined ? [] : [before]),
      ...nearest.slice(0, MOST_REACH_STARTS),
    ]);
    this.reached[side] = point;
    return value;
  }

  /** Both sides of the error on a band. */
  bracket(band: VoltageInterval): Bracket {
    return { band, high: this.side("high", band), low: this.side("low", band) };
  }
}
