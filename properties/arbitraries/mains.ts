import type { Design } from "../../lib/design/design.ts";
import { PUBLIC_SUPPLY_LIMITS } from "../../lib/design/mains-limits.ts";
import type { Disturbance, Harmonic, Mains } from "../../sim/scenario.ts";
import { perMille, steps } from "./number-words.ts";
import { valueOf } from "./parameter.ts";
import type { Draw, Parameter } from "./parameter.ts";

/** Orders that shape the crest most; each up to its EN 50160 limit. */
const ORDERS = [3, 5, 7, 11] as const;

const harmonics = ORDERS.flatMap((order): Parameter[] => {
  const most = Math.round(1000 * PUBLIC_SUPPLY_LIMITS.harmonics.get(order)!);
  const name = `harmonic${order}`;
  return [
    {
      name,
      meaning: `harmonic ${order}`,
      strata: [
        { name: "none", least: 0, most: 0 },
        { name: "inside its limit", least: 1, most: most - 1 },
        { name: "at its limit", least: most, most },
      ],
      words: perMille,
    },
    {
      name: `${name}Phase`,
      meaning: `phase of harmonic ${order}`,
      strata: [{ name: "any", least: 0, most: 99 }],
      words: (value) => `${(value * 3.6).toFixed(1)}° of its own period`,
      matters: (draw) => valueOf(draw, name) > 0,
    },
  ];
});

/** Parameters of an undisturbed mains for a design. */
export function mainsParameters({ conditions }: Design): readonly Parameter[] {
  const { voltages, tolerance } = conditions.mains;
  const reach = Math.round(1000 * tolerance.toNumber());
  return [
    {
      name: "mains",
      meaning: "nominal mains",
      strata: voltages.map((voltage, index) => ({
        name: `${voltage.toString()} V`,
        least: index,
        most: index,
      })),
      words: (value) => `${voltages[value]!.toString()} V`,
    },
    {
      name: "level",
      meaning: "level of the mains",
      strata: [
        { name: "nominal", least: 1000, most: 1000 },
        { name: "low", least: 1000 - reach, most: 999 },
        { name: "high", least: 1001, most: 1000 + reach },
      ],
      words: perMille,
    },
    {
      name: "frequency",
      meaning: "frequency",
      strata: [
        { name: "50 Hz", least: 50_000, most: 50_000 },
        { name: "60 Hz", least: 60_000, most: 60_000 },
        { name: "45 Hz to 50 Hz", least: 45_000, most: 49_999 },
        { name: "50 Hz to 60 Hz", least: 50_001, most: 59_999 },
        { name: "60 Hz to 66 Hz", least: 60_001, most: 66_000 },
      ],
      words: (value) => `${value / 1000} Hz`,
    },
    ...harmonics,
  ];
}

/** Harmonics of a draw, reduced together where they pass the total distortion allowed. */
function harmonicsOf(draw: Draw): Harmonic[] {
  const shares = ORDERS.map((order) => valueOf(draw, `harmonic${order}`) / 1000);
  const total = Math.sqrt(shares.reduce((sum, share) => sum + share * share, 0));
  const factor = Math.min(1, PUBLIC_SUPPLY_LIMITS.totalHarmonicDistortion / Math.max(total, 1e-9));
  return ORDERS.flatMap((order, index) =>
    shares[index] === 0
      ? []
      : [
          {
            order,
            share: factor * shares[index]!,
            phaseTurns: valueOf(draw, `harmonic${order}Phase`) / 100,
          },
        ],
  );
}

/** The mains of a draw, its fundamental at `turns` at the instant `at`, s. */
export function mainsOf(
  { conditions }: Design,
  draw: Draw,
  place: {
    readonly at: number;
    readonly turns: number;
    readonly disturbances: readonly Disturbance[];
  },
): Mains {
  const frequency = valueOf(draw, "frequency") / 1000;
  const nominal = conditions.mains.voltages[valueOf(draw, "mains")]!.toNumber();
  const start = place.turns - frequency * place.at;
  return {
    voltage: (nominal * valueOf(draw, "level")) / 1000,
    frequency,
    phaseTurns: start - Math.floor(start),
    harmonics: harmonicsOf(draw),
    resistance: 0.4,
    inductance: 0,
    capacitance: 0,
    reversed: false,
    disturbances: place.disturbances,
  };
}

/** Kinds of disturbance in the order of the parameter. */
const DISTURBANCES = ["none", "dip", "swell", "phase jump", "dip to zero", "burst of noise"];

/** Parameters of what happens to a mains that stays connected. */
export const disturbanceParameters: readonly Parameter[] = [
  {
    name: "disturbance",
    meaning: "disturbance",
    strata: DISTURBANCES.map((name, index) => ({ name, least: index, most: index })),
    words: (value) => DISTURBANCES[value]!,
  },
  {
    name: "disturbedAt",
    meaning: "phase of its start",
    strata: [{ name: "any", least: 0, most: 9999 }],
    words: (value) => `${(value / 10_000).toFixed(4)} turns after a crest`,
    matters: (draw) => valueOf(draw, "disturbance") > 0,
  },
  {
    name: "disturbedFor",
    meaning: "its duration",
    strata: [
      { name: "below half a period", least: 500, most: 7_500 },
      { name: "up to two periods", least: 7_501, most: 40_000 },
      { name: "longer", least: 40_001, most: 200_000 },
    ],
    words: steps("time", "0.000001"),
    matters: (draw) => ![0, 3].includes(valueOf(draw, "disturbance")),
  },
  {
    name: "dipTo",
    meaning: "voltage that remains",
    strata: [
      { name: "shallow", least: 500, most: 950 },
      { name: "deep", least: 1, most: 499 },
    ],
    words: perMille,
    matters: (draw) => valueOf(draw, "disturbance") === 1,
  },
  {
    name: "swellTo",
    meaning: "voltage of the swell",
    strata: [{ name: "any", least: 1001, most: 1100 }],
    words: perMille,
    matters: (draw) => valueOf(draw, "disturbance") === 2,
  },
  {
    name: "jump",
    meaning: "phase jump",
    strata: [
      { name: "ahead", least: 1, most: 500 },
      { name: "back", least: -500, most: -1 },
    ],
    words: (value) => `${(value * 0.36).toFixed(1)}°`,
    matters: (draw) => valueOf(draw, "disturbance") === 3,
  },
];

/** Disturbances of a draw, from the instant s on. */
export function disturbancesOf(draw: Draw, start: number): Disturbance[] {
  const frequency = valueOf(draw, "frequency") / 1000;
  const from = start + valueOf(draw, "disturbedAt") / 10_000 / frequency;
  const to = from + valueOf(draw, "disturbedFor") / 1e6;
  switch (valueOf(draw, "disturbance")) {
    case 1:
      return [{ kind: "level", from, to, factor: valueOf(draw, "dipTo") / 1000 }];
    case 2:
      return [{ kind: "level", from, to, factor: valueOf(draw, "swellTo") / 1000 }];
    case 3:
      return [{ kind: "phaseJump", at: from, turns: valueOf(draw, "jump") / 1000 }];
    case 4:
      return [{ kind: "level", from, to, factor: 0 }];
    case 5: {
      const seed = valueOf(draw, "disturbedAt");
      return [{ kind: "burst", from, to, voltage: 2, lowest: 1e3, highest: 1e5, tones: 16, seed }];
    }
    default:
      return [];
  }
}
