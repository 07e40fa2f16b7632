import { invariant } from "../errors.ts";
import { above } from "../interval/rounding.ts";
import { negate } from "../expression/build.ts";
import { evaluateExactly } from "../expression/exact.ts";
import { doubleOfFraction } from "../quantity/double-of-fraction.ts";
import { PlainEvaluator } from "../expression/evaluate.ts";
import { compileTape } from "../expression/tape.ts";
import { CODE } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import { withCheckerRoom } from "./bracket.ts";
import type { CodeClaim, Side, SideBracket } from "./bracket.ts";
import type { Domain, VoltageInterval } from "./domain.ts";
import { Maximiser } from "./maximum.ts";
import type { Maximum, MaximumOptions, ProofStep } from "./maximum.ts";
import { EDGE_MARGIN } from "./shown-reading.ts";
import type { ShownReading } from "./shown-reading.ts";

/** More codes than this in one band are left to the free rounding quantity. */
export const MOST_CODES = 8;

/** Relative accuracy asked of the highest code before rounding; it is far from any gap. */
const CODE_OPTIONS: MaximumOptions = { relativeGap: 1e-9, absoluteGap: 1e-6, workLimit: 4000 };

/** Room below a code's edge that a proof leaves for a checker with other rounding, LSB. */
const CODE_ROOM = 1e-8;

const MOST_TRIALS = 24;

interface Candidate {
  readonly error: number;
  readonly point: Float64Array;
}

interface Threshold {
  /** Mirrored voltage up to which the code cannot occur. */
  readonly voltage: number;
  /** Why; absent where the voltage is the lower end of the band, up to which nothing is claimed. */
  readonly proof: ProofStep | undefined;
  /** Point at which the code does occur, just beyond. */
  readonly point: Float64Array | undefined;
}

/**
 * Brackets for a chain without adjustment, code by code. The indication is a fixed number for each
 * code, so that the error inside a code is indication minus voltage and its extremes stand where a
 * code can first occur. That voltage is bracketed by the code before rounding: proven not reached
 * from the end of the band to just below it, witnessed just above. The low side is the high side of the mirrored chain: code,
 * voltage and indication with their signs reversed.
 */
export class CodeBrackets {
  private readonly model: MeasurementModel;
  private readonly domain: Domain;
  private readonly shown: ShownReading;
  private readonly maximisers: Readonly<Record<Side, Maximiser>>;
  private readonly plain: PlainEvaluator;
  private readonly gradient: Float64Array;
  private readonly indications = new Map<number, number>();
  private readonly starts: Partial<Record<Side, Float64Array>> = {};

  constructor(model: MeasurementModel, domain: Domain, shown: ShownReading) {
    const code = model.codes.use!;
    const tape = compileTape([code], domain.names);
    this.model = model;
    this.domain = domain;
    this.shown = shown;
    this.maximisers = {
      high: new Maximiser(tape),
      low: new Maximiser(compileTape([negate(code)], domain.names)),
    };
    this.plain = new PlainEvaluator(tape);
    this.gradient = new Float64Array(domain.names.length);
  }

  /** Indication of a code, V; exact but for the last conversion to a double. */
  private indication(code: number): number {
    const known = this.indications.get(code);
    if (known !== undefined) return known;
    const expression = this.model.indicationOfCode;
    invariant(expression !== undefined, "a chain without adjustment tabulates its indication");
    const { numerator, denominator } = evaluateExactly(
      expression,
      new Map([[CODE, { numerator: BigInt(code), denominator: 1n }]]),
    );
    const size = numerator < 0n ? -numerator : numerator;
    const magnitude =
      size === 0n ? 0 : doubleOfFraction({ numerator: size, denominator }, "nearest");
    const value = numerator < 0n ? -magnitude : magnitude;
    this.indications.set(code, value);
    return value;
  }

  /** Highest mirrored code before rounding between two mirrored voltages. */
  private highest(side: Side, { lower, upper }: VoltageInterval): Maximum {
    const box = this.domain.box(
      side === "high" ? { lower, upper } : { lower: 0 - upper, upper: 0 - lower },
    );
    const start = this.starts[side];
    const found = this.maximisers[side].maximise(
      box,
      CODE_OPTIONS,
      start === undefined ? [] : [start],
    );
    this.starts[side] = found.point;
    return found;
  }

  /** Mirrored voltage at which a point's code before rounding equals `level`. */
  private crossing(side: Side, from: Float64Array, level: number): Float64Array {
    const sign = side === "high" ? 1 : -1;
    const point = from.slice();
    for (let step = 0; step < 12; step += 1) {
      const off = level - sign * this.plain.evaluate(point);
      this.plain.gradient(0, this.gradient);
      const move = (sign * off) / this.gradient[0]!;
      point[0] = point[0]! + move;
      if (Math.abs(move) < 1e-13 * (1 + Math.abs(point[0]))) break;
    }
    return point;
  }

