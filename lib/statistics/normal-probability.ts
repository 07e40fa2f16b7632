import { invariant } from "../errors.ts";

const ROOT_TWO_PI = Math.sqrt(2 * Math.PI);
/** Terms after which a series or a continued fraction is given up; 30 to 100 are used. */
const MOST_TERMS = 2_000;

/** Density of the standard normal distribution. */
export function normalDensity(z: number): number {
  return Math.exp(-0.5 * z * z) / ROOT_TWO_PI;
}

/** Upper tail for z >= 2: the continued fraction of Laplace, evaluated forwards. */
function tail(z: number): number {
  let previousTop = 1;
  let previousBottom = 0;
  let top = 0;
  let bottom = 1;
  // K = 1/(z + 1/(z + 2/(z + 3/(z + ...)))), convergents by the forward recurrence.
  let value = 0;
  for (let term = 0; term < MOST_TERMS; term += 1) {
    const weight = term === 0 ? 1 : term;
    [previousTop, top] = [top, z * top + weight * previousTop];
    [previousBottom, bottom] = [bottom, z * bottom + weight * previousBottom];
    if (bottom > 1e200) {
      top /= 1e200;
      bottom /= 1e200;
      previousTop /= 1e200;
      previousBottom /= 1e200;
    }
    const next = top / bottom;
    if (Math.abs(next - value) <= 1e-16 * next) return normalDensity(z) * next;
    value = next;
  }
  invariant(false, `the tail of the normal distribution at ${z} converges`);
}

/**
 * Probability that a standard normal quantity does not exceed `z`; accurate to some units in the
 * last place in the lower tail too, down to the smallest doubles.
 */
export function normalProbability(z: number): number {
  if (z < -2) return z < -40 ? 0 : tail(-z);
  if (z > 2) return z > 40 ? 1 : 1 - tail(z);
  let term = z;
  let sum = z;
  for (let k = 1; k < MOST_TERMS; k += 1) {
    term *= (z * z) / (2 * k + 1);
    const next = sum + term;
    if (next === sum) break;
    sum = next;
  }
  return 0.5 + normalDensity(z) * sum;
}
