import { PlainEvaluator } from "../expression/evaluate.ts";
import { compileTape } from "../expression/tape.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Side } from "./bracket.ts";
import type { Box } from "./box.ts";
import type { Domain } from "./domain.ts";
import type { ShownReading } from "./shown-reading.ts";

/** Distance kept from a code edge, LSB: small against any gap, large against rounding. */
const EDGE_DISTANCE = 2e-5;

const NEWTON_STEPS = 6;

/** Whole codes around the present one that are tried as edges of an adjustment reading. */
const EDGE_OFFSETS = [0, -1, 1, -2, 2, -3, 3];

/** Edges tried to either side of the present code of the reading in use. */
const MOST_USE_EDGES = 40;

/** With at least this many edges in use, few edges of the adjustment readings are enough. */
const MANY_USE_EDGES = 12;

/** Sets of movers that are tried in turn, the cheapest first. */
const MOVER_SETS = 6;

/** A witness this close to the best point makes another set of movers needless. */
const GOOD = 0.998;

/** A witness this close to the best point of the bounded equation ends the search. */
const ENOUGH = 0.9992;

/** Placements of edges that are carried out, the most promising first. */
const MOST_PLACEMENTS = 160;

/** The quantities that place the codes. */
interface Movement {
  readonly movers: readonly number[];
  /** For each reading, the moves of the movers that shift its code alone by one. */
  readonly perCode: readonly (readonly number[])[];
}

interface Placement extends Movement {
  readonly start: Float64Array;
  readonly box: Box;
  readonly sign: number;
  /** Codes at the start. */
  readonly present: readonly number[];
  readonly target: (reading: number, offset: number) => number;
}

/** Edges of some of the readings, and what it takes to place their codes there. */
interface Edges {
  readonly targets: readonly number[];
  readonly moves: readonly number[];
  /** Volts of error it costs. */
  readonly loss: number;
}

interface Best {
  error: number;
  point: Float64Array;
}

/** Move of one mover that shifts the codes of the readings by the amounts asked for. */
function moveOf(perCode: Movement["perCode"], shifts: readonly number[], mover: number): number {
  let move = 0;
  for (const [reading, shift] of shifts.entries()) move += shift * perCode[reading]![mover]!;
  return move;
}

/** Solves a small linear system by elimination with pivoting; undefined where it is singular. */
function solve(matrix: number[][], right: number[]): number[] | undefined {
  const size = right.length;
  for (let column = 0; column < size; column += 1) {
    let pivot = column;
    for (let row = column + 1; row < size; row += 1)
      if (Math.abs(matrix[row]![column]!) > Math.abs(matrix[pivot]![column]!)) pivot = row;
    if (Math.abs(matrix[pivot]![column]!) < 1e-300) return undefined;
    [matrix[column], matrix[pivot]] = [matrix[pivot]!, matrix[column]!];
    [right[column], right[pivot]] = [right[pivot]!, right[column]!];
    for (let row = column + 1; row < size; row += 1) {
      const factor = matrix[row]![column]! / matrix[column]![column]!;
      for (let index = column; index < size; index += 1)
        matrix[row]![index]! -= factor * matrix[column]![index]!;
      right[row]! -= factor * right[column]!;
    }
  }
  for (let row = size - 1; row >= 0; row -= 1) {
    for (let index = row + 1; index < size; index += 1)
      right[row]! -= matrix[row]![index]! * right[index]!;
    right[row]! /= matrix[row]![row]!;
  }
  return right;
}

/**
 * Turns a point of the bounded equation into a witness through the real roundings. At the point
 * every rounding sits at one end; the witness needs every code just at that edge. What an
 * adjustment cancels (tolerances of divider and offset) moves the codes of the adjustment readings
 * at next to no cost, and the true voltage moves the code in use: a small Newton step places all
 * of them.
 */
export class EdgeWitness {
  private readonly shown: ShownReading;
  private readonly evaluator: PlainEvaluator;
  /** Roots of the evaluator: the bounded error, then a code for each reading. */
  private readonly readings: readonly { readonly rounding: number; readonly root: number }[];
  /** The codes alone. */
  private readonly codes: PlainEvaluator;
  private readonly gradients: Float64Array[];
  private readonly errorGradient: Float64Array;
  private movers: readonly (readonly number[])[] | undefined;

  constructor(model: MeasurementModel, domain: Domain, shown: ShownReading) {
    const coded = model.quantisers.filter(({ shown: name }) => name.startsWith("code_"));
    const roots = coded.map(({ occasion }) => {
      const reading = occasion === "all" ? undefined : model.codes[occasion];
      return reading!;
    });
    this.shown = shown;
    this.evaluator = new PlainEvaluator(compileTape([model.bounded, ...roots], domain.names));
    this.codes = new PlainEvaluator(compileTape(roots, domain.names));
    this.readings = coded.map((quantiser, index) => ({
      rounding: domain.slotOf.get(quantiser.symbol)!,
      root: index + 1,
    }));
    this.gradients = coded.map(() => new Float64Array(domain.names.length));
    this.errorGradient = new Float64Array(domain.names.length);
  }

