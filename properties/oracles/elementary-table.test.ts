// Falsified by a value of the committed 30-digit tables outside the enclosure that the library
// gives, by one that a second multiple-precision implementation does not reproduce, or by the
// fixed-point oracle of the property tests differing from the tables.
import { all, create } from "mathjs";
import type { BigNumber } from "mathjs";
import { describe, expect, test } from "vitest";
import {
  expAbove,
  expBelow,
  logAbove,
  logBelow,
  sqrtAbove,
  sqrtBelow,
} from "../../lib/interval/elementary.ts";
import { rationalOfText } from "../support/decimals.ts";
import { stepsBetween } from "../support/doubles.ts";
import { exactExp, exactLog, rationalOfFigure } from "../support/high-precision.ts";
import { Rational } from "../support/rational.ts";
import { expTable, logTable, sqrtTable } from "./elementary-table.ts";
import type { TableRow } from "./elementary-table.ts";

const math = create(all!, { number: "BigNumber", precision: 64 });

interface TabulatedFunction {
  readonly name: string;
  readonly table: readonly TableRow[];
  readonly lower: (x: number) => number;
  readonly upper: (x: number) => number;
  readonly remade: (x: BigNumber) => BigNumber;
}

const functions: readonly TabulatedFunction[] = [
  {
    name: "exp",
    table: expTable,
    lower: expBelow,
    upper: expAbove,
    remade: (x) => math.exp(x),
  },
  {
    name: "log",
    table: logTable,
    lower: logBelow,
    upper: logAbove,
    remade: (x) => math.log(x) as BigNumber,
  },
  {
    name: "sqrt",
    table: sqrtTable,
    lower: sqrtBelow,
    upper: sqrtAbove,
    remade: (x) => math.sqrt(x) as BigNumber,
  },
];

const valueOf = (text: string): Rational => {
  const { top, bottom } = rationalOfText(text);
  return Rational.of(top, bottom);
};

/** Half a unit in the 30th digit of a tabulated value, rounded up to a whole one. */
const lastDigit = (value: Rational): Rational => value.abs().mul(Rational.of(1n, 10n ** 29n));

/** A double as a quotient of two whole numbers, hence without the shortening of decimal text. */
function bigOf(value: number): BigNumber {
  const { top, bottom } = Rational.fromNumber(value);
  return math.bignumber(top.toString()).div(math.bignumber(bottom.toString()));
}

describe.each(functions)("the table of $name", ({ table, lower, upper, remade }) => {
  test.each(table)("lies in the enclosure at $argument", ({ argument, value }) => {
    const exact = valueOf(value);
    const slack = lastDigit(exact);
    expect(exact.add(slack).compareNumber(lower(argument))).toBeGreaterThanOrEqual(0);
    expect(exact.sub(slack).compareNumber(upper(argument))).toBeLessThanOrEqual(0);
    // One step to either side; below 2^-1019 a step can be two doubles.
    const width = Math.abs(lower(argument)) < 1.781e-307 ? 4 : 2;
    expect(stepsBetween(lower(argument), upper(argument))).toBeLessThanOrEqual(width);
  });

  test("is what a second multiple-precision implementation computes, digit for digit", () => {
    expect(table.length).toBeGreaterThanOrEqual(20);
    for (const { argument, value } of table) {
      const digits = math.format(remade(bigOf(argument)), {
        notation: "exponential",
        precision: 30,
      });
      expect(valueOf(digits).compare(valueOf(value)), `${argument}: ${digits}`).toBe(0);
    }
  });
});

describe("the fixed-point oracle of the property tests", () => {
  const tables = [
    { name: "exp", table: expTable, figure: exactExp },
    { name: "log", table: logTable, figure: exactLog },
  ];

  test.each(tables)("agrees with the table of $name to its last digit", ({ table, figure }) => {
    for (const { argument, value } of table) {
      const exact = valueOf(value);
      const difference = rationalOfFigure(figure(argument)).sub(exact).abs();
      expect(difference.compare(lastDigit(exact)), `at ${argument}`).toBeLessThanOrEqual(0);
    }
  });
});

test("the tables hold the constants e, ln 2, ln 10 and the square root of 2", () => {
  // Handbook constants to 24 digits, from memory.
  const rows = [
    [expTable, 1, "2.71828182845904523536028"],
    [logTable, 2, "6.93147180559945309417232e-1"],
    [logTable, 10, "2.30258509299404568401799"],
    [sqrtTable, 2, "1.41421356237309504880168"],
  ] as const;
  for (const [table, argument, digits] of rows) {
    const value = table.find((row) => row.argument === argument)?.value;
    const unit = valueOf(`1e-${digits.endsWith("e-1") ? 24 : 23}`);
    const difference = valueOf(value!).sub(valueOf(digits)).abs();
    expect(difference.compare(unit)).toBe(-1);
  }
});
