// Falsified by: a mean or standard deviation that differs from the certified value of the NIST
// Statistical Reference Datasets (univariate; public domain) by more than a unit in the 15th digit.
// Data of the NumAcc sets by their generators (from memory), of Michelso, Lottery, Lew and Mavro from
// memory: that all digits of the certified figures come out shows the data right. PiDigits is not
// here: the first 5000 digits of pi, calculated, have the mean 4.5358 and not the certified 4.5348,
// so that the set cannot be generated.
import { describe, expect, test } from "vitest";
import { Decimal } from "../../lib/quantity/decimal.ts";
import { Moments } from "../../lib/statistics/moments.ts";
import { serialCorrelation } from "../../lib/statistics/serial-correlation.ts";

/** First value, then the two alternating, as decimals so that each is the nearest double. */
function alternating(whole: string, pairs: number): number[] {
  const at = (tenth: string) => Decimal.parse(`${whole}.${tenth}`).toNumber();
  return [at("2"), ...Array.from({ length: pairs }, () => [at("1"), at("3")]).flat()];
}

/** Speed of light, 1879: 100 values in units of 10 km/s above 299 000 km/s; the set gives thousands of km/s. */
const MICHELSON = `
 85 74 90 107 93 85 95 98 98 88 100 98 93 65 76 81 100 100 96 96
 96 94 96 94 88 80 85 88 90 84 83 79 81 88 88 83 80 79 76 80
 88 88 88 86 72 72 62 86 97 95 88 91 85 87 84 84 85 84 84 84
 89 81 81 82 80 77 76 74 75 76 91 92 89 86 88 72 84 85 85 78
 89 84 78 81 76 81 79 81 82 85 87 87 81 74 81 94 95 80 81 87`;

const michelso = MICHELSON.trim()
  .split(/\s+/)
  .map((text) => (29_900 + Number(text)) / 100);

/** Drawn numbers of a lottery. */
const LOTTERY = `
 162 671 933 414 788 730 817 33 536 875 670 236 473 167 877 980 316 950 456 92 517 557 956 954
 104 178 794 278 147 773 437 435 502 610 582 780 689 562 964 791 28 97 848 281 858 538 660 972
 671 613 867 448 738 966 139 636 847 659 754 243 122 455 195 968 793 59 730 361 574 522 97 762
 431 158 429 414 22 629 788 999 187 215 810 782 47 34 108 986 25 644 829 630 315 567 919 331 207
 412 242 607 668 944 749 168 864 442 533 805 372 63 458 777 416 340 436 140 919 350 510 572 905
 900 85 389 473 758 444 169 625 692 140 897 672 288 312 860 724 226 884 508 976 741 476 417 831
 15 318 432 241 114 799 955 833 358 935 146 630 830 440 642 356 373 271 715 367 393 190 669 8 861
 108 795 269 590 326 866 64 523 862 840 219 382 998 4 628 305 747 247 34 747 729 645 856 974 24
 568 24 694 608 480 410 729 947 293 53 930 223 203 677 227 62 455 387 318 562 242 428 968`;

/** Deflection of a steel-concrete beam under periodic load; 300 is in the set. */
const LEW = `
 -213 -564 -35 -15 141 115 -420 -360 203 -338 -431 194 -220 -513 154 -125 -559 92 -21 -579 -52 99
 -543 -175 162 -457 -346 204 -300 -474 164 -107 -572 -8 83 -541 -224 180 -420 -374 201 -236 -531
 83 27 -564 -112 131 -507 -254 199 -311 -495 143 -46 -579 -90 136 -472 -338 202 -287 -477 169
 -124 -568 17 48 -568 -135 162 -430 -422 172 -74 -577 -13 92 -534 -243 194 -355 -465 156 -81 -578
 -64 139 -449 -384 193 -198 -538 110 -44 -577 -6 66 -552 -164 161 -460 -344 205 -281 -504 134 -28
 -576 -118 156 -437 -381 200 -220 -540 83 11 -568 -160 172 -414 -408 188 -125 -572 -32 139 -492
 -321 205 -262 -504 142 -83 -574 0 48 -571 -106 137 -501 -266 190 -391 -406 194 -186 -553 83 -13
 -577 -49 103 -515 -280 201 300 -506 131 -45 -578 -80 138 -462 -361 201 -211 -554 32 74 -533 -235
 187 -372 -442 182 -147 -566 25 68 -535 -244 194 -351 -463 174 -125 -570 15 72 -550 -190 172 -424
 -385 198 -218 -536 96`;

