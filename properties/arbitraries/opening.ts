import type { Disconnection, PoleOpening } from "../../sim/scenario.ts";
import { steps } from "./number-words.ts";
import { valueOf } from "./parameter.ts";
import type { Draw, Parameter } from "./parameter.ts";

/** Turns times 10 000 of a phase given by its sine, on the rising side of a crest. */
function rising(sine: number): number {
  return Math.round(10_000 * (1 + (Math.asin(sine) / Math.PI - 0.5) / 2));
}

/**
 * Phases at which the divergence from a mains takes longest to see: asin(1 - d) for a threshold of
 * the share d of the crest, for thresholds of 5 % to 20 %.
 */
const slowest = { least: rising(0.8), most: rising(0.95) };

/** Parameters of how the poles open. */
export const openingParameters: readonly Parameter[] = [
  {
    name: "phase",
    meaning: "phase of the opening after a crest",
    strata: [
      { name: "at a crest", least: 0, most: 50 },
      { name: "any", least: 0, most: 9999 },
      { name: "where it is seen last", ...slowest },
      {
        name: "where it is seen last, negative",
        least: slowest.least - 5000,
        most: slowest.most - 5000,
      },
      { name: "at a zero crossing", least: 2450, most: 2550 },
    ],
    words: (value) => `${(value * 0.036).toFixed(1)}°`,
  },
  {
    name: "bounces",
    meaning: "bounces",
    strata: [
      { name: "none", least: 0, most: 0 },
      { name: "one", least: 1, most: 1 },
      { name: "several", least: 2, most: 3 },
    ],
    words: String,
  },
  {
    name: "bounceOpen",
    meaning: "open for, within a bounce",
    strata: [{ name: "any", least: 50, most: 1600 }],
    words: steps("time", "0.000001"),
    matters: (draw) => valueOf(draw, "bounces") > 0,
  },
  {
    name: "bounceClosed",
    meaning: "closed for, within a bounce",
    strata: [{ name: "any", least: 50, most: 1600 }],
    words: steps("time", "0.000001"),
    matters: (draw) => valueOf(draw, "bounces") > 0,
  },
  {
    name: "secondPole",
    meaning: "second pole",
    strata: [
      { name: "with the first", least: 0, most: 0 },
      { name: "stays closed", least: -1, most: -1 },
      // With the longest bounces before it inside the usual promise of 10 ms.
      { name: "late", least: 1, most: 3_000 },
    ],
    words: (value) =>
      value === 0
        ? "with the first"
        : value < 0
          ? "stays closed"
          : `later by ${steps("time", "0.000001")(value)}`,
  },
];

/** The openings of a draw, the last one of the first pole at the instant `last`, s. */
export function disconnectionOf(draw: Draw, last: number): Disconnection {
  const pairs = valueOf(draw, "bounces");
  const bounces = Array.from({ length: 2 * pairs }, (_, index) => {
    const whole = valueOf(draw, index % 2 === 0 ? "bounceOpen" : "bounceClosed") * 1e-6;
    // Bounces grow shorter as the contact comes to rest.
    return whole / (1 + Math.floor(index / 2) / 2);
  });
  const first = last - bounces.reduce((sum, duration) => sum + duration, 0);
  const L: PoleOpening = { instant: first, bounces };
  const late = valueOf(draw, "secondPole");
  return {
    L,
    ...(late < 0 ? {} : { N: { instant: last + late * 1e-6, bounces: [] } }),
    closedResistance: 0,
    openResistance: 0,
    openCapacitance: 0,
  };
}
