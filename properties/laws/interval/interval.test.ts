// Falsified by a member of the operands whose exact result is not a member of the interval
// returned, by a bound further out than one step on an exact case, or by NaN among the ends.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  InvariantBrokenError,
  OutsideDomainError,
  UnboundedResultError,
} from "../../../lib/errors.ts";
import {
  absolute,
  add,
  contains,
  divide,
  exponential,
  floorOf,
  hull,
  intersect,
  interval,
  logarithm,
  magnitude,
  maximum,
  midpoint,
  minimum,
  multiply,
  negate,
  point,
  power,
  squareRoot,
  subtract,
  width,
} from "../../../lib/interval/interval.ts";
import type { Interval } from "../../../lib/interval/interval.ts";
import { signedFiniteDoubles, stepsBetween } from "../../support/doubles.ts";
import { compareToFigure, exactExp, exactLog } from "../../support/high-precision.ts";
import type { BinaryFigure } from "../../support/high-precision.ts";
import { Rational } from "../../support/rational.ts";

const RUNS = { numRuns: 3000 };

/** Numbers as designs hold them, -5000 to 5000 in steps that binary cannot hold exactly. */
const plain = fc.integer({ min: -500_000, max: 500_000 }).map((n) => n / 100);
const numbers = fc.oneof({ weight: 3, arbitrary: plain }, signedFiniteDoubles);

/** An interval and one of its members. */
interface Membership {
  readonly set: Interval;
  readonly member: number;
}

// Two in three members are ends: a bound that is not rounded outward shows there first.
const memberships: fc.Arbitrary<Membership> = fc
  .tuple(numbers, numbers, numbers, fc.constantFrom("least", "greatest", "inside"), fc.nat(3))
  .map(([a, b, c, place, shape]) => {
    const [lower, middle, upper] = [a, b, c].sort((x, y) => x - y) as [number, number, number];
    if (place === "least") return { set: interval(lower, upper), member: lower };
    if (place === "greatest") return { set: interval(lower, upper), member: upper };
    if (shape === 1) return { set: interval(-Infinity, upper), member: middle };
    if (shape === 2) return { set: interval(lower, Infinity), member: middle };
    return { set: interval(lower, upper), member: middle };
  });

function expectMember(set: Interval, exact: Rational): void {
  expect(set.lower).toBeLessThanOrEqual(set.upper);
  expect(exact.compareNumber(set.lower)).toBeGreaterThanOrEqual(0);
  expect(exact.compareNumber(set.upper)).toBeLessThanOrEqual(0);
}

const exactly = Rational.fromNumber;

/** Whether a value known to 100 bits is a member. */
function holds(set: Interval, figure: BinaryFigure): boolean {
  return compareToFigure(set.lower, figure) <= 0 && compareToFigure(set.upper, figure) >= 0;
}

/** Expects ends not inside the exact ones, and at most `steps` doubles outside them. */
function nearBy(steps: number, set: Interval, exact: Interval): void {
  for (const distance of [
    stepsBetween(set.lower, exact.lower),
    stepsBetween(exact.upper, set.upper),
  ]) {
    expect(distance).toBeGreaterThanOrEqual(0);
    expect(distance).toBeLessThanOrEqual(steps);
  }
}

