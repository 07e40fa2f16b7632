import type { Space } from "../arbitraries/space.ts";
import type { Claim } from "../claims/claim.ts";
import type { BlockResult } from "./block.ts";

/** Hits of one class against what is asked for. */
export interface ClassCount {
  readonly dimension: string;
  readonly name: string;
  readonly hits: number;
  readonly least: number;
}

/** How well the runs of a claim cover its space. */
export interface Coverage {
  /** Applicable runs that were counted. */
  readonly runs: number;
  readonly classes: readonly ClassCount[];
  /** Pairs of classes of two dimensions, and those met too seldom. */
  readonly pairs: number;
  readonly pairsShort: number;
}

/** In 1 000 runs each class is met at least so often, and each pair of classes. */
const LEAST_PER_CLASS = 50;
const LEAST_PER_PAIR = 3;
const PER = 1_000;

function asked(least: number, runs: number): number {
  return Math.ceil((least * Math.min(runs, PER)) / PER);
}

/** Pairs of classes of two dimensions that were met less often than asked. */
function pairsOf(space: Space, lines: readonly string[], least: number): readonly [number, number] {
  const sizes = space.map(({ classes }) => classes.length);
  const values = lines.map((line) => Array.from(line, (digit) => Number.parseInt(digit, 36)));
  let all = 0;
  let short = 0;
  for (let one = 0; one < sizes.length; one += 1) {
    for (let other = one + 1; other < sizes.length; other += 1) {
      const counts = new Int32Array(sizes[one]! * sizes[other]!);
      for (const row of values) counts[row[one]! * sizes[other]! + row[other]!]! += 1;
      all += counts.length;
      for (const count of counts) if (count < least) short += 1;
    }
  }
  return [all, short];
}

/** Counts classes, named situations and pairs over the runs that look for faults. */
export function coverageOf(claim: Claim, space: Space, results: readonly BlockResult[]): Coverage {
  const counted = results.filter(({ method }) => method === "edges" || method === "unbiased");
  const lines = counted.flatMap(({ classes }) => classes);
  const runs = lines.length;
  const dimensions = space.flatMap(({ name, classes }, place) => {
    const hits = classes.map(() => 0);
    for (const line of lines) hits[Number.parseInt(line[place]!, 36)]! += 1;
    return classes.map((one, index) => ({
      dimension: name,
      name: one.name,
      hits: hits[index]!,
      least: asked(LEAST_PER_CLASS, runs),
    }));
  });
  const named = claim.covers.map(({ name, least }, index) => ({
    dimension: "outcome",
    name,
    hits: counted.reduce((sum, result) => sum + result.named[index]!, 0),
    least: asked(least, runs),
  }));
  const [pairs, pairsShort] = pairsOf(space, lines, asked(LEAST_PER_PAIR, runs));
  return { runs, classes: [...dimensions, ...named], pairs, pairsShort };
}
