import type { SeededRandom } from "./seeded-random.ts";

/**
 * Voltage of a passive product: a sum of decaying exponentials with positive weights, 1 V at the
 * stated instant. Rates per stated instant.
 */
export interface DecayingProduct {
  readonly weights: readonly number[];
  readonly rates: readonly number[];
  /** Voltage at the opening over that at the stated instant. */
  readonly rise: number;
}

/** A product of two or three time constants, some of which do not decay at all. */
export function randomProduct(random: SeededRandom): DecayingProduct {
  const count = 2 + random.below(2);
  const raw = Array.from({ length: count }, (_, index) =>
    index === 0 && random.below(2) === 0 ? 10 ** (-4 * random.unit()) : random.unit(),
  );
  const sum = raw.reduce((total, weight) => total + weight, 0);
  const weights = raw.map((weight) => weight / sum);
  const rates = weights.map(() => [0, 3 * random.unit(), 11 * random.unit()][random.below(3)]!);
  const rise = weights.reduce(
    (total, weight, index) => total + weight * Math.exp(rates[index]!),
    0,
  );
  return { weights, rates, rise };
}

/** When and how a reading is taken; lengths of time in stated instants. */
export interface Sampling {
  /** Middle of the averaging window, after the stated instant. */
  readonly late: number;
  readonly window: number;
  /** Time constant of a first-order filter that has long settled. */
  readonly lag: number;
}

/** Mean of the filtered voltage over the window, V. */
export function sampledMean(product: DecayingProduct, sampling: Sampling): number {
  return product.weights.reduce((sum, weight, index) => {
    const rate = product.rates[index]!;
    const half = (rate * sampling.window) / 2;
    const mean = half < 1e-6 ? 1 : Math.sinh(half) / half;
    return sum + (weight * Math.exp(-rate * sampling.late) * mean) / (1 - sampling.lag * rate);
  }, 0);
}