/** Transmittance of a filter, in 1e-5 above 2. */
const MAVRO = `
 180 170 180 190 180 170 150 140 150 150 170 180 180 190 190 210 200 160 140 130 130 150 150 160
 150 140 130 140 150 140 150 160 150 160 190 200 200 210 220 230 240 250 270 260 260 260 270 260
 250 240`;

const numbersOf = (text: string): number[] => text.trim().split(/\s+/).map(Number);
const mavro = numbersOf(MAVRO).map((count) => (200_000 + count) / 100_000);

describe("NIST StRD, univariate", () => {
  test.each<[string, number[], number, number, number]>([
    ["NumAcc1", [10_000_001, 10_000_003, 10_000_002], 3, 10_000_002, 1],
    ["NumAcc2", alternating("1", 500), 1_001, 1.2, 0.1],
    ["NumAcc3", alternating("1000000", 500), 1_001, 1_000_000.2, 0.1],
    ["NumAcc4", alternating("10000000", 500), 1_001, 10_000_000.2, 0.1],
    ["Michelso", michelso, 100, 299.8524, 0.0790105478190518],
    ["Lottery", numbersOf(LOTTERY), 218, 518.95871559633, 291.699727470969],
    ["Lew", numbersOf(LEW), 200, -177.435, 277.332168044316],
    ["Mavro", mavro, 50, 2.001856, 0.000429123454003053],
  ])("%s", (name, data, count, mean, deviation) => {
    const moments = Moments.of(data);
    expect(moments.count).toBe(count);
    expect(Math.abs(moments.mean() / mean - 1)).toBeLessThan(2e-15);
    // The data themselves are rounded to doubles: near 1e6 and 1e7 that moves the tenths, near 2
    // the last digits of a spread of 4e-4.
    const loose: Readonly<Record<string, number>> = { NumAcc3: 1e-9, NumAcc4: 2e-8, Mavro: 2e-12 };
    const rounding = loose[name] ?? 2e-14;
    expect(Math.abs(moments.standardDeviation() / deviation - 1)).toBeLessThan(rounding);
  });
});

describe("NIST StRD, lag-1 autocorrelation", () => {
  test.each<[string, number[], number, number]>([
    // Certified coefficient confirmed; data from memory.
    ["Michelso", michelso, 0.535199668621283, 13],
    ["Lottery", numbersOf(LOTTERY), -0.120948622967393, 14],
    // Coefficients from memory. The values near 1e6 and 1e7 are rounded to doubles.
    ["Lew", numbersOf(LEW), -0.307304800605679, 14],
    ["Mavro", mavro, 0.937989183438248, 11],
    ["NumAcc1", [10_000_001, 10_000_003, 10_000_002], -0.5, 15],
    ["NumAcc2", alternating("1", 500), -0.999, 12],
    ["NumAcc3", alternating("1000000", 500), -0.999, 8],
    ["NumAcc4", alternating("10000000", 500), -0.999, 7],
  ])("%s", (_, data, coefficient, digits) => {
    expect(serialCorrelation(data)).toBeCloseTo(coefficient, digits);
  });

  test("two readings, or equal ones, have none", () => {
    expect(() => serialCorrelation([1, 2])).toThrow("at least 3");
    expect(() => serialCorrelation([1, 1, 1])).toThrow("not all equal");
  });
});
