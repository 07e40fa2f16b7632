import { DIMENSIONS, dimensionRule } from "./dimension.ts";
import type { Dimension } from "./dimension.ts";

/** Slips of a whole text, whatever the dimension. */
const SLIPS: readonly (readonly [RegExp, string])[] = [
  [/^(?:\+\/-|±)/, "give one value here, not a limit on both sides of zero"],
  [/,/, "the decimal sign is a point, and digits are not grouped"],
  [/^[+-]?[\d.]+\/[\d.]+/, "write the quotient as a decimal number"],
  [/\d\s\d/, "digits are not grouped"],
  [/\dmeg|\d meg/i, 'mega is written M, as in "10 Mohm"'],
  [/^\d+[RKkM]\d* ?(?:ohm|Ohm)$/, "a letter and digit code stands without its unit"],
];

/** Units that people write for a temperature, a difference of two, or a part, and what is meant. */
const ADVICE: Partial<Record<Dimension, Readonly<Record<string, string>>>> = {
  celsius: {
    C: 'write "degC" or "°C": C alone is the coulomb',
    K: "give degrees Celsius: kelvin less 273.15",
  },
  temperatureDifference: { degC: "a difference of temperatures is written in K" },
  rejection: {
    dB: "a rejection is a number of decibels from 0 dB to 400 dB, without a minus sign",
  },
};

function unitTexts(dimension: Dimension): string[] {
  return dimensionRule(dimension).units.flatMap((unit) =>
    unit.prefixes.map((prefix) => `${prefix}${unit.symbol}`),
  );
}

function ownerOf(unitText: string): string | undefined {
  const names = Object.keys(DIMENSIONS) as Dimension[];
  const owner = names.find((name) => unitTexts(name).includes(unitText));
  return owner === undefined ? undefined : dimensionRule(owner).words;
}

function hintOnUnit(unitText: string, dimension: Dimension): string {
  const { baseUnit, examples, rkmCode, words } = dimensionRule(dimension);
  if (unitText === "") {
    const plain = baseUnit === "1" ? "a fraction" : `in ${baseUnit}`;
    return `the unit is missing: write it, as in "${examples[0]}"; a plain number is ${plain}`;
  }
  const advice = ADVICE[dimension]?.[unitText];
  if (advice !== undefined) return advice;
  if (rkmCode && /^[pnumkKMGT]$/.test(unitText)) {
    return `write the unit after the prefix, or a letter and digit code, as in "${examples[1]}"`;
  }
  const lowered = unitText.toLowerCase();
  const meant = unitTexts(dimension).filter((known) => known.toLowerCase() === lowered);
  if (meant.length > 0) {
    const choices = meant.map((known) => `"${known}"`).join(" or ");
    return `upper and lower case differ (m is milli, M is mega, k is kilo): write ${choices}`;
  }
  const owner = ownerOf(unitText);
  if (owner !== undefined) return `"${unitText}" is a unit of ${owner}`;
  return `"${unitText}" is not known as a unit of ${words}`;
}

/**
 * A sentence that helps to mend the text of a quantity. `unitText` is what follows the number,
 * undefined where the text does not begin with a number.
 */
export function unitHint(text: string, unitText: string | undefined, dimension: Dimension): string {
  const slip = SLIPS.find(([pattern]) => pattern.test(text));
  if (slip !== undefined) return slip[1];
  if (unitText !== undefined) return hintOnUnit(unitText, dimension);
  return `write a number and a unit, as "${dimensionRule(dimension).examples[0]}"`;
}
