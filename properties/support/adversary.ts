import type { SeededRandom } from "./seeded-random.ts";

/** A function to be made as large as possible over a box. */
export interface Target {
  readonly value: (point: Float64Array) => number;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/** What a search found, and how many points it looked at. */
export interface Found {
  readonly value: number;
  readonly point: Float64Array;
}

function anywhere({ lower, upper }: Target, random: SeededRandom): Float64Array {
  return lower.map((low, slot) => low + random.unit() * (upper[slot]! - low));
}

/**
 * Climbs from a point by moves that keep what helps: a few quantities at a time, to an end, to
 * anywhere, or a little aside by a length that shrinks. Needs no slope, so that it sees the real
 * roundings.
 */
export function hillClimb(
  target: Target,
  random: SeededRandom,
  { start, steps }: { readonly start?: Float64Array; readonly steps: number },
): Found {
  const { lower, upper } = target;
  let point = start?.slice() ?? anywhere(target, random);
  let value = target.value(point);
  for (let step = 0; step < steps; step += 1) {
    const trial = point.slice();
    const reach = 10 ** (-6 * random.unit());
    for (let moved = random.below(3); moved >= 0; moved -= 1) {
      // The true voltage, in slot 0, decides at which edge of a code the reading stands.
      const slot = random.below(3) === 0 ? 0 : random.below(trial.length);
      const [low, high] = [lower[slot]!, upper[slot]!];
      const kind = random.below(4);
      const aside = trial[slot]! + (random.unit() - 0.5) * reach * (high - low);
      const to = kind === 0 ? low : kind === 1 ? high : aside;
      trial[slot] = Math.min(Math.max(to, low), high);
    }
    const reached = target.value(trial);
    if (reached < value) continue;
    point = trial;
    value = reached;
  }
  return { value, point };
}

/**
 * Differential evolution: each member of a population is challenged by a mixture of others.
 *
 * Source: R. Storn, K. Price, Differential evolution, J. Global Optimization 11 (1997) 341-359,
 * scheme DE/rand/1/bin, values outside set to the end.
 */
export function evolve(
  target: Target,
  random: SeededRandom,
  { population, generations }: { readonly population: number; readonly generations: number },
): Found {
  const { lower, upper } = target;
  const members = Array.from({ length: population }, () => anywhere(target, random));
  const values = members.map((member) => target.value(member));
  for (let generation = 0; generation < generations; generation += 1) {
    for (let index = 0; index < population; index += 1) {
      const [a, b, c] = [0, 0, 0].map(() => members[random.below(population)]!) as [
        Float64Array,
        Float64Array,
        Float64Array,
      ];
      const kept = random.below(lower.length);
      const challenger = members[index]!.map((value, slot) => {
        if (slot !== kept && random.below(10) === 0) return value;
        const mixed = a[slot]! + 0.7 * (b[slot]! - c[slot]!);
        return Math.min(Math.max(mixed, lower[slot]!), upper[slot]!);
      });
      const value = target.value(challenger);
      if (value < values[index]!) continue;
      members[index] = challenger;
      values[index] = value;
    }
  }
  const best = values.indexOf(Math.max(...values));
  return { value: values[best]!, point: members[best]! };
}
