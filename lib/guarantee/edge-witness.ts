import { PlainEvaluator } from "../expression/evaluate.ts";
import { compileTape } from "../expression/tape.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Side } from "./bracket.ts";
import type { Box } from "./box.ts";
import type { Domain } from "./domain.ts";
import type { ShownReading } from "./shown-reading.ts";

/** Distance kept from a code edge, LSB: small against any gap, large against rounding. */
const EDGE_DISTANCE = 2e-5;

const NEWTON_STEPS = 5;

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

/** ... and of them those that are carried out in hope of better than a good witness. */
const HOPEFUL_PLACEMENTS = 24;

/** The quantities that place the codes. */
interface Movement {
  readonly movers: readonly number[];
  /** For each reading, the moves of the movers that shift its code alone by one. */
  readonly perCode: readonly (readonly number[])[];
  /** What the movers change in the equations of the codes. */
  readonly rows: Int32Array;
}

interface Placement extends Movement {
  readonly start: Float64Array;
  readonly box: Box;
  readonly sign: number;
  /** Codes at the start. */
  readonly present: readonly number[];
  readonly target: (reading: number, offset: number) => number;
}

/** Where a code is to stand; undefined for a reading that is left as it comes. */
type Targets = readonly (number | undefined)[];

/** An edge of a reading, and what it takes to place its code there. */
interface Edge {
  readonly target: number;
  readonly moves: readonly number[];
  /** Volts of error it costs. */
  readonly loss: number;
}

/** An edge for each reading. */
interface Edges {
  readonly targets: readonly number[];
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
   * Moves the start so that each reading's code stands at its target; undefined where it cannot. The
   * codes are all but straight in the movers, so that one set of gradients serves every step. The
   * codes must have been evaluated last where nothing but the movers differs from the start.
   */
  private placed(of: Omit<Placement, "box" | "sign" | "target">, targets: Targets) {
    const { start, movers, perCode, rows, present } = of;
    const point = start.slice();
    let shifts = targets.map((target, index) => (target ?? present[index]!) - present[index]!);
    for (let step = 0; step < NEWTON_STEPS; step += 1) {
      for (const [index, slot] of movers.entries()) point[slot]! += moveOf(perCode, shifts, index);
      this.codes.evaluateRows(point, rows);
      shifts = targets.map((target, index) =>
        target === undefined ? 0 : target - this.codes.root(index),
      );
      if (shifts.every((value) => Math.abs(value) < EDGE_DISTANCE / 10)) return point;
    }
    return undefined;
  }

  private movement(movers: readonly number[], perCode: Movement["perCode"]): Movement {
    return { movers, perCode, rows: this.codes.rowsOf(movers) };
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

  /** The edges to try for each reading. */
  private edges(of: Placement): readonly (readonly Edge[])[] {
    const { box, sign, movers, perCode, present, target } = of;
    return this.offsets(box).map((offsets, reading) =>
      offsets.map((offset) => {
        const to = target(reading, offset);
        const moves = perCode[reading]!.map((move) => move * (to - present[reading]!));
        const loss = movers.reduce(
          (sum, slot, index) => sum - sign * this.errorGradient[slot]! * moves[index]!,
          0,
        );
        return { target: to, moves, loss };
      }),
    );
  }

  /**
   * The edges that can be reached inside the limits, those that should cost least first. Moves and
   * cost are sums over the readings, so that each edge of each reading is worked out once.
   */
  private promising(of: Placement): readonly Edges[] {
    const { start, box, movers } = of;
    this.evaluator.gradient(0, this.errorGradient);
    const least: number[] = [];
    const most: number[] = [];
    for (const slot of movers) {
      const spare = 1e-3 * (box.upper[slot]! - box.lower[slot]!);
      least.push(box.lower[slot]! - spare - start[slot]!);
      most.push(box.upper[slot]! + spare - start[slot]!);
    }
    const edges = this.edges(of);
    const reachable: Edges[] = [];
    const chosen: Edge[] = [];
    const choose = (reading: number): void => {
      if (reading < edges.length) {
        for (const edge of edges[reading]!) {
          chosen[reading] = edge;
          choose(reading + 1);
        }
        return;
      }
      for (let mover = 0; mover < movers.length; mover += 1) {
        let move = 0;
        for (const { moves } of chosen) move += moves[mover]!;
        if (!(move > least[mover]! && move < most[mover]!)) return;
      }
      const loss = chosen.reduce((sum, edge) => sum + edge.loss, 0);
      reachable.push({ targets: chosen.map(({ target }) => target), loss });
    };
    choose(0);
    return reachable.sort((one, other) => one.loss - other.loss).slice(0, MOST_PLACEMENTS);
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
      const perCode = this.movesPerCode(movers);
      if (perCode === undefined) continue;
      this.codes.evaluate(start);
      const placement = { start, box, sign, present, target, ...this.movement(movers, perCode) };
      for (const [count, { targets, loss }] of this.promising(placement).entries()) {
        const share = count < HOPEFUL_PLACEMENTS ? ENOUGH : GOOD;
        // What follows costs more still: no hope of a better one.
        const hoped = Math.min(reached * share, reached - loss);
        if (best !== undefined && sign * best.error >= hoped) break;
        const point = this.placed(placement, targets);
        if (point !== undefined) offer(point, movers);
      }
      if (best !== undefined && sign * best.error >= reached * GOOD) break;
    }
    if (best === undefined || sign * best.error < reached * GOOD) {
      const use = this.useIndex();
      // The true voltage alone moves the code in use.
      const perCode = this.readings.map((_, index) =>
        index === use ? [1 / this.gradients[use]![0]!] : [0],
      );
      this.codes.evaluate(start);
      const placement = { start, present, ...this.movement([0], perCode) };
      for (let offset = -2; offset <= 2; offset += 1) {
        const targets = this.readings.map((_, index) =>
          index === use ? target(use, offset) : undefined,
        );
        const point = this.placed(placement, targets);
        if (point !== undefined) offer(point, [0]);
      }
    }
    offer(start.slice(), []);
    return best;
  }
}
