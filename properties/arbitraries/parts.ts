import type { Design } from "../../lib/design/design.ts";
import { quantityFigures, reasonWithoutEffect } from "../../sim/drawn-values.ts";
import type { QuantityFigures } from "../../sim/drawn-values.ts";
import { valueOf } from "./parameter.ts";
import type { Draw, Parameter } from "./parameter.ts";

const prefix = "part ";

/** Thousandths of the way from the nominal value to a limit. */
const REACH = 1000;

/** Whether noise is drawn sample by sample, or is a quantity of the reading. */
export interface PartOptions {
  readonly noise: "samples" | "quantity";
}

type Kept = Partial<Record<PartOptions["noise"], readonly QuantityFigures[]>>;

const kept = new WeakMap<Design, Kept>();

/** Quantities that are drawn; the same list for each draw of a design. */
function drawnQuantities(design: Design, { noise }: PartOptions): readonly QuantityFigures[] {
  const known = kept.get(design) ?? {};
  const drawn = known[noise];
  if (drawn !== undefined) return drawn;
  const found = quantityFigures(design).filter(
    ({ quantity: { name } }) =>
      reasonWithoutEffect(name) === undefined &&
      !(noise === "samples" && name.startsWith("noise_")),
  );
  kept.set(design, { ...known, [noise]: found });
  return found;
}

/** One parameter for each toleranced quantity of a design that acts in the simulation. */
export function partParameters(design: Design, options: PartOptions): readonly Parameter[] {
  return drawnQuantities(design, options).map(
    ({ quantity: { name, meaning, part, occasion } }) => ({
      name: prefix + name,
      meaning: `${meaning} (${[part, ...(occasion === "all" ? [] : [occasion])].join(", ")})`,
      strata: [
        { name: "nominal", least: 0, most: 0 },
        { name: "inside its limits", least: 1 - REACH, most: REACH - 1 },
        { name: "at its lower limit", least: -REACH, most: -REACH },
        { name: "at its upper limit", least: REACH, most: REACH },
      ],
      words: (value) => `${value / 10} % of the way to its limit`,
      silentAt: 0,
    }),
  );
}

/** Whether noise stays for the whole of a reading, in place of being drawn sample by sample. */
export const HELD_NOISE: Parameter = {
  name: "heldNoise",
  meaning: "noise",
  strata: [
    { name: "of each sample", least: 0, most: 0 },
    { name: "held for a reading", least: 1, most: 1 },
  ],
  words: (value) => (value === 1 ? "slow: it stays for a whole reading" : "of each sample"),
  silentAt: 0,
};

/** Whether the noise of a draw is held. */
export function isNoiseHeld(draw: Draw): boolean {
  return draw[HELD_NOISE.name] === 1;
}

/** The noise that is held on each occasion: it says nothing where noise is drawn by the sample. */
export function heldNoiseParameters(design: Design): readonly Parameter[] {
  return partParameters(design, { noise: "quantity" }).flatMap((parameter) =>
    parameter.name.startsWith(`${prefix}noise_`) ? [{ ...parameter, matters: isNoiseHeld }] : [],
  );
}

/** Whether a parameter is a part of the tester, with a nominal value and two limits. */
export function isPart({ name }: Parameter): boolean {
  return name.startsWith(prefix);
}

/** Whole number nearest to a value of a part's quantity; undefined for what is no part. */
export function partValue(design: Design, { name }: Parameter, value: number): number | undefined {
  const figures = drawnQuantities(design, { noise: "quantity" }).find(
    ({ quantity }) => prefix + quantity.name === name,
  );
  if (figures === undefined) return undefined;
  const { nominal, lower, upper } = figures;
  const reach = value < nominal ? nominal - lower : upper - nominal;
  const share = reach === 0 ? 0 : (value - nominal) / reach;
  return Math.max(-REACH, Math.min(REACH, Math.round(REACH * share)));
}

/** Values of the quantities of a draw. */
export function quantitiesOfDraw(
  design: Design,
  options: PartOptions,
  draw: Draw,
): Record<string, number> {
  return Object.fromEntries(
    drawnQuantities(design, options).map(({ quantity: { name }, nominal, lower, upper }) => {
      const value = valueOf(draw, prefix + name);
      const end = value < 0 ? lower : upper;
      const share = Math.abs(value) / REACH;
      return [name, share === 1 ? end : nominal + share * (end - nominal)];
    }),
  );
}
