// Falsified by a text that reads as another value than it states, by a unit of another dimension
// that is accepted, by a reader that throws, or by a plain number that differs from the same number
// with its unit.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { DIMENSIONS, dimensionRule } from "../../../lib/quantity/dimension.ts";
import type { Dimension } from "../../../lib/quantity/dimension.ts";
import {
  parseLimit,
  parseQuantity,
  readLimit,
  readQuantity,
} from "../../../lib/quantity/unit-text.ts";
import type { Parsed } from "../../../lib/quantity/unit-text.ts";

const names = Object.keys(DIMENSIONS) as Dimension[];

/** The value as text, or the hint of what was refused. */
function outcome(parsed: Parsed): string {
  return parsed.ok ? parsed.value.toString() : `refused: ${parsed.hint}`;
}

describe("a quantity with its unit", () => {
  test.each<[string, Dimension, string]>([
    ["24.9 Mohm", "resistance", "24900000"],
    ["24.9 MΩ", "resistance", "24900000"],
    ["24.9\u00A0M\u2126", "resistance", "24900000"],
    ["24.9MOhm", "resistance", "24900000"],
    ["10 mohm", "resistance", "0.01"],
    ["10 Gohm", "resistance", "10000000000"],
    ["10 nF", "capacitance", "0.00000001"],
    ["0.22 µF", "capacitance", "0.00000022"],
    ["0.22 μF", "capacitance", "0.00000022"],
    ["0.22 uF", "capacitance", "0.00000022"],
    ["100 pF/m", "capacitancePerLength", "0.0000000001"],
    ["34 V", "voltage", "34"],
    ["  -430  V ", "voltage", "-430"],
    ["\u2212430 V", "voltage", "-430"],
    ["5 mV", "voltage", "0.005"],
    ["1e3 V", "voltage", "1000"],
    ["1 nA", "current", "0.000000001"],
    ["500 pA", "current", "0.0000000005"],
    ["20 ms", "time", "0.02"],
    ["3 us", "time", "0.000003"],
    ["30 min", "time", "1800"],
    ["8 h", "time", "28800"],
    ["50 Hz", "frequency", "50"],
    ["10 kS/s", "frequency", "10000"],
    ["250 mW", "power", "0.25"],
    ["350 mJ", "energy", "0.35"],
    ["10 mH", "inductance", "0.01"],
    ["8 mm", "length", "0.008"],
    ["0.1 %", "ratio", "0.001"],
    ["100 ppm", "ratio", "0.0001"],
    ["0.001", "ratio", "0.001"],
    ["50 µV/V", "ratio", "0.00005"],
    ["25 ppm/K", "perKelvin", "0.000025"],
    ["25 ppm/°C", "perKelvin", "0.000025"],
    ["0.0025 % / K", "perKelvin", "0.000025"],
    ["-50 ppm/V", "perVolt", "-0.00005"],
    ["-0.001 %/V", "perVolt", "-0.00001"],
    ["20 nV/sqrtHz", "voltageNoiseDensity", "0.00000002"],
    ["20 nV/√Hz", "voltageNoiseDensity", "0.00000002"],
    ["20 nV/√(Hz)", "voltageNoiseDensity", "0.00000002"],
    ["5 fA/√Hz", "currentNoiseDensity", "0.000000000000005"],
    ["5 uV/K", "voltagePerKelvin", "0.000005"],
    ["23 °C", "celsius", "23"],
    ["-5 ℃", "celsius", "-5"],
    ["23", "celsius", "23"],
    ["10 K", "temperatureDifference", "10"],
    ["1 year", "years", "1"],
    ["18 months", "years", "1.5"],
    ["45 uC", "charge", "0.000045"],
    ["2 LSB", "lsb", "2"],
    ["12 bits", "bits", "12"],
    ["60 % RH", "relativeHumidity", "0.6"],
    ["80 dB", "rejection", "0.0001"],
    ["100 ppm", "rejection", "0.0001"],
  ])("%j is a %s of %s", (text, dimension, value) => {
    expect(outcome(parseQuantity(text, dimension))).toBe(value);
  });

  test("scales by its prefix exactly", () => {
    const prefixes: [string, number][] = [
      ["f", -15],
      ["p", -12],
      ["n", -9],
      ["u", -6],
      ["µ", -6],
      ["m", -3],
      ["", 0],
      ["k", 3],
      ["M", 6],
      ["G", 9],
      ["T", 12],
    ];
    const carriers: [Dimension, string, string][] = [
      ["resistance", "ohm", "m,,k,M,G,T"],
      ["capacitance", "F", "f,p,n,u,µ,m,"],
      ["voltage", "V", "n,u,µ,m,,k"],
      ["current", "A", "f,p,n,u,µ,m,"],
      ["time", "s", "p,n,u,µ,m,"],
      ["frequency", "Hz", "m,,k,M,G"],
      ["frequency", "S/s", ",k,M"],
      ["charge", "C", "f,p,n,u,µ,m,"],
      ["power", "W", "n,u,µ,m,,k"],
    ];
    const cases = carriers.flatMap(([dimension, symbol, allowed]) =>
      prefixes
        .filter(([prefix]) => allowed.split(",").includes(prefix))
        .map(([prefix, exponent]) => ({ dimension, unit: `${prefix}${symbol}`, exponent })),
    );
    expect(cases.length).toBeGreaterThan(40);
    const figure = fc.tuple(
      fc.integer({ min: -99_999_999, max: 99_999_999 }),
      fc.integer({ min: 0, max: 6 }),
    );
    fc.assert(
      fc.property(
        fc.constantFrom(...cases),
        figure,
        fc.constantFrom("", " ", "\u00A0"),
        (kind, figure, gap) => {
          const [digits, decimals] = figure;
          const number = Decimal.ofScaled(BigInt(digits), -decimals);
          const expected = Decimal.ofScaled(BigInt(digits), kind.exponent - decimals);
          const read = parseQuantity(`${number.toString()}${gap}${kind.unit}`, kind.dimension);
          expect(outcome(read)).toBe(expected.toString());
        },
      ),
    );
  });

  test("equals the same plain number in the unit used inside", () => {
    const baseUnits = names.filter((name) => dimensionRule(name).baseUnit !== "1");
    const digits = fc.integer({ min: 0, max: 999_999 });
    fc.assert(
      fc.property(fc.constantFrom(...baseUnits), digits, (dimension, thousandths) => {
        const number = thousandths / 1_000;
        const text = `${number} ${dimensionRule(dimension).baseUnit}`;
        const read = readQuantity(number, dimension);
        expect(read).toEqual({ ...parseQuantity(text, dimension), typed: true });
        expect(read.ok).toBe(true);
      }),
    );
  });

  test("lists examples that it reads itself", () => {
    for (const name of names) {
      for (const example of dimensionRule(name).examples) {
        expect(parseQuantity(example, name), `${example} as ${name}`).toHaveProperty("ok", true);
      }
    }
  });
});

