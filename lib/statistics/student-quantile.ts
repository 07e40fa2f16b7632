import { invariant, OutsideDomainError } from "../errors.ts";
import { incompleteBeta, logBeta } from "./incomplete-beta.ts";
import { normalQuantile } from "./normal-quantile.ts";

/** From this many degrees of freedom times 1 + z^2 on the expansion is exact to a double. */
const EXPANSION_FROM = 1e4;
const MOST_STEPS = 200;

/** Probability that a Student t quantity exceeds `t` >= 0. */
export function studentUpperTail(t: number, degreesOfFreedom: number): number {
  const sum = degreesOfFreedom + t * t;
  const point = {
    first: degreesOfFreedom / 2,
    second: 0.5,
    x: degreesOfFreedom / sum,
    complement: (t * t) / sum,
  };
  return incompleteBeta(point) / 2;
}

function logDensity(t: number, degreesOfFreedom: number): number {
  return (
    -0.5 * Math.log(degreesOfFreedom) -
    logBeta(degreesOfFreedom / 2, 0.5) -
    ((degreesOfFreedom + 1) / 2) * Math.log1p((t * t) / degreesOfFreedom)
  );
}

/** Expansion of the quantile around the normal one (Abramowitz and Stegun 26.7.5, from memory). */
function expansion(z: number, nu: number): number {
  const s = z * z;
  const g1 = (z * (s + 1)) / 4;
  const g2 = (z * ((5 * s + 16) * s + 3)) / 96;
  const g3 = (z * (((3 * s + 19) * s + 17) * s - 15)) / 384;
  return z + (g1 + (g2 + g3 / nu) / nu) / nu;
}

/** Quantile for an upper tail below one half, by Newton steps in log t inside a bracket. */
function upperQuantile(tail: number, nu: number): number {
  let lower = 0;
  let upper = Infinity;
  let t = Math.max(expansion(-normalQuantile(tail), nu), 1e-8);
  for (let step = 0; step < MOST_STEPS; step += 1) {
    const probability = studentUpperTail(t, nu);
    if (probability > tail) lower = t;
    else upper = t;
    // Far out the tail is a power of t, so that its logarithm against log t is nearly straight.
    const slope = -(Math.exp(logDensity(t, nu)) * t) / probability;
    const wanted = t * Math.exp((Math.log(tail) - Math.log(probability)) / slope);
    let next = wanted;
    if (!(wanted > lower && wanted < upper))
      next = upper === Infinity ? 2 * t : (lower + upper) / 2;
    if (Math.abs(next - t) <= 4e-16 * t) return next;
    // Two points that swap places are as near as doubles allow.
    if (step > 60 && Math.abs(next - t) <= 1e-14 * t) return next;
    t = next;
  }
  invariant(false, `the quantile of Student t (${nu} degrees of freedom, tail ${tail}) converges`);
}

/**
 * The number that a Student t quantity with the degrees of freedom given stays below with the
 * probability given. Degrees of freedom of at least 1, not necessarily an integer; Infinity gives
 * the normal quantile. Relative error about 1e-13.
 *
 * Source: JCGM 100:2008, G.3 and table G.2.
 */
export function studentQuantile(probability: number, degreesOfFreedom: number): number {
  if (!(degreesOfFreedom >= 1)) {
    throw new OutsideDomainError({
      path: "degreesOfFreedom",
      quantity: "degrees of freedom",
      permitted: "at least 1",
      received: String(degreesOfFreedom),
    });
  }
  if (!(probability > 0 && probability < 1) || degreesOfFreedom === Infinity)
    return normalQuantile(probability);
  if (probability === 0.5) return 0;
  const z = normalQuantile(probability);
  if (degreesOfFreedom >= EXPANSION_FROM * (1 + z * z)) return expansion(z, degreesOfFreedom);
  const isUpper = probability > 0.5;
  const size = upperQuantile(isUpper ? 1 - probability : probability, degreesOfFreedom);
  return isUpper ? size : -size;
}
