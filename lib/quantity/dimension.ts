import { Decimal } from "./decimal.ts";
import { passedFraction } from "./decibel.ts";
import { printed, printedRatio, ratioUnits, rule, unit, unitPart } from "./dimension-rule.ts";
import type { DimensionRule } from "./dimension-rule.ts";
import type { SiPrefix } from "./si-prefix.ts";

const PART_PREFIXES: readonly SiPrefix[] = ["p", "n", "u", "m", ""];
const VOLT_PREFIXES: readonly SiPrefix[] = ["n", "u", "m", "", "k"];
const AMPERE_PREFIXES: readonly SiPrefix[] = ["f", "p", "n", "u", "m", ""];
const OHM_PREFIXES: readonly SiPrefix[] = ["m", "", "k", "M", "G", "T"];

/** Every kind of quantity that a document may hold, with its units. */
export const DIMENSIONS = {
  resistance: rule({
    words: "a resistance",
    baseUnit: "ohm",
    examples: ["24.9 Mohm", "24M9", "100k"],
    units: [unit("ohm", OHM_PREFIXES), unit("Ohm", OHM_PREFIXES)],
    rkmCode: true,
    printed: printed("Ω", OHM_PREFIXES),
  }),
  capacitance: rule({
    words: "a capacitance",
    baseUnit: "F",
    examples: ["10 nF", "4n7", "22 pF"],
    units: [unit("F", ["f", ...PART_PREFIXES])],
    rkmCode: true,
    printed: printed("F", ["f", ...PART_PREFIXES]),
  }),
  capacitancePerLength: rule({
    words: "a capacitance per length",
    baseUnit: "F/m",
    examples: ["100 pF/m"],
    units: [unit("F/m", ["f", ...PART_PREFIXES])],
    printed: printed("F/m", ["f", ...PART_PREFIXES]),
  }),
  inductance: rule({
    words: "an inductance",
    baseUnit: "H",
    examples: ["10 mH", "100 uH"],
    units: [unit("H", ["n", "u", "m", ""])],
    printed: printed("H", ["n", "u", "m", ""]),
  }),
  voltage: rule({
    words: "a voltage",
    baseUnit: "V",
    examples: ["34 V", "5 mV"],
    units: [unit("V", VOLT_PREFIXES)],
    printed: printed("V", VOLT_PREFIXES),
  }),
  voltagePerKelvin: rule({
    words: "a voltage per kelvin",
    baseUnit: "V/K",
    examples: ["5 uV/K"],
    units: ["K", "degC"].map((degree) => unit(`V/${degree}`, ["n", "u", "m", ""])),
    printed: printed("V/K", ["n", "u", "m", ""]),
  }),
  current: rule({
    words: "a current",
    baseUnit: "A",
    examples: ["1 nA", "500 pA"],
    units: [unit("A", AMPERE_PREFIXES)],
    printed: printed("A", AMPERE_PREFIXES),
  }),
  charge: rule({
    words: "a charge",
    baseUnit: "C",
    examples: ["45 uC", "2 pC"],
    units: [unit("C", ["f", ...PART_PREFIXES])],
    printed: printed("C", ["f", ...PART_PREFIXES]),
  }),
  power: rule({
    words: "a power",
    baseUnit: "W",
    examples: ["250 mW", "1 W"],
    units: [unit("W", ["n", "u", "m", "", "k"])],
    printed: printed("W", ["n", "u", "m", "", "k"]),
  }),
  energy: rule({
    words: "an energy",
    baseUnit: "J",
    examples: ["350 mJ"],
    units: [unit("J", ["n", "u", "m", "", "k"])],
    printed: printed("J", ["n", "u", "m", "", "k"]),
  }),
  length: rule({
    words: "a length",
    baseUnit: "m",
    examples: ["1.5 m", "8 mm"],
    units: [unit("m", ["u", "m", ""]), unit("cm", [""], "0.01")],
    printed: printed("m", ["u", "m", ""]),
  }),
  time: rule({
    words: "a duration",
    baseUnit: "s",
    examples: ["1 s", "20 ms", "30 min"],
    units: [
      unit("s", PART_PREFIXES),
      unit("min", [""], "60"),
      unit("h", [""], "3600"),
      unit("d", [""], "86400"),
    ],
    printed: printed("s", PART_PREFIXES),
  }),
  years: rule({
    words: "a duration in years",
    baseUnit: "year",
    examples: ["1 year", "18 months", "1000 h"],
    units: [
      unit("year"),
      unit("years"),
      ...["month", "months"].map((symbol) => unitPart(symbol, "12")),
      ...["d", "day", "days"].map((symbol) => unitPart(symbol, "365.25")),
      unitPart("h", "8766"),
    ],
    lowest: Decimal.zero,
    printed: [{ symbol: "years", singular: "year", exponent: 0, from: 0 }],
  }),
  frequency: rule({
    words: "a frequency or a rate",
    baseUnit: "Hz",
    examples: ["50 Hz", "10 kHz", "10 kS/s"],
    units: [
      unit("Hz", ["m", "", "k", "M", "G"]),
      unit("S/s", ["", "k", "M"]),
      unit("Sa/s", ["", "k", "M"]),
    ],
    printed: printed("Hz", ["m", "", "k", "M", "G"]),
  }),
  ratio: rule({
    words: "a ratio",
    baseUnit: "1",
    examples: ["0.1 %", "100 ppm", "0.001"],
    units: [...ratioUnits(), unit("V/V", ["n", "u", "m", ""])],
    bareText: true,
    printed: printedRatio(),
  }),
  rejection: rule({
    words: "a rejection from 0 dB to 400 dB or the fraction, from 0 to 1, that it lets pass",
    baseUnit: "1",
    examples: ["80 dB", "100 ppm", "50 uV/V"],
    units: [
      { symbol: "dB", prefixes: [""], convert: passedFraction },
      ...ratioUnits(),
      unit("V/V", ["n", "u", "m", ""]),
    ],
    lowest: Decimal.zero,
    highest: Decimal.one,
    printed: printedRatio(),
  }),
  perKelvin: rule({
    words: "a relative change per kelvin",
    baseUnit: "1/K",
    examples: ["25 ppm/K", "0.0025 %/K"],
    units: ["K", "degC"].flatMap((degree) => [...ratioUnits(`/${degree}`), unit(`1/${degree}`)]),
    printed: printedRatio("/K"),
  }),
  perVolt: rule({
    words: "a relative change per volt",
    baseUnit: "1/V",
    examples: ["-50 ppm/V", "-0.001 %/V"],
    units: [...ratioUnits("/V"), unit("1/V")],
    printed: printedRatio("/V"),
  }),
  voltageNoiseDensity: rule({
    words: "a voltage noise density",
    baseUnit: "V/sqrtHz",
    examples: ["20 nV/sqrtHz", "20 nV/√Hz"],
    units: ["sqrtHz", "sqrt(Hz)"].map((root) => unit(`V/${root}`, VOLT_PREFIXES)),
    printed: printed("V/√Hz", ["n", "u", "m", ""]),
  }),
  currentNoiseDensity: rule({
    words: "a current noise density",
    baseUnit: "A/sqrtHz",
    examples: ["5 fA/sqrtHz", "5 fA/√Hz"],
    units: ["sqrtHz", "sqrt(Hz)"].map((root) => unit(`A/${root}`, AMPERE_PREFIXES)),
    printed: printed("A/√Hz", AMPERE_PREFIXES),
  }),
  celsius: rule({
    words: "a temperature in degrees Celsius",
    baseUnit: "degC",
    examples: ["23 degC", "23 °C", "23"],
    units: [unit("degC")],
    bareText: true,
    lowest: Decimal.parse("-273.15"),
    printed: printed("°C"),
  }),
  temperatureDifference: rule({
    words: "a temperature difference",
    baseUnit: "K",
    examples: ["10 K"],
    units: [unit("K", ["m", ""])],
    printed: printed("K", ["m", ""]),
  }),
  relativeHumidity: rule({
    words: "a relative humidity from 0 % to 100 %",
    baseUnit: "1",
    examples: ["60 %", "60 % RH"],
    units: ["%", "%RH", "% RH"].map((symbol) => unit(symbol, [""], "0.01")),
    lowest: Decimal.zero,
    highest: Decimal.one,
    printed: [{ symbol: "%", exponent: -2, from: -2 }],
  }),
  lsb: rule({
    words: "a number of least significant bits",
    baseUnit: "LSB",
    examples: ["2 LSB"],
    units: [unit("LSB")],
    printed: printed("LSB"),
  }),
  lsbPerKelvin: rule({
    words: "a number of least significant bits per kelvin",
    baseUnit: "LSB/K",
    examples: ["0.01 LSB/K"],
    units: ["LSB/K", "lsb/K"].map((symbol) => unit(symbol)),
    printed: printed("LSB/K"),
  }),
  bits: rule({
    words: "a number of bits",
    baseUnit: "bit",
    examples: ["12 bit", "12"],
    units: [unit("bit"), unit("bits")],
    bareText: true,
    printed: printed("bit"),
  }),
} satisfies Readonly<Record<string, DimensionRule>>;

/** Name of one kind of quantity. */
export type Dimension = keyof typeof DIMENSIONS;

/** The rule of a dimension, without the narrowing of the table above. */
export function dimensionRule(dimension: Dimension): DimensionRule {
  return DIMENSIONS[dimension];
}