describe("a unit of another dimension", () => {
  // Several dimensions share a unit: a percentage may be a ratio, a humidity or a rejection, an
  // hour may be a duration or part of a year.
  const fractions: Dimension[] = ["ratio", "relativeHumidity", "rejection"];
  const durations: Dimension[] = ["time", "years"];
  const mayShare = (a: Dimension, b: Dimension) =>
    [fractions, durations].some((group) => group.includes(a) && group.includes(b));

  test("is refused, with a hint, for every pair", () => {
    let pairs = 0;
    for (const name of names) {
      for (const other of names.filter((it) => it !== name && !mayShare(it, name))) {
        for (const unit of dimensionRule(other).units) {
          const text = `1 ${unit.prefixes[0]}${unit.symbol}`;
          const parsed = parseQuantity(text, name);
          pairs += 1;
          expect(parsed.ok, `"${text}" as ${name}`).toBe(false);
          expect(outcome(parsed)).not.toContain("undefined");
        }
      }
    }
    expect(pairs).toBeGreaterThan(900);
  });

  test("is named by the dimension it belongs to", () => {
    expect(parseQuantity("34 V", "resistance")).toEqual({
      ok: false,
      permitted: 'a resistance, as "24.9 Mohm" or "24M9" or "100k"',
      hint: '"V" is a unit of a voltage',
    });
  });
});

