// Falsified by one random expression whose exact rational value lies outside the interval that the
// same operations give in doubles: errors that single operations hide add up here.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  absolute,
  add,
  contains,
  divide,
  floorOf,
  interval,
  maximum,
  minimum,
  multiply,
  negate,
  point,
  power,
  subtract,
} from "../../../lib/interval/interval.ts";
import type { Interval } from "../../../lib/interval/interval.ts";
import { Rational } from "../../support/rational.ts";

/** An expression worked out both ways: as an interval, and exactly for one choice of members. */
interface BothWays {
  readonly set: Interval;
  readonly exact: Rational;
}

type Step = (a: BothWays, b: BothWays) => BothWays;

const smaller = (a: Rational, b: Rational): Rational => (a.compare(b) < 0 ? a : b);

const larger = (a: Rational, b: Rational): Rational => (a.compare(b) < 0 ? b : a);

/** A quotient where the divisor excludes zero, else the dividend alone. */
const quotient: Step = (a, b) =>
  contains(b.set, 0) ? a : { set: divide(a.set, b.set), exact: a.exact.div(b.exact) };

const steps: readonly Step[] = [
  (a, b) => ({ set: add(a.set, b.set), exact: a.exact.add(b.exact) }),
  (a, b) => ({ set: subtract(a.set, b.set), exact: a.exact.sub(b.exact) }),
  (a, b) => ({ set: multiply(a.set, b.set), exact: a.exact.mul(b.exact) }),
  quotient,
  // A divider and two parts in parallel, the shapes that a measuring chain is made of.
  (a, b) => quotient(a, { set: add(a.set, b.set), exact: a.exact.add(b.exact) }),
  (a, b) =>
    quotient(
      { set: multiply(a.set, b.set), exact: a.exact.mul(b.exact) },
      { set: add(a.set, b.set), exact: a.exact.add(b.exact) },
    ),
  (a, b) => ({ set: minimum(a.set, b.set), exact: smaller(a.exact, b.exact) }),
  (a, b) => ({ set: maximum(a.set, b.set), exact: larger(a.exact, b.exact) }),
  (a) => ({ set: negate(a.set), exact: a.exact.negate() }),
  (a) => ({ set: absolute(a.set), exact: a.exact.abs() }),
  (a) => ({ set: power(a.set, 3), exact: a.exact.mul(a.exact).mul(a.exact) }),
  (a) => ({ set: power(a.set, 2), exact: a.exact.mul(a.exact) }),
  (a) => ({ set: floorOf(a.set), exact: Rational.of(a.exact.floor()) }),
];

/** Values like 0.1 and 34.7 in units from a microvolt to a gigaohm, with limits of up to 1 %. */
const leaves: fc.Arbitrary<BothWays> = fc
  .tuple(
    fc.integer({ min: -9999, max: 9999 }),
    fc.integer({ min: -6, max: 9 }),
    fc.nat(100),
    fc.integer({ min: -100, max: 100 }),
  )
  .map(([digits, exponent, limit, place]) => {
    const nominal = Number(`${digits}e${exponent}`);
    const half = Math.abs(nominal) * (limit / 10_000);
    const set = limit === 0 ? point(nominal) : interval(nominal - half, nominal + half);
    const member = Math.min(Math.max(nominal + half * (place / 100), set.lower), set.upper);
    return { set, exact: Rational.fromNumber(member) };
  });

const expressions: fc.Arbitrary<BothWays> = fc
  .tuple(
    fc.array(leaves, { minLength: 2, maxLength: 5 }),
    fc.array(fc.tuple(fc.nat(steps.length - 1), fc.nat(99), fc.nat(99)), {
      minLength: 1,
      maxLength: 8,
    }),
  )
  .map(([operands, program]) => {
    const values = [...operands];
    for (const [step, left, right] of program) {
      const [a, b] = [values[left % values.length]!, values[right % values.length]!];
      values.push(steps[step]!(a, b));
    }
    return values.at(-1)!;
  });

describe("a random expression of up to eight operations", () => {
  test("has its exact rational value inside its interval", () => {
    let finite = 0;
    fc.assert(
      fc.property(expressions, ({ set, exact }) => {
        expect(exact.compareNumber(set.lower)).toBeGreaterThanOrEqual(0);
        expect(exact.compareNumber(set.upper)).toBeLessThanOrEqual(0);
        if (Number.isFinite(set.upper - set.lower)) finite += 1;
      }),
      { numRuns: 20_000 },
    );
    // An enclosure that is infinite proves nothing.
    expect(finite).toBeGreaterThan(19_000);
  });
});