describe("arithmetic on intervals", () => {
  test("holds the exact sum, difference and product of every two members", () => {
    fc.assert(
      fc.property(memberships, memberships, (x, y) => {
        const [a, b] = [exactly(x.member), exactly(y.member)];
        expectMember(add(x.set, y.set), a.add(b));
        expectMember(subtract(x.set, y.set), a.sub(b));
        expectMember(multiply(x.set, y.set), a.mul(b));
        expectMember(negate(x.set), a.negate());
      }),
      RUNS,
    );
  });

  test("holds the exact quotient of every two members, or says that it has no limit", () => {
    fc.assert(
      fc.property(memberships, memberships, (x, y) => {
        if (contains(y.set, 0)) {
          expect(() => divide(x.set, y.set)).toThrow(UnboundedResultError);
        } else {
          expectMember(divide(x.set, y.set), exactly(x.member).div(exactly(y.member)));
        }
      }),
      RUNS,
    );
  });

  test("holds the exact power of every member", () => {
    fc.assert(
      fc.property(memberships, fc.integer({ min: -7, max: 9 }), ({ set, member }, n) => {
        if (n < 0 && contains(set, 0)) {
          expect(() => power(set, n)).toThrow(UnboundedResultError);
          return;
        }
        let exact = Rational.of(1n);
        for (let count = 0; count < Math.abs(n); count += 1) exact = exact.mul(exactly(member));
        expectMember(power(set, n), n < 0 ? Rational.of(1n).div(exact) : exact);
      }),
      RUNS,
    );
  });

  test("holds the exact magnitude, smaller, larger and floor of every member", () => {
    fc.assert(
      fc.property(memberships, memberships, (x, y) => {
        const [a, b] = [x.member, y.member];
        expectMember(absolute(x.set), exactly(a).abs());
        expectMember(minimum(x.set, y.set), exactly(Math.min(a, b)));
        expectMember(maximum(x.set, y.set), exactly(Math.max(a, b)));
        expectMember(floorOf(x.set), Rational.of(exactly(a).floor()));
      }),
      RUNS,
    );
  });

  test("holds the square root, exp and logarithm of every member in their domains", () => {
    fc.assert(
      fc.property(memberships, ({ set, member }) => {
        if (member !== 0 && Math.abs(member) < 5000) {
          expect(holds(exponential(set), exactExp(member))).toBe(true);
        }
        if (set.lower < 0) {
          expect(() => logarithm(set)).toThrow(OutsideDomainError);
          expect(() => squareRoot(set)).toThrow(OutsideDomainError);
          return;
        }
        const root = squareRoot(set);
        expect(exactly(root.lower).mul(exactly(root.lower)).compareNumber(member)).not.toBe(1);
        if (root.upper < Infinity) {
          expect(exactly(root.upper).mul(exactly(root.upper)).compareNumber(member)).not.toBe(-1);
        }
        if (member > 0 && member !== 1) {
          expect(holds(logarithm(set), exactLog(member))).toBe(true);
        }
      }),
      RUNS,
    );
  });

  test("gives exact ends but for a step outward in each rounding", () => {
    nearBy(1, add(interval(1, 2), interval(3, 5)), interval(4, 7));
    nearBy(1, subtract(interval(1, 2), interval(3, 5)), interval(-4, -1));
    nearBy(1, multiply(interval(-2, 3), interval(-5, 7)), interval(-15, 21));
    nearBy(1, multiply(interval(-3, -2), interval(5, 7)), interval(-21, -10));
    nearBy(1, divide(interval(-6, 3), interval(2, 4)), interval(-3, 1.5));
    nearBy(1, divide(interval(4, 8), interval(-4, -2)), interval(-4, -1));
    // The step of the square is multiplied by 3 before the second step is added.
    nearBy(3, power(interval(-2, 3), 3), interval(-8, 27));
    nearBy(1, power(interval(-3, 2), 2), interval(0, 9));
    nearBy(1, power(interval(2, 4), -1), interval(0.25, 0.5));
    nearBy(1, squareRoot(interval(4, 9)), interval(2, 3));
  });
});

describe("an even power", () => {
  test("is never below zero, and touches it where the base straddles zero", () => {
    expect(power(interval(-2, 1), 2).lower).toBe(0);
    expect(power(interval(-2, 1), 4).upper).toBeLessThan(16.000000000001);
    expect(power(interval(-3, -2), 2).lower).toBeGreaterThan(3.999999999999);
  });

  test("is tighter than the product of the base with itself", () => {
    const base = interval(-2, 1);
    expect(multiply(base, base).lower).toBeLessThan(-1.9);
    expect(power(base, 2).lower).toBe(0);
  });
});

describe("a power", () => {
  test("with the exponent 0 is 1, and with the exponent 1 the base itself", () => {
    expect(power(interval(-2, 3), 0)).toEqual({ lower: 1, upper: 1 });
    expect(power(interval(-2, 3), 1)).toEqual({ lower: -2, upper: 3 });
    expect(power(interval(-3, -2), 1)).toEqual({ lower: -3, upper: -2 });
  });

  test("that overflows has no upper limit; one that vanishes is still above zero", () => {
    expect(power(point(1e200), 2).upper).toBe(Infinity);
    expect(power(point(1e200), 2).lower).toBeGreaterThan(1.79e308);
    expect(power(point(-1e200), 3)).toMatchObject({ lower: -Infinity });
    expect(power(point(1e-200), 2).lower).toBe(0);
    expect(power(point(1e-200), 2).upper).toBeGreaterThan(0);
    expect(power(point(1e-200), -2).upper).toBe(Infinity);
    expect(power(point(-1e-200), -3).lower).toBe(-Infinity);
    expect(power(point(1.5), 2 ** 52).upper).toBe(Infinity);
  });

  test("takes whole exponents only", () => {
    for (const n of [0.5, Number.NaN, Infinity, 2 ** 53]) {
      expect(() => power(point(2), n)).toThrow(OutsideDomainError);
    }
  });
});