describe("a text that is ambiguous or foreign", () => {
  test.each<[string, Dimension, RegExp]>([
    ["10MEG", "resistance", /mega is written M/],
    ["10 Meg", "resistance", /mega is written M/],
    ["10 Megohm", "resistance", /mega is written M/],
    ["24.9M", "resistance", /write the unit after the prefix/],
    ["10m", "resistance", /write the unit after the prefix/],
    ["4k7 ohm", "resistance", /stands without its unit/],
    ["10 Kohm", "resistance", /upper and lower case differ.*"kohm"/],
    ["100", "resistance", /the unit is missing.*plain number is in ohm/],
    ["34", "voltage", /the unit is missing/],
    ["2", "lsb", /the unit is missing/],
    ["5 MV", "voltage", /upper and lower case differ.*"mV"/],
    ["10 NF", "capacitance", /"nF"/],
    ["1 S", "time", /"s"/],
    ["1n", "current", /not known/],
    ["1,5 V", "voltage", /point/],
    ["1 000 V", "voltage", /not grouped/],
    ["10² V", "voltage", /not known/],
    ["１０ V", "voltage", /write a number and a unit/],
    ["1/2", "ratio", /decimal number/],
    ["±5 V", "voltage", /one value/],
    ["+/-5 V", "voltage", /one value/],
    ["", "voltage", /write a number and a unit, as "34 V"/],
    ["V", "voltage", /write a number and a unit/],
    ["NaN V", "voltage", /write a number and a unit/],
    ["Infinity V", "voltage", /write a number and a unit/],
    ["23 C", "celsius", /coulomb/],
    ["296 K", "celsius", /kelvin less 273.15/],
    ["-300 °C", "celsius", /lowest value is -273.15/],
    ["5 °C", "temperatureDifference", /in K/],
    ["-80 dB", "rejection", /from 0 dB to 400 dB/],
    ["401 dB", "rejection", /from 0 dB to 400 dB/],
    ["60", "relativeHumidity", /unit is missing/],
    ["101 %", "relativeHumidity", /highest value is 1/],
    ["-1 year", "years", /lowest value is 0/],
    ["1e99 V", "voltage", /from 1e-30 to 1e30 V/],
    ["1e-99 V", "voltage", /from 1e-30 to 1e30 V/],
    [`1${"0".repeat(120)} V`, "voltage", /longer than 100/],
  ])("%j is refused as a %s with help", (text, dimension, hint) => {
    expect(outcome(parseQuantity(text, dimension))).toMatch(/^refused: /);
    expect(outcome(parseQuantity(text, dimension))).toMatch(hint);
  });

  test("is refused, never thrown at the reader, whatever it holds", () => {
    const letters = "0123456789.,eE+-±/ %°µΩ√kKMmunpfGTRVAFHzsCBdohLSB()²";
    const text = fc.string({ unit: fc.constantFrom(...letters), maxLength: 10 });
    fc.assert(
      fc.property(fc.oneof(text, fc.string()), fc.constantFrom(...names), (text, dimension) => {
        for (const parsed of [parseQuantity(text, dimension), parseLimit(text, dimension)]) {
          if (parsed.ok) expect(Number.isFinite(parsed.value.toNumber())).toBe(true);
          else expect(parsed.permitted).not.toBe("");
        }
      }),
      { numRuns: 3_000 },
    );
  });
});

