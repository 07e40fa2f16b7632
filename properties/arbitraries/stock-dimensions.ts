import type { Design } from "../../lib/design/design.ts";
import { quantitiesOf } from "../../lib/design/quantities.ts";
import { reasonWithoutEffect } from "../../sim/index.ts";
import type { Dimension, DimensionClass, Space } from "./space.ts";

const choice = (name: string, names: readonly string[]): Dimension => ({
  name,
  classes: names.map((one, value) => ({ name: one, least: value, most: value })),
  text: (value) => names[value] ?? String(value),
});

/** r.m.s. voltage of the mains, 0.1 V: one class for each declared voltage with its tolerance. */
export function mainsVoltage({ conditions }: Design): Dimension {
  const { voltages, tolerance } = conditions.mains;
  const share = tolerance.toNumber();
  return {
    name: "mains voltage",
    classes: voltages.map((voltage) => {
      const middle = 10 * voltage.toNumber();
      const least = Math.ceil(middle * (1 - share));
      return { name: `${voltage.toString()} V`, least, most: Math.floor(middle * (1 + share)) };
    }),
    text: (value) => `${value / 10} V r.m.s.`,
  };
}

/** Frequency in mHz: the declared ones within 1 %. */
export function declaredFrequency({ conditions }: Design): Dimension {
  return {
    name: "frequency",
    classes: conditions.mains.frequencies.map((frequency) => {
      const middle = 1000 * frequency.toNumber();
      const name = `${frequency.toString()} Hz`;
      return { name, least: Math.ceil(0.99 * middle), most: Math.floor(1.01 * middle) };
    }),
    text: (value) => `${value / 1000} Hz`,
  };
}

/** Frequency in mHz: 45 Hz to 66 Hz. */
export const ANY_FREQUENCY: Dimension = {
  name: "frequency",
  classes: [
    { name: "about 50 Hz", least: 49_000, most: 51_000, edges: [50_000] },
    { name: "about 60 Hz", least: 59_000, most: 61_000, edges: [60_000] },
    { name: "low", least: 45_000, most: 48_999, edges: [45_000] },
    { name: "between", least: 51_001, most: 58_999 },
    { name: "high", least: 61_001, most: 66_000, edges: [66_000] },
  ],
  text: (value) => `${value / 1000} Hz`,
};

/**
 * Shapes of the mains. Limits of single harmonics: EN 50160, table of individual harmonic
 * voltages (3rd 5 %, 5th 6 %, 7th 5 %; total 8 %), from memory.
 */
export const HARMONICS = choice("shape", ["sine", "flat top", "peaked", "ripple"]);

/**
 * Turn of the opening after a crest, thousandths. The slowest phase to detect lies where the sine
 * is asin(1 - d) from its zero, d = 0.1: 0.178 turns after it, which is 0.072 turns before a crest.
 */
export const OPENING_PHASE: Dimension = {
  name: "opening phase",
  classes: [
    { name: "about the crest", least: 980, most: 1019, edges: [999, 1000, 1001] },
    { name: "slowest", least: 918, most: 938, edges: [928] },
    { name: "slowest, other half", least: 418, most: 438, edges: [428] },
    { name: "zero, falling", least: 230, most: 270, edges: [249, 250, 251] },
    { name: "zero, rising", least: 730, most: 770, edges: [749, 750, 751] },
    { name: "about the other crest", least: 480, most: 520, edges: [500] },
    { name: "positive", least: 20, most: 229 },
    { name: "negative", least: 520, most: 729 },
  ],
  text: (value) => `${value / 1000} turns after a crest`,
};

/** Phases with something left on the pins: within 0.17 turns of a crest. */
export const CHARGED_PHASE: Dimension = {
  name: "opening phase",
  classes: [
    { name: "about the crest", least: 980, most: 1019, edges: [999, 1000, 1001] },
    { name: "slowest", least: 918, most: 938, edges: [928] },
    { name: "slowest, other half", least: 418, most: 438, edges: [428] },
    { name: "about the other crest", least: 480, most: 520, edges: [500] },
    { name: "before a crest", least: 830, most: 979 },
    { name: "after a crest", least: 1020, most: 1170 },
    { name: "after the other crest", least: 521, most: 670 },
  ],
  text: (value) => `${value / 1000} turns after a crest`,
};

/**
 * Voltage left at the stated instant, 0.01 V, where the product holds so much at the opening; a
 * product that holds less keeps all of it.
 */
export const RESIDUAL: Dimension = {
  name: "residual voltage",
  classes: [
    { name: "about 34 V", least: 3_200, most: 3_600, edges: [3_399, 3_400, 3_401] },
    { name: "about 60 V", least: 5_800, most: 6_200, edges: [5_999, 6_000, 6_001] },
    { name: "below 10 V", least: 50, most: 1_000 },
    { name: "10 V to 32 V", least: 1_001, most: 3_199 },
    { name: "36 V to 58 V", least: 3_601, most: 5_799 },
    { name: "62 V to 150 V", least: 6_201, most: 15_000 },
    { name: "everything held", least: 99_999, most: 99_999 },
  ],
  text: (value) => (value === 99_999 ? "no bleeder" : `${value / 100} V at the stated instant`),
};