describe("zero, infinity and overflow", () => {
  test("zero times an interval without limit is zero", () => {
    for (const unlimited of [interval(-Infinity, Infinity), interval(3, Infinity)]) {
      expect(multiply(point(0), unlimited)).toEqual({ lower: 0, upper: 0 });
      expect(multiply(unlimited, point(0))).toEqual({ lower: 0, upper: 0 });
    }
    expect(multiply(interval(0, 1), interval(0, Infinity))).toEqual({ lower: 0, upper: Infinity });
    expect(multiply(interval(-1, 0), interval(0, Infinity))).toEqual({
      lower: -Infinity,
      upper: 0,
    });
  });

  test("a product of intervals that are not negative is not negative, even by underflow", () => {
    expect(multiply(point(1e-200), point(1e-200)).lower).toBe(0);
    expect(multiply(point(1e-200), point(-1e-200)).upper).toBe(0);
    expect(multiply(point(1e-200), point(-1e-200)).lower).toBeLessThan(0);
    expect(divide(point(1e-300), point(1e300)).lower).toBe(0);
    expect(divide(point(1e-300), point(1e300)).upper).toBeGreaterThan(0);
  });

  test("a division by an interval that touches zero names the operands", () => {
    for (const divisor of [interval(0, 1), interval(-1, 0), interval(-1, 1), point(0), point(-0)]) {
      expect(() => divide(point(1), divisor)).toThrow(UnboundedResultError);
    }
    expect(() => divide(point(1), interval(-2, 3))).toThrow(/x \/ y for .*y in \[-2, 3\]/);
    expect(() => power(interval(-1, 1), -2)).toThrow(/x\^\(-2\)/);
  });

  test("a division by an interval without limit comes down to zero", () => {
    expect(divide(interval(1, 2), interval(1, Infinity)).lower).toBe(0);
    expect(divide(interval(-2, -1), interval(1, Infinity)).upper).toBe(0);
    expect(divide(interval(1, Infinity), interval(1, Infinity))).toMatchObject({ upper: Infinity });
    expect(divide(interval(1, 2), interval(-Infinity, -1)).upper).toBe(0);
  });

  test("an overflow leaves the inner end finite and the outer end without limit", () => {
    const largest = point(Number.MAX_VALUE);
    for (const sum of [add(largest, largest), multiply(largest, point(2))]) {
      expect(sum.lower).toBeGreaterThan(1.79e308);
      expect(sum.lower).toBeLessThanOrEqual(Number.MAX_VALUE);
      expect(sum.upper).toBe(Infinity);
    }
    const negative = subtract(negate(largest), largest);
    expect(negative.lower).toBe(-Infinity);
    expect(negative.upper).toBeLessThan(-1.79e308);
    expect(exponential(point(1000)).upper).toBe(Infinity);
  });

  test("a logarithm from zero on has no lower limit; of zero alone there is none", () => {
    expect(logarithm(interval(0, 1))).toEqual({ lower: -Infinity, upper: 0 });
    expect(() => logarithm(point(0))).toThrow(OutsideDomainError);
    expect(() => logarithm(interval(-1, 2))).toThrow("received [-1, 2]");
  });

  test("everything without limit stays without NaN", () => {
    const all = interval(-Infinity, Infinity);
    for (const result of [add(all, all), subtract(all, all), multiply(all, all), power(all, 3)]) {
      expect(result).toEqual({ lower: -Infinity, upper: Infinity });
    }
    expect(exponential(all)).toEqual({ lower: 0, upper: Infinity });
    expect(power(all, 2)).toEqual({ lower: 0, upper: Infinity });
    expect(floorOf(all)).toEqual(all);
    expect(absolute(all)).toEqual({ lower: 0, upper: Infinity });
  });
});

