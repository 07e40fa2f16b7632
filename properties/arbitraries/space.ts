import * as fc from "fast-check";

/** Consecutive whole numbers that are one equivalence class of a dimension, ends included. */
export interface DimensionClass {
  readonly name: string;
  readonly least: number;
  readonly most: number;
  /** Numbers of the class worth a visit of their own: thresholds and what lies beside them. */
  readonly edges?: readonly number[];
}

/**
 * One thing that differs from scenario to scenario, as a whole number. Its classes are drawn
 * equally often; the first is the simplest, towards which a failure is reduced.
 */
export interface Dimension {
  readonly name: string;
  readonly classes: readonly DimensionClass[];
  /** The number in words, with its unit. */
  readonly text: (value: number) => string;
}

/** What a claim quantifies over. */
export type Space = readonly Dimension[];

/** One scenario as the numbers of its dimensions: small, exact, and fit to be stored. */
export type Point = Readonly<Record<string, number>>;

/** Share of the draws of a class that go to its edges. */
const EDGE_WEIGHT = 1;
const INSIDE_WEIGHT = 2;

function classArbitrary({ least, most, edges = [] }: DimensionClass): fc.Arbitrary<number> {
  const inside = fc.integer({ min: least, max: most });
  if (edges.length === 0) return inside;
  return fc.oneof(
    { withCrossShrink: true },
    { arbitrary: inside, weight: INSIDE_WEIGHT },
    { arbitrary: fc.constantFrom(...edges), weight: EDGE_WEIGHT },
  );
}

/**
 * Points drawn for finding faults: every class of a dimension as often as every other, ends and
 * edges of a class more often than what lies between. Shrinks towards the first classes.
 */
export function pointArbitrary(space: Space): fc.Arbitrary<Point> {
  return fc.record(
    Object.fromEntries(
      space.map(({ name, classes }) => [
        name,
        fc.oneof({ withCrossShrink: true }, ...classes.map(classArbitrary)),
      ]),
    ),
  );
}

/** A number of a source between 0 and 1, the upper end excluded. */
export type Uniform = () => number;

function below(count: number, next: Uniform): number {
  return Math.min(count - 1, Math.floor(next() * count));
}

/** One number of a dimension from its declared distribution. */
export function drawNumber({ classes }: Dimension, next: Uniform): number {
  const { least, most } = classes[below(classes.length, next)]!;
  return least + below(most - least + 1, next);
}

/**
 * A point drawn from the declared distribution and nothing else: each class of a dimension equally
 * likely, each number within a class equally likely, dimensions independent.
 */
export function drawPoint(space: Space, next: Uniform): Point {
  return Object.fromEntries(
    space.map((dimension) => [dimension.name, drawNumber(dimension, next)]),
  );
}

/** Place of the class that a number belongs to; the first that holds it. */
export function classOf({ classes }: Dimension, value: number): number {
  return classes.findIndex(({ least, most }) => value >= least && value <= most);
}

/** The numbers of a point in words, one line for each dimension. */
export function pointInWords(space: Space, point: Point): string[] {
  return space.map(({ name, text }) => `${name}: ${text(point[name]!)}`);
}