describe("a plain number", () => {
  test("is refused when it is NaN, infinite or outside what exists", () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, 1e31, 1e-31]) {
      expect(readQuantity(value, "voltage")).toMatchObject({ ok: false, typed: false });
      expect(readLimit(value, "voltage")).toMatchObject({ ok: false, typed: false });
    }
    expect(readQuantity(60, "relativeHumidity").ok).toBe(false);
    expect(readQuantity(-300, "celsius").ok).toBe(false);
  });

  test("is no number of decibels", () => {
    expect(readQuantity(80, "rejection")).toMatchObject({
      ok: false,
      hint: expect.stringContaining('"80 dB"'),
    });
    expect(readQuantity(0.0001, "rejection").ok).toBe(true);
  });

  test("says when it stems from a computation", () => {
    expect(readQuantity(0.3, "voltage")).toMatchObject({ ok: true, typed: true });
    expect(readQuantity(0.1 + 0.2, "voltage")).toMatchObject({ ok: true, typed: false });
    expect(readLimit(0.1 + 0.2, "voltage")).toMatchObject({ ok: true, typed: false });
    expect(readQuantity("0.1234567890123456789 V", "voltage").typed).toBe(true);
  });
});

describe("a limit on both sides of zero", () => {
  test("is a magnitude with or without its sign", () => {
    for (const text of ["+/-0.1 %", "±0.1 %", "± 0.1 %", "+/- 0.1 %", "0.1 %"]) {
      expect(outcome(parseLimit(text, "ratio"))).toBe("0.001");
      expect(readLimit(text, "ratio")).toMatchObject({ ok: true, typed: true });
    }
    expect(outcome(parseLimit("±4k7", "resistance"))).toBe("4700");
  });

  test("is refused when it is negative, as a text and as a number", () => {
    expect(outcome(parseLimit("-0.1 %", "ratio"))).toContain("magnitude");
    expect(outcome(parseLimit("±-0.1 %", "ratio"))).toContain("refused");
    expect(outcome(parseLimit("±±0.1 %", "ratio"))).toContain("refused");
    expect(outcome(readLimit(-0.001, "ratio"))).toContain("magnitude");
    expect(outcome(readLimit(0.001, "ratio"))).toBe("0.001");
  });
});

/** Whether value^200 is at least 10^-tenths, that is value at least 10^(-dB/20), in integers. */
function reaches(value: Decimal, tenths: number): boolean {
  const power = value.mantissa ** 200n;
  const shift = value.exponent * 200 + tenths;
  return shift >= 0 ? power * 10n ** BigInt(shift) >= 1n : power >= 10n ** BigInt(-shift);
}

describe("a value that no finite decimal holds", () => {
  test("is the fraction behind a rejection, never too small and right to 19 digits", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 1_600 }), (tenths) => {
        const parsed = parseQuantity(`${tenths / 10} dB`, "rejection");
        if (!parsed.ok) throw new Error(parsed.permitted);
        expect(reaches(parsed.value, tenths)).toBe(true);
        const slightlyLess = parsed.value.multiply(Decimal.parse("0.9999999999999999998"));
        expect(reaches(slightlyLess, tenths)).toBe(false);
      }),
      { numRuns: 60 },
    );
  });

  test("is exact for whole decades", () => {
    for (let decades = 0; decades <= 20; decades += 1) {
      const text = `${20 * decades} dB`;
      expect(outcome(parseQuantity(text, "rejection"))).toBe(
        Decimal.ofScaled(1n, -decades).toString(),
      );
    }
  });

  test("stays a fraction when a rejection is next to nothing", () => {
    for (const text of ["1e-30 dB", "1e-99 dB", "0 dB"]) {
      expect(outcome(parseQuantity(text, "rejection"))).toBe("1");
    }
  });

  test("is the year behind months, days and hours: rounded up by less than 1e-18", () => {
    const parts: [string, bigint, bigint][] = [
      ["months", 12n, 1n],
      ["days", 36_525n, 100n],
      ["h", 8_766n, 1n],
    ];
    fc.assert(
      fc.property(fc.constantFrom(...parts), fc.integer({ min: 1, max: 5_000 }), (part, count) => {
        const [unit, perYear, scale] = part;
        const parsed = parseQuantity(`${count} ${unit}`, "years");
        if (!parsed.ok) throw new Error(parsed.permitted);
        const whole = parsed.value.multiply(Decimal.ofInteger(perYear));
        const excess = whole.subtract(Decimal.ofInteger(BigInt(count) * scale));
        expect(excess.sign()).toBeGreaterThanOrEqual(0);
        expect(excess.compare(Decimal.parse("1e-13"))).toBeLessThan(0);
      }),
    );
  });
});
