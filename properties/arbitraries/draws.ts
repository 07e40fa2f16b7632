import * as fc from "fast-check";
import { fillUniforms, keyOfSeed, streamOf } from "../../lib/random/stream.ts";
import { spanOf, valueOf } from "./parameter.ts";
import type { Draw, Parameter, Stratum } from "./parameter.ts";

function within({ least, most }: Stratum, plain: number): fc.Arbitrary<number> {
  const inside = fc.integer({ min: least, max: most });
  return least <= plain && plain <= most
    ? fc.integer({ min: least - plain, max: most - plain }).map((offset) => plain + offset)
    : inside;
}

/** Whole numbers of one parameter: every class equally often, shrinking to the plainest value. */
function valuesOf({ strata }: Parameter): fc.Arbitrary<number> {
  const plain = strata[0]!.least;
  const [first, ...rest] = strata.map((stratum) => within(stratum, plain));
  return fc.oneof({ withCrossShrink: true }, first!, ...rest);
}

/**
 * Edge-biased draws for finding faults: each class of each parameter is drawn equally often. They
 * carry no statement of probability.
 */
export function stratifiedDraws(parameters: readonly Parameter[]): fc.Arbitrary<Draw> {
  return fc.record(
    Object.fromEntries(parameters.map((parameter) => [parameter.name, valuesOf(parameter)])),
  );
}

/**
 * One unbiased draw: each parameter uniform over its whole span, independent of the others and of
 * other trials. That is the declared distribution of a statistical statement.
 */
export function unbiasedDraw(parameters: readonly Parameter[], seed: number, trial: number): Draw {
  const key = keyOfSeed(seed);
  const uniform = new Float64Array(1);
  return Object.fromEntries(
    parameters.map((parameter) => {
      const [least, most] = spanOf(parameter);
      fillUniforms({ key, stream: streamOf(parameter.name), firstTrial: trial }, uniform);
      const step = Math.floor(uniform[0]! * (most - least + 1));
      return [parameter.name, Math.min(most, least + step)];
    }),
  );
}

/** One draw with each class of each parameter equally likely: where a guided search starts. */
export function classDraw(parameters: readonly Parameter[], uniforms: () => number): Draw {
  return Object.fromEntries(
    parameters.map(({ name, strata }) => {
      const { least, most } = strata[Math.floor(uniforms() * strata.length)]!;
      return [name, Math.min(most, least + Math.floor(uniforms() * (most - least + 1)))];
    }),
  );
}

/** A draw a little or a lot aside: what a guided search tries next. */
export function mutatedDraw(
  parameters: readonly Parameter[],
  draw: Draw,
  uniforms: () => number,
): Draw {
  const changed: Record<string, number> = { ...draw };
  const active = parameters.filter(({ matters }) => matters?.(draw) ?? true);
  const count = 1 + Math.floor(uniforms() * 3);
  for (let change = 0; change < count; change += 1) {
    const parameter = active[Math.floor(uniforms() * active.length)]!;
    const [least, most] = spanOf(parameter);
    const kind = uniforms();
    const reach = (most - least) * 10 ** (-4 * uniforms());
    const aside = valueOf(draw, parameter.name) + Math.round((uniforms() - 0.5) * 2 * reach);
    const to = kind < 0.15 ? least : kind < 0.3 ? most : aside;
    changed[parameter.name] = Math.min(most, Math.max(least, to));
  }
  return changed;
}