describe("an interval as a set", () => {
  test("is refused with crossed ends, with NaN, and where it would hold no number", () => {
    for (const [lower, upper] of [
      [2, 1],
      [Number.NaN, 1],
      [1, Number.NaN],
      [Number.NaN, Number.NaN],
      [Infinity, Infinity],
      [-Infinity, -Infinity],
    ] as const) {
      expect(() => interval(lower, upper)).toThrow(OutsideDomainError);
    }
    expect(() => interval(2, 1)).toThrow("received [2, 1]");
    for (const value of [Number.NaN, Infinity, -Infinity]) {
      expect(() => point(value)).toThrow(OutsideDomainError);
    }
  });

  test("that came to hold NaN by another way breaks an invariant at the next operation", () => {
    const broken: Interval = { lower: Number.NaN, upper: Number.NaN };
    for (const operate of [add, subtract, multiply, divide, minimum, hull]) {
      expect(() => operate(broken, point(1))).toThrow(InvariantBrokenError);
    }
  });

  test("has a hull that holds both and no more, and a common part that both hold", () => {
    fc.assert(
      fc.property(memberships, memberships, numbers, (x, y, value) => {
        const both = hull(x.set, y.set);
        const [isInX, isInY] = [contains(x.set, value), contains(y.set, value)];
        if (isInX || isInY) expect(contains(both, value)).toBe(true);
        for (const end of [both.lower, both.upper]) {
          expect([x.set.lower, x.set.upper, y.set.lower, y.set.upper]).toContain(end);
        }
        const common = intersect(x.set, y.set);
        expect(common !== undefined && contains(common, value)).toBe(isInX && isInY);
      }),
      RUNS,
    );
    expect(intersect(interval(1, 2), interval(3, 4))).toBeUndefined();
    expect(intersect(interval(1, 2), interval(2, 4))).toEqual({ lower: 2, upper: 2 });
  });

  test("holds finite numbers between its ends, the ends included", () => {
    const set = interval(1, Infinity);
    expect(contains(set, 1)).toBe(true);
    expect(contains(set, 0.999)).toBe(false);
    expect(contains(set, Infinity)).toBe(false);
    expect(contains(set, Number.NaN)).toBe(false);
    expect(contains(interval(1, 2), 2)).toBe(true);
    expect(contains(interval(1, 2), 2.0000000000000004)).toBe(false);
  });

  test("is at least as wide as the exact distance of its ends, and one number is not wide", () => {
    fc.assert(
      fc.property(numbers, numbers, (a, b) => {
        const set = interval(Math.min(a, b), Math.max(a, b));
        const exact = exactly(set.upper).sub(exactly(set.lower));
        expect(exact.compareNumber(width(set))).toBeLessThanOrEqual(0);
      }),
      RUNS,
    );
    expect(width(point(3))).toBe(0);
    expect(width(interval(3, Infinity))).toBe(Infinity);
    expect(stepsBetween(width(interval(1, 3)), 2)).toBeGreaterThanOrEqual(-1);
  });

  test("has a finite midpoint that it holds, half a unit in the last place from the middle", () => {
    fc.assert(
      fc.property(memberships, ({ set }) => {
        expect(contains(set, midpoint(set))).toBe(true);
      }),
      RUNS,
    );
    expect(midpoint(interval(1, 4))).toBe(2.5);
    expect(midpoint(interval(-Number.MAX_VALUE, Number.MAX_VALUE))).toBe(0);
    expect(midpoint(interval(1e308, 1.5e308))).toBe(1.25e308);
    expect(midpoint(interval(-Infinity, Infinity))).toBe(0);
    expect(midpoint(point(Number.MIN_VALUE))).toBe(Number.MIN_VALUE);
  });

  test("has the magnitude of its larger end", () => {
    expect(magnitude(interval(-3, 2))).toBe(3);
    expect(magnitude(interval(-3, 4))).toBe(4);
    expect(magnitude(interval(-Infinity, 4))).toBe(Infinity);
    expect(absolute(interval(-3, -2))).toEqual({ lower: 2, upper: 3 });
    expect(absolute(interval(-3, 2))).toEqual({ lower: 0, upper: 3 });
  });
});