  private evaluate(point: Float64Array): void {
    this.evaluator.evaluate(point);
    for (const [index, { root }] of this.readings.entries())
      this.evaluator.gradient(root, this.gradients[index]!);
  }

  /**
   * The quantities that place the codes of the adjustment readings at least cost in error, and the
   * true voltage for the reading in use.
   */
  private chooseMovers(point: Float64Array, box: Box): readonly (readonly number[])[] {
    this.evaluate(point);
    this.evaluator.gradient(0, this.errorGradient);
    const adjusted = this.readings.length - 1;
    const useful = [...point.keys()].filter((slot) => {
      const width = box.upper[slot]! - box.lower[slot]!;
      return slot !== 0 && width > 0 && this.readings.every(({ rounding }) => rounding !== slot);
    });
    const reachOf = (slot: number): number =>
      Math.max(...this.adjustmentGradients().map((gradient) => Math.abs(gradient[slot]!)));
    // Volts lost per code moved, and more for a quantity that can move few codes.
    const costPerCode = (slot: number): number => {
      const codes = reachOf(slot) * (box.upper[slot]! - box.lower[slot]!);
      return (Math.abs(this.errorGradient[slot]!) / reachOf(slot) + 1e-6) * (1 + 6 / codes);
    };
    const wide = useful.filter((slot) => reachOf(slot) * (box.upper[slot]! - box.lower[slot]!) > 1);
    const sorted = wide.sort((one, other) => costPerCode(one) - costPerCode(other)).slice(0, 16);
    if (adjusted === 0) return [[0]];
    if (adjusted === 1) return sorted.slice(0, MOVER_SETS).map((slot) => [slot, 0]);
    return this.cheapestPairs(sorted, costPerCode).map((pair) => [...pair, 0]);
  }

  /** Gradients of the codes of the adjustment readings. */
  private adjustmentGradients(): Float64Array[] {
    return this.gradients.filter((_, index) => index !== this.useIndex());
  }

  /** The reading in use is the last of the quantisers. */
  private useIndex(): number {
    return this.readings.length - 1;
  }

  /** Pairs that move the two adjustment readings apart from each other, the cheapest first. */
  private cheapestPairs(
    slots: readonly number[],
    costPerCode: (slot: number) => number,
  ): readonly (readonly number[])[] {
    const [low, high] = this.adjustmentGradients() as [Float64Array, Float64Array];
    const pairs: { readonly pair: readonly number[]; readonly cost: number }[] = [];
    for (const one of slots) {
      for (const other of slots) {
        if (one >= other) continue;
        const determinant = low[one]! * high[other]! - low[other]! * high[one]!;
        const size = Math.hypot(low[one]!, high[one]!) * Math.hypot(low[other]!, high[other]!);
        const angle = Math.abs(determinant) / size;
        if (angle < 0.2) continue;
        pairs.push({ pair: [one, other], cost: (costPerCode(one) + costPerCode(other)) / angle });
      }
    }
    return pairs
      .sort((one, other) => one.cost - other.cost)
      .slice(0, MOVER_SETS)
      .map(({ pair }) => pair);
  }

  /**
   * Moves of the movers for a shift of each code by one, a list for each reading, by the last
   * gradients; undefined where the movers cannot shift the codes apart.
   */
  private movesPerCode(movers: readonly number[]): Movement["perCode"] | undefined {
    if (movers.length !== this.readings.length) return undefined;
    const moves = this.readings.map((_, reading) =>
      solve(
        this.readings.map((_row, index) => movers.map((slot) => this.gradients[index]![slot]!)),
        this.readings.map((_row, index) => (index === reading ? 1 : 0)),
      ),
    );
    return moves.every((list) => list !== undefined) ? moves : undefined;
  }

  /**
   * Moves the point so that each reading's code stands at its target; false where it cannot. The
   * codes are all but straight in the movers, so that one set of gradients serves every step.
   */
  private place(point: Float64Array, targets: readonly number[], { movers, perCode }: Movement) {
    for (let step = 0; step < NEWTON_STEPS; step += 1) {
      this.codes.evaluate(point);
      const off = targets.map((target, index) => target - this.codes.root(index));
      if (off.every((value) => Math.abs(value) < EDGE_DISTANCE / 10)) return true;
      for (const [index, slot] of movers.entries()) point[slot]! += moveOf(perCode, off, index);
    }
    return false;
  }

