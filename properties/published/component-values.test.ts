// Falsified by a preferred value, a letter and digit code or a tolerance letter that differs from
// the standard. Sources: IEC 60063 (series) and IEC 60062 (codes). Both from memory, the texts were
// not at hand; the E48, E96 and E192 values are recomputed here from the rounded powers of ten.
import { describe, expect, test } from "vitest";
import { Decimal } from "../../lib/quantity/decimal.ts";
import { isPreferred, PREFERRED_VALUES } from "../../lib/quantity/preferred-values.ts";
import { readRkmCode } from "../../lib/quantity/rkm-code.ts";
import { TOLERANCE_LETTERS } from "../../lib/quantity/tolerance-letters.ts";
import { parseQuantity } from "../../lib/quantity/unit-text.ts";

/**
 * `scale * 10^(place / count)` rounded to an integer n: the one with n - 1/2 <= x < n + 1/2. Both
 * sides are raised to the power `count`, so that only integers are compared.
 */
function roundedPower(scale: bigint, place: number, count: number): bigint {
  const power = BigInt(count);
  const target = (2n * scale) ** power * 10n ** BigInt(place);
  for (let n = scale; n <= 10n * scale; n += 1n) {
    if (target < (2n * n + 1n) ** power) return n;
  }
  throw new Error("a preferred value lies within its decade");
}

const formula = (scale: bigint, count: number) =>
  Array.from({ length: count }, (_, place) => roundedPower(scale, place, count));

describe("preferred values (IEC 60063)", () => {
  test("E24 (from memory)", () => {
    const listed =
      "1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 " +
      "3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1";
    expect(PREFERRED_VALUES.E24.map((value) => (Number(value) / 10).toFixed(1))).toEqual(
      listed.split(" "),
    );
  });

  test("E24 departs from the rounded powers at eight values (from memory; recomputed)", () => {
    const powers = formula(10n, 24);
    const departing = PREFERRED_VALUES.E24.filter((value, place) => value !== powers[place]);
    const instead = powers.filter((value, place) => value !== PREFERRED_VALUES.E24[place]);
    expect(departing).toEqual([27n, 30n, 33n, 36n, 39n, 43n, 47n, 82n]);
    expect(instead).toEqual([26n, 29n, 32n, 35n, 38n, 42n, 46n, 83n]);
  });

  test("E12 and E6 (from memory)", () => {
    expect(PREFERRED_VALUES.E12).toEqual([
      10n,
      12n,
      15n,
      18n,
      22n,
      27n,
      33n,
      39n,
      47n,
      56n,
      68n,
      82n,
    ]);
    expect(PREFERRED_VALUES.E6).toEqual([10n, 15n, 22n, 33n, 47n, 68n]);
  });

  test("E96 is 100 * 10^(i/96), rounded, without exception (from memory; recomputed)", () => {
    expect(PREFERRED_VALUES.E96).toEqual(formula(100n, 96));
  });

  test("E48 is 100 * 10^(i/48), rounded, without exception (from memory; recomputed)", () => {
    expect(PREFERRED_VALUES.E48).toEqual(formula(100n, 48));
  });

  test("E192 is 100 * 10^(i/192), rounded, except 920 for 919 (from memory; recomputed)", () => {
    const powers = formula(100n, 192);
    const departing = PREFERRED_VALUES.E192.filter((value, place) => value !== powers[place]);
    expect(departing).toEqual([920n]);
    expect(powers[PREFERRED_VALUES.E192.indexOf(920n)]).toBe(919n);
  });

  test("membership holds in every decade", () => {
    expect(isPreferred(Decimal.parse("24900000"), "E96")).toBe(true);
    expect(isPreferred(Decimal.parse("24000000"), "E96")).toBe(false);
    expect(isPreferred(Decimal.parse("0.0000000047"), "E6")).toBe(true);
    expect(isPreferred(Decimal.parse("1000"), "E48")).toBe(true);
    expect(isPreferred(Decimal.parse("9190"), "E192")).toBe(false);
    expect(isPreferred(Decimal.parse("2491"), "E192")).toBe(false);
  });
});

describe("letter and digit codes (IEC 60062, from memory)", () => {
  test.each([
    ["R10", "0.1"],
    ["R332", "0.332"],
    ["0R1", "0.1"],
    ["1R0", "1"],
    ["4R7", "4.7"],
    ["59R04", "59.04"],
    ["100R", "100"],
    ["1K0", "1000"],
    ["4k7", "4700"],
    ["100K", "100000"],
    ["3M32", "3320000"],
    ["24M9", "24900000"],
    ["10M", "10000000"],
    ["1G0", "1000000000"],
    ["1T0", "1000000000000"],
  ])("resistance %s is %s ohm", (code, ohms) => {
    expect(readRkmCode(code, "resistance")?.toString()).toBe(ohms);
    expect(parseQuantity(code, "resistance")).toEqual({ ok: true, value: Decimal.parse(ohms) });
  });

  test.each([
    ["p10", "0.1e-12"],
    ["p332", "0.332e-12"],
    ["1p0", "1e-12"],
    ["3p32", "3.32e-12"],
    ["22p", "22e-12"],
    ["1n0", "1e-9"],
    ["4n7", "4.7e-9"],
    ["100n", "100e-9"],
    ["2µ2", "2.2e-6"],
    ["2u2", "2.2e-6"],
    ["1m0", "1e-3"],
  ])("capacitance %s is %s F", (code, farads) => {
    expect(parseQuantity(code, "capacitance")).toEqual({ ok: true, value: Decimal.parse(farads) });
  });

  test.each(["", "R", "47", "4R7J", "4R7R", "M10", "4n7", "4r7", "4.7K", "-4R7", "4R7 ", "12345R"])(
    "%j is no code of a resistance",
    (code) => {
      expect(readRkmCode(code, "resistance")).toBeUndefined();
    },
  );

  test.each(["4R7", "4k7", "4N7", "4.7n", "-4n7"])("%j is no code of a capacitance", (code) => {
    expect(readRkmCode(code, "capacitance")).toBeUndefined();
  });
});

test("tolerance letters (IEC 60062, from memory)", () => {
  const percent =
    "E 0.005, L 0.01, P 0.02, W 0.05, B 0.1, C 0.25, D 0.5, F 1, G 2, H 3, J 5, K 10, M 20, N 30";
  const listed = percent.split(", ").map((entry): [string, string] => {
    const [letter = "", limit = ""] = entry.split(" ");
    return [letter, limit];
  });
  const hundred = Decimal.ofInteger(100);
  expect(
    [...TOLERANCE_LETTERS].map(([letter, limit]) => [letter, limit.multiply(hundred).toString()]),
  ).toEqual(listed);
});