  /**
   * Brackets the mirrored voltage from which on a mirrored code can occur, between the ends of a
   * mirrored band at whose lower end it cannot.
   */
  private threshold(side: Side, code: number, ends: VoltageInterval): Threshold {
    const sign = side === "high" ? 1 : -1;
    const level = code - 0.5;
    const start = this.starts[side]!;
    let point = this.crossing(side, start, level);
    let step = 1e-7 * (1 + Math.abs(point[0]!));
    let trial = Math.min(ends.upper, sign * point[0]! - step);
    for (let count = 0; count < MOST_TRIALS && trial > ends.lower; count += 1) {
      const found = this.highest(side, { lower: ends.lower, upper: trial });
      if (found.bound < level - CODE_ROOM) return { voltage: trial, proof: found.proof, point };
      const better = this.crossing(side, found.point, level);
      // A better point shows that the code occurs earlier; only without one is the step too small.
      if (sign * better[0]! < sign * point[0]!) point = better;
      else step *= 4;
      trial = Math.min(trial, sign * point[0]!) - step;
    }
    return { voltage: ends.lower, proof: undefined, point };
  }

  /** A witness with a code just reached: the voltage a little beyond the crossing. */
  private witnessAt(side: Side, point: Float64Array, voltages: VoltageInterval): Candidate[] {
    const sign = side === "high" ? 1 : -1;
    const candidates: Candidate[] = [];
    this.plain.evaluate(point);
    this.plain.gradient(0, this.gradient);
    for (const margin of [2, 20, 2000]) {
      const moved = point.slice();
      const beyond = point[0]! + (sign * margin * EDGE_MARGIN) / this.gradient[0]!;
      moved[0] = Math.min(Math.max(beyond, voltages.lower), voltages.upper);
      const error = this.shown.witnessed(moved);
      if (error !== undefined) candidates.push({ error, point: moved });
    }
    return candidates;
  }

  /**
   * An error the side reaches on a band, found by climbing; undefined where the band holds too many
   * codes for this method.
   */
  reach(side: Side, band: VoltageInterval): number | undefined {
    const sign = side === "high" ? 1 : -1;
    const ends = side === "high" ? band : { lower: 0 - band.upper, upper: 0 - band.lower };
    const start = this.starts[side];
    const at = (voltage: number) =>
      this.maximisers[side].reach(
        this.domain.box({ lower: 0 + sign * voltage, upper: 0 + sign * voltage }),
        start === undefined ? [] : [start],
      );
    const [atLower, atUpper] = [at(ends.lower), at(ends.upper)];
    this.starts[side] ??= atUpper.point;
    const [first, last] = [Math.floor(atLower.value + 0.5), Math.floor(atUpper.value + 0.5)];
    if (last - first > MOST_CODES) return undefined;
    let most = sign * this.indication(sign * first) - ends.lower;
    for (let code = first + 1; code <= last; code += 1) {
      const voltage = sign * this.crossing(side, atUpper.point, code - 0.5)[0]!;
      most = Math.max(most, sign * this.indication(sign * code) - voltage);
    }
    return most;
  }

  /** One side on a band; undefined where the band holds too many codes for this method. */
  side(side: Side, band: VoltageInterval): SideBracket | undefined {
    const sign = side === "high" ? 1 : -1;
    const ends = side === "high" ? band : { lower: 0 - band.upper, upper: 0 - band.lower };
    const atUpper = this.highest(side, ends);
    const atLower = this.highest(side, { lower: ends.lower, upper: ends.lower });
    const last = Math.floor(atUpper.bound + 0.5);
    const first = Math.floor(atLower.bound + 0.5);
    if (last - first > MOST_CODES) return undefined;
    const mirrored = (code: number): number => sign * this.indication(sign * code);
    const rounded = (value: number, voltage: number): number => above(above(value) - voltage);
    let proven = rounded(mirrored(first), ends.lower);
    const candidates = this.witnessAt(side, atLower.point, band);
    const thresholds: CodeClaim[] = [];
    for (let code = first + 1; code <= last; code += 1) {
      const { voltage, proof, point } = this.threshold(side, code, ends);
      proven = Math.max(proven, rounded(mirrored(code), voltage));
      if (proof !== undefined) thresholds.push({ code, voltage, proof });
      if (point !== undefined) candidates.push(...this.witnessAt(side, point, band));
    }
    const best = candidates.reduce<Candidate | undefined>(
      (found, candidate) =>
        found === undefined || sign * candidate.error > sign * found.error ? candidate : found,
      undefined,
    );
    if (best === undefined) return undefined;
    return {
      proven: 0 + sign * withCheckerRoom(proven),
      witnessed: best.error,
      witness: best.point,
      boxes: atUpper.boxes,
      undecided: atUpper.undecided,
      stopped: "gap",
      claim: {
        kind: "codes",
        first: { code: first, voltage: ends.lower, proof: atLower.proof },
        thresholds,
        last: { code: last, voltage: ends.upper, proof: atUpper.proof },
      },
    };
  }
}