  /** Moves the true voltage alone, so that the code in use stands at its target. */
  private placeUse(point: Float64Array, target: number): boolean {
    const use = this.useIndex();
    for (let step = 0; step < NEWTON_STEPS; step += 1) {
      this.codes.evaluate(point);
      const off = target - this.codes.root(use);
      if (Math.abs(off) < EDGE_DISTANCE / 10) return true;
      point[0]! += off / this.gradients[use]![0]!;
    }
    return false;
  }

  private inside(point: Float64Array, box: Box, slots: readonly number[]): boolean {
    return slots.every(
      (slot) => point[slot]! >= box.lower[slot]! && point[slot]! <= box.upper[slot]!,
    );
  }

  /** Edges to try for each reading, as offsets in whole codes; for that in use those in the band. */
  private offsets(box: Box): readonly (readonly number[])[] {
    const use = this.useIndex();
    const width = (box.upper[0]! - box.lower[0]!) * Math.abs(this.gradients[use]![0]!);
    const reach = Math.min(MOST_USE_EDGES, Math.ceil(width));
    const ofUse = Array.from({ length: 2 * reach + 1 }, (_, index) => {
      const size = (index + 1) >> 1;
      return index % 2 === 0 ? size : -size;
    });
    const ofAdjustment = reach > MANY_USE_EDGES ? EDGE_OFFSETS.slice(0, 5) : EDGE_OFFSETS;
    return this.readings.map((_, index) => (index === use ? ofUse : ofAdjustment));
  }

  /**
   * The edges that can be reached inside the limits, those that should cost least first. Moves and
   * cost are sums over the readings, so that each edge of each reading is worked out once.
   */
  private promising(of: Placement): readonly (readonly number[])[] {
    const { start, box, movers, perCode, sign, present, target } = of;
    this.evaluator.gradient(0, this.errorGradient);
    const room = movers.map((slot) => {
      const spare = 1e-3 * (box.upper[slot]! - box.lower[slot]!);
      return [box.lower[slot]! - spare - start[slot]!, box.upper[slot]! + spare - start[slot]!];
    });
    let partial: readonly Edges[] = [{ targets: [], moves: movers.map(() => 0), loss: 0 }];
    for (const [reading, offsets] of this.offsets(box).entries()) {
      const edges = offsets.map((offset) => {
        const to = target(reading, offset);
        const moves = perCode[reading]!.map((move) => move * (to - present[reading]!));
        const loss = movers.reduce(
          (sum, slot, index) => sum - sign * this.errorGradient[slot]! * moves[index]!,
          0,
        );
        return { to, moves, loss };
      });
      partial = partial.flatMap((before) =>
        edges.map(({ to, moves, loss }) => ({
          targets: [...before.targets, to],
          moves: before.moves.map((move, index) => move + moves[index]!),
          loss: before.loss + loss,
        })),
      );
    }
    return partial
      .filter(({ moves }) =>
        moves.every((move, index) => move > room[index]![0]! && move < room[index]![1]!),
      )
      .sort((one, other) => one.loss - other.loss)
      .slice(0, MOST_PLACEMENTS)
      .map(({ targets }) => targets);
  }

  /** The best witness found near a point of the bounded equation; undefined where none is fair. */
  find(side: Side, start: Float64Array, box: Box): Best | undefined {
    const sign = side === "high" ? 1 : -1;
    this.movers ??= this.chooseMovers(start, box);
    let best: Best | undefined;
    const offer = (point: Float64Array, movers: readonly number[]): void => {
      if (!this.inside(point, box, movers)) return;
      const error = this.shown.witnessed(point);
      if (error === undefined) return;
      if (best === undefined || sign * error > sign * best.error) best = { error, point };
    };
    this.evaluate(start);
    const reached = sign * this.evaluator.root(0);
    // Rounding at its upper end means the code stands just above an edge, and the reverse.
    const rising = this.readings.map(({ rounding }) => start[rounding]! > 0);
    const present = this.readings.map((_, index) => this.evaluator.root(index + 1));
    const target = (index: number, offset: number): number =>
      Math.round(present[index]!) +
      offset +
      (rising[index]! ? EDGE_DISTANCE - 0.5 : 0.5 - EDGE_DISTANCE);
    for (const movers of this.movers) {
      this.evaluate(start);
      const perCode = this.movesPerCode(movers);
      if (perCode === undefined) continue;
      const movement = { movers, perCode };
      for (const targets of this.promising({ start, box, ...movement, sign, present, target })) {
        if (best !== undefined && sign * best.error >= reached * ENOUGH) break;
        const point = start.slice();
        if (this.place(point, targets, movement)) offer(point, movers);
      }
      if (best !== undefined && sign * best.error >= reached * GOOD) break;
    }
    if (best === undefined || sign * best.error < reached * GOOD) {
      const use = this.useIndex();
      for (let offset = -2; offset <= 2; offset += 1) {
        const point = start.slice();
        if (this.placeUse(point, target(use, offset))) offer(point, [0]);
      }
    }
    offer(start.slice(), []);
    return best;
  }
}