/** X capacitance, 0.1 nF. */
export const CAPACITANCE: Dimension = {
  name: "capacitance",
  classes: [
    { name: "100 nF", least: 1_000, most: 1_000 },
    { name: "20 nF to 100 nF", least: 200, most: 999, edges: [200] },
    { name: "0.1 uF to 1 uF", least: 1_001, most: 10_000 },
    { name: "1 uF to 10 uF", least: 10_001, most: 100_000, edges: [100_000] },
  ],
  text: (value) => `${value / 10} nF`,
};

/** Which poles open, and by how many 10 us the neutral is later. */
export const POLES: Dimension = {
  name: "neutral pole",
  classes: [
    { name: "stays closed", least: -1, most: -1 },
    { name: "opens as well", least: 0, most: 0 },
    { name: "opens later", least: 1, most: 500 },
  ],
  text: (value) => (value < 0 ? "stays closed" : `opens ${value / 100} ms later`),
};

export const REVERSED = choice("plug", ["as drawn", "turned over"]);

/** Place of the sampling grid, thousandths of a sample. */
export const SAMPLING_PHASE: Dimension = {
  name: "sampling phase",
  classes: [{ name: "any", least: 0, most: 999, edges: [0, 999] }],
  text: (value) => `${value / 1000} samples`,
};

/** Seed of the noise. */
export const NOISE: Dimension = {
  name: "noise",
  classes: [{ name: "any", least: 1, most: 1_000_000 }],
  text: (value) => `seed ${value}`,
};

/** Noise held at what the unit's dimensions say through each reading, or drawn for each sample. */
export const NOISE_OR_HELD: Dimension = {
  name: "noise",
  classes: [
    { name: "held", least: 0, most: 0 },
    { name: "drawn", least: 1, most: 1_000_000 },
  ],
  text: (value) => (value === 0 ? "held through the reading" : `seed ${value}`),
};

/** Closed times of a bouncing contact, 0.1 ms each, and how often it closes again. */
export const BOUNCES: Space = [
  {
    name: "bounces",
    classes: [
      { name: "one", least: 1, most: 1 },
      { name: "two", least: 2, most: 2 },
      { name: "several", least: 3, most: 5 },
    ],
    text: (value) => `${value} more closings`,
  },
  {
    name: "bounce duration",
    classes: [
      { name: "under 2 ms", least: 5, most: 19 },
      { name: "2 ms to 10 ms", least: 20, most: 100, edges: [100] },
    ],
    text: (value) => `${value / 10} ms in all`,
  },
];

/** What happens to connected mains. */
export const DISTURBANCE: Space = [
  choice("disturbance", ["none", "dip", "dip to zero", "swell", "phase jump"]),
  {
    name: "disturbance size",
    classes: [
      { name: "small", least: 1, most: 333 },
      { name: "middle", least: 334, most: 666 },
      { name: "large", least: 667, most: 1000, edges: [1000] },
    ],
    text: (value) => `${value / 10} % of the largest`,
  },
  {
    name: "disturbance duration",
    classes: [
      { name: "under half a period", least: 1, most: 9, edges: [5, 8] },
      { name: "periods", least: 10, most: 100 },
      { name: "long", least: 101, most: 300 },
    ],
    text: (value) => `${value} ms`,
  },
];

const STEPS = 1000;

/** What leads from a dimension of a part back to its quantity. */
export const UNIT_PREFIX = "unit ";

/** Nominal, at either limit or between: every toleranced quantity that the simulation has. */
export function unitDimensions(design: Design): Space {
  return quantitiesOf(design).flatMap((quantity) => {
    const { name, unit } = quantity;
    const lower = quantity.lower.toNumber();
    const upper = quantity.upper.toNumber();
    if (reasonWithoutEffect(name) !== undefined || lower === upper) return [];
    const classes: DimensionClass[] = [
      { name: "nominal", least: -1, most: -1 },
      { name: "lower limit", least: 0, most: 0 },
      { name: "upper limit", least: STEPS, most: STEPS },
      { name: "between", least: 1, most: STEPS - 1 },
    ];
    const text = (value: number): string =>
      value < 0 ? "nominal" : `${lower + ((upper - lower) * value) / STEPS} ${unit}`;
    return [{ name: `${UNIT_PREFIX}${name}`, classes, text }];
  });
}

/** Share of the way from the lower limit to the upper one that a number stands for. */
export function shareOfWay(value: number): number {
  return value / STEPS;
}
