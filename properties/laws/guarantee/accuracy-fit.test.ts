// Falsified by: a voltage of the part and an error inside its band that the statement does not
// permit, a printed figure that could be a step lower, a pair of two-digit figures that covers with
// a smaller mean width, or a demand that no voltage and error of the bands makes.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { permittedErrors } from "../../../lib/design/requirement.ts";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { coversBand } from "../../../lib/guarantee/accuracy-check.ts";
import { accuracyDemands } from "../../../lib/guarantee/accuracy-demand.ts";
import { fitAccuracyStatement } from "../../../lib/guarantee/accuracy-fit.ts";
import type { AccuracyFit } from "../../../lib/guarantee/accuracy-fit.ts";
import { meanVoltage } from "../../../lib/guarantee/accuracy-mean.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { accuracyCases, clipped, extremes, provenBands } from "../../support/accuracy-cases.ts";
import type { AccuracyCase, WholeBand } from "../../support/accuracy-cases.ts";
import { Rational } from "../../support/rational.ts";

const whole = (value: number): Decimal => Decimal.ofInteger(value);
const decimal = (text: string): Decimal => Decimal.parse(text);

function fitOf({ bands, from, to }: AccuracyCase, fixed: Fixed = {}): AccuracyFit {
  return fitAccuracyStatement(provenBands(bands), { from: whole(from), to: whole(to), ...fixed });
}

interface Fixed {
  readonly fixedShare?: Decimal;
  readonly fixedVolts?: Decimal;
}

function rationalOf({ mantissa, exponent }: Decimal): Rational {
  const power = 10n ** BigInt(Math.abs(exponent));
  return exponent < 0 ? Rational.of(mantissa, power) : Rational.of(mantissa * power);
}

/** Figures of a statement in millionths. */
interface Millionths {
  readonly share: number;
  readonly volts: number;
}

const MILLION = 1e6;

/** Two significant digits from 0.00001 to 990 and zero, in millionths, in ascending order. */
const FIGURES: readonly number[] = [
  0,
  ...Array.from({ length: 8 }, (_, decade) =>
    Array.from({ length: 90 }, (_, step) => (10 + step) * 10 ** decade),
  ).flat(),
];

const SHARES = FIGURES.filter((share) => share <= 0.99 * MILLION);

function millionths(value: Decimal): number {
  return Number(value.multiply(whole(MILLION)).toString());
}

/** Largest figure of two significant digits below this one; by search, in millionths. */
function figureUnder(figure: number): number {
  const place = FIGURES.indexOf(figure);
  expect(place).toBeGreaterThan(0);
  return FIGURES[place - 1]!;
}

/** Whether every voltage and error of the case is permitted; in whole numbers, exactly. */
function isCovered(points: readonly Point[], { share, volts }: Millionths): boolean {
  return points.every(
    ({ voltage, error }) => Math.abs(error) * MILLION <= share * Math.abs(voltage + error) + volts,
  );
}

interface Point {
  readonly voltage: number;
  readonly error: number;
}

function pointsOf(drawn: AccuracyCase): readonly Point[] {
  return drawn.bands.flatMap((band) => extremes(band, drawn));
}

/** Errors up to beyond the voltage, and errors that are small against it. */
const wild = accuracyCases({ bands: 4, width: 12, error: 20, from: 1 });
const tame = accuracyCases({ bands: 4, width: 25, error: 4, from: 8 });
const cases = fc.oneof(wild, tame);

describe("what a band asks of a statement", () => {
  const sketch = fc.record({
    lower: fc.integer({ min: -14, max: 14 }),
    width: fc.integer({ min: 0, max: 12 }),
    one: fc.integer({ min: -9, max: 9 }),
    other: fc.integer({ min: -9, max: 9 }),
    from: fc.integer({ min: 0, max: 12 }),
    reach: fc.integer({ min: 0, max: 12 }),
    percent: fc.oneof(fc.integer({ min: 0, max: 99 }), fc.integer({ min: 100, max: 300 })),
    volts: fc.integer({ min: 0, max: 900 }),
  });

  test("is met exactly where every voltage and error of the band is permitted", () => {
    // All whole voltages and errors of the band: the bends of the condition are among them.
    const seen = { covered: 0, broken: 0 };
    fc.assert(
      fc.property(sketch, ({ lower, width, one, other, from, reach, percent, volts }) => {
        const upper = lower + width;
        const band = { lower, upper, low: Math.min(one, other), high: Math.max(one, other) };
        const part = { from, to: from + reach };
        let isPermitted = true;
        for (const sign of [1, -1] as const) {
          const [start, end] = clipped(band, part, sign) ?? [1, 0];
          for (let voltage = start; voltage <= end; voltage += 1) {
            for (let error = band.low; error <= band.high; error += 1) {
              const permitted = percent * Math.abs(voltage + error) + volts;
              if (100 * Math.abs(error) > permitted) isPermitted = false;
            }
          }
        }
        seen[isPermitted ? "covered" : "broken"] += 1;
        const proven = provenBands([band]);
        const exact = { from: whole(part.from), to: whole(part.to) };
        const pair = {
          share: Decimal.ofScaled(BigInt(percent), -2),
          volts: Decimal.ofScaled(BigInt(volts), -2),
        };
        expect(coversBand(pair, proven[0]!, exact)).toBe(isPermitted);
        // From a share of 1 on the check holds still, the demands no longer.
        if (percent >= 100) return;
        const isMet = accuracyDemands(proven, exact).every(
          ({ indication, error }) =>
            error.compare(pair.share.multiply(indication).add(pair.volts)) <= 0,
        );
        expect(isMet).toBe(isPermitted);
      }),
      { numRuns: 4_000 },
    );
    expect(Math.min(seen.covered, seen.broken)).toBeGreaterThan(300);
  });

  test("is at most one thing on each side and polarity, each made by a point of the band", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const part = { from: whole(drawn.from), to: whole(drawn.to) };
        for (const band of drawn.bands) {
          const demands = accuracyDemands(provenBands([band]), part);
          expect(demands.length).toBeLessThanOrEqual(4);
          for (const { indication, error, side } of demands) {
            const isMade = extremes(band, drawn).some(
              (point) =>
                indication.equals(whole(Math.abs(point.voltage + point.error))) &&
                error.equals(whole(Math.abs(point.error))) &&
                point.error > 0 === (side === "high"),
            );
            expect(isMade).toBe(true);
          }
        }
      }),
    );
  });
});

describe("the fitted statement", () => {
  test("permits every error of every band, by exact fractions and by the permitted errors", () => {
    const unit = 1000;
    const millivolts = accuracyCases({ bands: 6, width: 90_000, error: 9_000, from: 500 });
    const sixteenths = fc.integer({ min: 0, max: 16 });
    fc.assert(
      fc.property(millivolts, sixteenths, sixteenths, (drawn, part, other) => {
        const bands = provenBands(drawn.bands, unit);
        const options = {
          from: decimal(`${drawn.from / unit}`),
          to: decimal(`${drawn.to / unit}`),
        };
        const { share, volts } = fitAccuracyStatement(bands, options);
        const statement = { kind: "indication", name: "fitted", share, volts } as const;
        drawn.bands.forEach((band, index) => {
          const { low, high } = bands[index]!;
          for (const sign of [1, -1] as const) {
            const found = clipped(band, drawn, sign);
            if (found === undefined) continue;
            const [start, end] = found;
            for (const voltage of [start, end, start + Math.floor(((end - start) * part) / 16)]) {
              const at = decimal(`${voltage / unit}`);
              const allowed = permittedErrors(statement, at);
              expect(allowed.lower).toBeLessThanOrEqual(low);
              expect(allowed.upper).toBeGreaterThanOrEqual(high);
              const inside = Math.min(high, low + ((high - low) * other) / 16);
              for (const error of [low, high, inside]) {
                const e = Rational.fromNumber(error);
                const indication = e.add(Rational.of(BigInt(voltage), BigInt(unit))).abs();
                const a = rationalOf(share);
                const b = rationalOf(volts);
                expect(e.abs().compare(a.mul(indication).add(b))).toBeLessThanOrEqual(0);
              }
            }
          }
        });
      }),
      { numRuns: 200 },
    );
  });

  test("breaks some band when either printed figure is one step lower", () => {
    const lowered = { share: 0, volts: 0 };
    fc.assert(
      fc.property(cases, (drawn) => {
        const fit = fitOf(drawn);
        const points = pointsOf(drawn);
        for (const pair of [fit, ...fit.ends]) {
          const figures = { share: millionths(pair.share), volts: millionths(pair.volts) };
          expect(isCovered(points, figures)).toBe(true);
          for (const name of ["share", "volts"] as const) {
            if (figures[name] === 0) continue;
            lowered[name] += 1;
            const less = { ...figures, [name]: figureUnder(figures[name]) };
            expect(isCovered(points, less)).toBe(false);
          }
        }
      }),
      { numRuns: 300 },
    );
    expect(Math.min(lowered.share, lowered.volts)).toBeGreaterThan(150);
  });

  test("has the least mean width of all pairs of two-digit figures, tried one by one", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const points = pointsOf(drawn);
        const { from, to } = drawn;
        const mean = from === to ? from : (to - from) / Math.log(to / from);
        let best = Number.POSITIVE_INFINITY;
        for (const share of SHARES) {
          const asked = points.map(
            ({ voltage, error }) => Math.abs(error) * MILLION - share * Math.abs(voltage + error),
          );
          const volts = FIGURES.find((figure) => figure >= Math.max(0, ...asked))!;
          best = Math.min(best, share * mean + volts);
        }
        const fit = fitOf(drawn);
        const width = millionths(fit.share) * mean + millionths(fit.volts);
        expect(Math.abs(width - best)).toBeLessThanOrEqual(1e-9 * best);
      }),
      { numRuns: 80 },
    );
  });

  test("ends, without a share, in the largest error, and with the least volts that any share allows", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const points = pointsOf(drawn);
        const { ends } = fitOf(drawn);
        const largest = Math.max(0, ...points.map(({ error }) => Math.abs(error)));
        expect(ends[0]).toEqual({ share: Decimal.zero, volts: whole(largest) });
        const volts = millionths(ends.at(-1)!.volts);
        expect(isCovered(points, { share: 0.99 * MILLION, volts })).toBe(true);
        if (volts === 0) return;
        const less = { share: 0.99 * MILLION, volts: figureUnder(volts) };
        expect(isCovered(points, less)).toBe(false);
      }),
      { numRuns: 300 },
    );
  });

  test("of three bands done by hand is 4.6 % of the indication + 1.3 V", () => {
    // Towards zero: 1 V at 9 V, 2 V at 18 V, 3 V at 37 V; away from zero the errors ask for less.
    // The line through the last two has the slope 1/19. Its mean width stands at 70/ln 8 = 33.66 V.
    const bands = [
      { lower: 10, upper: 20, low: -1, high: 1 },
      { lower: 20, upper: 40, low: -2, high: 2 },
      { lower: 40, upper: 80, low: -3, high: 3 },
    ];
    const fit = fitOf({ bands, from: 10, to: 80 });
    expect([fit.share.toString(), fit.volts.toString()]).toEqual(["0.046", "1.3"]);
    expect(fit.exact).toEqual({ share: 1 / 19, volts: 20 / 19 });
    expect(fit.objective).toContain("from 10 V to 80 V, which is its width at 33.66 V");
    expect(fit.bindingBands).toEqual([
      { lower: whole(20), upper: whole(40), side: "low" },
      { lower: whole(40), upper: whole(80), side: "low" },
    ]);
    expect(fit.ends).toEqual([
      { share: Decimal.zero, volts: whole(3) },
      { share: decimal("0.12"), volts: Decimal.zero },
    ]);
    const used = [1 / (0.046 * 9 + 1.3), 2 / (0.046 * 18 + 1.3), 3 / (0.046 * 37 + 1.3)];
    fit.usedShare.forEach(({ low }, index) => expect(low).toBeCloseTo(used[index]!, 14));
  });

  test("lists each binding side of a band once, though it binds on both polarities", () => {
    // The least indication is 1 V on both polarities, and 1 V is the larger error at any share.
    const bands = [{ lower: -10, upper: 10, low: -1, high: 1 }];
    const { bindingBands } = fitOf({ bands, from: 2, to: 10 });
    const band = { lower: whole(-10), upper: whole(10) };
    expect(bindingBands).toEqual([
      { ...band, side: "low" },
      { ...band, side: "high" },
    ]);
  });

  test("of bands without any error is nothing", () => {
    const fit = fitOf({ bands: [{ lower: -9, upper: 9, low: 0, high: 0 }], from: 1, to: 9 });
    expect([fit.share, fit.volts]).toEqual([Decimal.zero, Decimal.zero]);
    expect(fit.ends).toEqual([{ share: Decimal.zero, volts: Decimal.zero }]);
    expect(fit.usedShare).toEqual([{ lower: whole(-9), upper: whole(9), low: 0, high: 0 }]);
  });
});

describe("the share of the statement that a band uses", () => {
  test("is the largest quotient of an error and what is permitted at its indication", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const fit = fitOf(drawn);
        const [a, b] = [fit.share.toNumber(), fit.volts.toNumber()];
        const concerned = drawn.bands.filter((band) => extremes(band, drawn).length > 0);
        expect(fit.usedShare.map(({ lower }) => lower.toNumber())).toEqual(
          concerned.map(({ lower }) => lower),
        );
        concerned.forEach((band, index) => {
          const used = { high: 0, low: 0 };
          for (const { voltage, error } of extremes(band, drawn)) {
            if (error === 0) continue;
            const side = error > 0 ? "high" : "low";
            const quotient = Math.abs(error) / (a * Math.abs(voltage + error) + b);
            used[side] = Math.max(used[side], quotient);
          }
          const { high, low } = fit.usedShare[index]!;
          expect(high).toBeCloseTo(used.high, 12);
          expect(low).toBeCloseTo(used.low, 12);
          expect(Math.max(high, low)).toBeLessThanOrEqual(1);
        });
      }),
    );
  });

  test("is 1 before rounding on the binding bands, of which there is one wherever there is an error", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const { exact, bindingBands } = fitOf(drawn);
        const points = pointsOf(drawn);
        const hasError = points.some(({ error }) => error !== 0);
        expect(bindingBands.length > 0).toBe(hasError);
        for (const { lower, upper, side } of bindingBands) {
          const band = drawn.bands.find(
            (other) => other.lower === lower.toNumber() && other.upper === upper.toNumber(),
          )!;
          const spare = extremes(band, drawn)
            .filter(({ error }) => (side === "high" ? error > 0 : error < 0))
            .map(
              ({ voltage, error }) =>
                exact.share * Math.abs(voltage + error) + exact.volts - Math.abs(error),
            );
          expect(Math.min(...spare)).toBeCloseTo(0, 10);
        }
      }),
    );
  });
});

describe("a figure fixed by the user", () => {
  const percents = fc.integer({ min: 0, max: 99 });

  test("of share is kept, and the volts are the least that go with it", () => {
    fc.assert(
      fc.property(cases, percents, (drawn, percent) => {
        const fixedShare = Decimal.ofScaled(BigInt(percent), -2);
        const fit = fitOf(drawn, { fixedShare });
        expect(fit.share).toBe(fixedShare);
        const figures = { share: percent * 10_000, volts: millionths(fit.volts) };
        expect(isCovered(pointsOf(drawn), figures)).toBe(true);
        if (figures.volts === 0) return;
        const less = { ...figures, volts: figureUnder(figures.volts) };
        expect(isCovered(pointsOf(drawn), less)).toBe(false);
      }),
    );
  });

  test("of volts is kept with the least share, or refused with the least volts that would do", () => {
    const outcomes = { kept: 0, refused: 0 };
    fc.assert(
      fc.property(cases, fc.integer({ min: 0, max: 80 }), (drawn, quarters) => {
        const points = pointsOf(drawn);
        const fixedVolts = decimal(`${quarters / 4}`);
        const volts = quarters * 250_000;
        const isPossible = isCovered(points, { share: 0.99 * MILLION, volts });
        outcomes[isPossible ? "kept" : "refused"] += 1;
        if (isPossible) {
          const fit = fitOf(drawn, { fixedVolts });
          expect(fit.volts).toBe(fixedVolts);
          const share = millionths(fit.share);
          expect(isCovered(points, { share, volts })).toBe(true);
          if (share === 0) return;
          expect(isCovered(points, { share: figureUnder(share), volts })).toBe(false);
          return;
        }
        const refusal = refusalOf(() => fitOf(drawn, { fixedVolts }));
        const least = decimal(/at least (\S+) V/.exec(refusal.message)![1]!);
        expect(fitOf(drawn, { fixedVolts: least }).volts).toBe(least);
        const under = decimal(`${figureUnder(millionths(least))}e-6`);
        expect(() => fitOf(drawn, { fixedVolts: under })).toThrow(OutsideDomainError);
      }),
      { numRuns: 400 },
    );
    expect(Math.min(outcomes.kept, outcomes.refused)).toBeGreaterThan(20);
  });

  test("beside the other fixed one is only checked, and refused with the least volts", () => {
    fc.assert(
      fc.property(cases, percents, fc.integer({ min: 0, max: 20 }), (drawn, percent, volts) => {
        const fixed = {
          fixedShare: Decimal.ofScaled(BigInt(percent), -2),
          fixedVolts: whole(volts),
        };
        const figures = { share: percent * 10_000, volts: volts * MILLION };
        if (isCovered(pointsOf(drawn), figures)) {
          const { share, volts: kept, objective } = fitOf(drawn, fixed);
          expect({ fixedShare: share, fixedVolts: kept }).toEqual(fixed);
          expect(objective).toBe("Both figures as given.");
          return;
        }
        const refusal = refusalOf(() => fitOf(drawn, fixed));
        const { volts: least } = fitOf(drawn, { fixedShare: fixed.fixedShare });
        expect(refusal.message).toContain(
          `constant part of the statement must be at least ${least.toString()} V, ` +
            `received ${volts} V (fixedVolts)`,
        );
      }),
    );
  });

  test("lets the part begin at zero, where the indication can vanish and the volts must hold alone", () => {
    const drawn = { bands: [{ lower: -10, upper: 10, low: -1, high: 1 }], from: 0, to: 10 };
    expect(fitOf(drawn, { fixedShare: decimal("0.05") }).volts).toEqual(Decimal.one);
    expect(() => fitOf(drawn, { fixedVolts: decimal("0.99") })).toThrow("at least 1 V");
    expect(() => fitOf(drawn)).toThrow(InvalidInputError);
  });
});

function refusalOf(action: () => unknown): OutsideDomainError {
  try {
    action();
  } catch (error) {
    if (error instanceof OutsideDomainError) return error;
    throw error;
  }
  return expect.fail("nothing was refused");
}

const brief = ({ share, volts, exact }: AccuracyFit) => ({ share, volts, exact });

describe("laws of the fit", () => {
  test("turning the polarity of every band changes nothing but the sides", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const turned = drawn.bands
          .map(({ lower, upper, low, high }): WholeBand => ({
            lower: 0 - upper,
            upper: 0 - lower,
            low: 0 - high,
            high: 0 - low,
          }))
          .reverse();
        const [fit, other] = [fitOf(drawn), fitOf({ ...drawn, bands: turned })];
        expect(brief(other)).toEqual(brief(fit));
        expect(other.ends).toEqual(fit.ends);
        const sides = fit.usedShare.map(({ low, high }) => ({ low: high, high: low })).reverse();
        expect(other.usedShare.map(({ low, high }) => ({ low, high }))).toEqual(sides);
      }),
    );
  });

  test("ten times all voltages and errors ask for the same share and ten times the volts", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const bands = drawn.bands.map(({ lower, upper, low, high }) => ({
          lower: 10 * lower,
          upper: 10 * upper,
          low: 10 * low,
          high: 10 * high,
        }));
        const fit = fitOf(drawn);
        const scaled = fitOf({ bands, from: 10 * drawn.from, to: 10 * drawn.to });
        expect(scaled.share).toEqual(fit.share);
        expect(scaled.volts).toEqual(fit.volts.multiply(whole(10)));
      }),
    );
  });

  test("neither the order of the bands nor a cut through one changes the statement", () => {
    const pick = fc.tuple(fc.nat(), fc.integer({ min: 1, max: 9 }));
    fc.assert(
      fc.property(cases, pick, (drawn, [place, tenths]) => {
        const bands = provenBands(drawn.bands);
        const options = { from: whole(drawn.from), to: whole(drawn.to) };
        const fit = brief(fitAccuracyStatement(bands, options));
        expect(brief(fitAccuracyStatement([...bands].reverse(), options))).toEqual(fit);
        const cut = bands[place % bands.length]!;
        const width = cut.upper.subtract(cut.lower);
        const middle = cut.lower.add(width.multiply(Decimal.ofScaled(BigInt(tenths), -1)));
        const pieces = bands.flatMap((band) =>
          band === cut
            ? [
                { ...band, upper: middle },
                { ...band, lower: middle },
              ]
            : [band],
        );
        expect(brief(fitAccuracyStatement(pieces, options))).toEqual(fit);
      }),
    );
  });

  test("a larger error or a larger part never asks for a smaller width", () => {
    fc.assert(
      fc.property(cases, fc.nat(), fc.integer({ min: 1, max: 5 }), (drawn, place, more) => {
        const bands = drawn.bands.map((band, index) =>
          index === place % drawn.bands.length ? { ...band, high: band.high + more } : band,
        );
        const { from, to } = drawn;
        const mean = meanVoltage({ from: whole(from), to: whole(to) }).toNumber();
        const widthOf = ({ exact }: AccuracyFit): number => exact.share * mean + exact.volts;
        const [fit, wider] = [fitOf(drawn), fitOf({ ...drawn, bands })];
        expect(widthOf(wider)).toBeGreaterThanOrEqual(widthOf(fit) * (1 - 1e-12));
        const fixed = { fixedShare: decimal("0.02") };
        const narrow = fitOf({ ...drawn, to: from }, fixed);
        expect(narrow.volts.compare(fitOf(drawn, fixed).volts)).toBeLessThanOrEqual(0);
      }),
    );
  });

  test("the mean over log |V| is that of a plain sum over equal steps of log |V|", () => {
    const ends = fc.tuple(fc.integer({ min: 1, max: 4_000 }), fc.integer({ min: 0, max: 4_000 }));
    fc.assert(
      fc.property(ends, ([from, more]) => {
        const to = from + more;
        const steps = 2_000;
        let sum = 0;
        for (let step = 0; step < steps; step += 1) {
          sum += from * Math.exp((Math.log(to / from) * (step + 0.5)) / steps);
        }
        const mean = meanVoltage({ from: whole(from), to: whole(to) }).toNumber();
        expect(Math.abs(mean / (sum / steps) - 1)).toBeLessThan(1e-5);
      }),
      { numRuns: 200 },
    );
    // (1 + 1e-12 - 1) / ln(1 + 1e-12) = 1 + 5e-13: ends close together lose no digits.
    const near = meanVoltage({ from: Decimal.one, to: decimal("1.000000000001") });
    expect(Math.abs(near.toNumber() - 1 - 5e-13)).toBeLessThan(1e-15);
  });
});

describe("the stated part of the range", () => {
  const bipolar = [
    { lower: -100, upper: -20, low: -5, high: 2 },
    { lower: -20, upper: 20, low: -1, high: 1 },
    { lower: 20, upper: 400, low: -1, high: 1 },
  ];

  test("holds both polarities as far as the bands reach, and says so", () => {
    const { intervals, usedShare } = fitOf({ bands: bipolar, from: 30, to: 400 });
    expect(intervals).toEqual([
      { lower: whole(-100), upper: whole(-30) },
      { lower: whole(30), upper: whole(400) },
    ]);
    expect(usedShare.map(({ lower }) => lower)).toEqual([whole(-100), whole(20)]);
    const wide = fitOf({ bands: bipolar, from: 30, to: 400 }, { fixedShare: Decimal.zero });
    expect(wide.volts).toEqual(whole(5));
    const beyond = fitOf({ bands: bipolar, from: 101, to: 400 });
    expect(beyond.intervals).toEqual([{ lower: whole(101), upper: whole(400) }]);
    expect([beyond.share, beyond.volts]).toEqual([Decimal.zero, Decimal.one]);
  });

  test("counts a band with what lies inside it, and one that only touches with the end they share", () => {
    const bands = [
      { lower: 0, upper: 30, low: -3, high: 3 },
      { lower: 30, upper: 90, low: -1, high: 1 },
    ];
    const fixed = { fixedShare: decimal("0.1") };
    // At 30 V the lower band asks for 3 - 0.1 * 27 V, from 20 V on for 3 - 0.1 * 17 V.
    expect(fitOf({ bands, from: 30, to: 90 }, fixed).volts).toEqual(decimal("0.3"));
    expect(fitOf({ bands, from: 20, to: 90 }, fixed).volts).toEqual(decimal("1.3"));
    expect(fitOf({ bands, from: 31, to: 90 }, fixed).volts).toEqual(Decimal.zero);
  });
});

describe("input that cannot be fitted", () => {
  const good = { bands: [{ lower: 10, upper: 90, low: -1, high: 1 }], from: 10, to: 90 };

  test("is refused with every fault at once", () => {
    const bands = [
      { lower: whole(10), upper: whole(5), low: Number.NaN, high: 1 },
      { lower: whole(5), upper: whole(20), low: 2, high: Number.POSITIVE_INFINITY },
      { lower: whole(20), upper: whole(30), low: 2, high: 1 },
    ];
    const options = {
      from: whole(-3),
      to: whole(-4),
      fixedShare: Decimal.one,
      fixedVolts: whole(-1),
    };
    const error = invalidOf(() => fitAccuracyStatement(bands, options));
    expect(error.faults.map(({ path }) => path)).toEqual([
      "bands[0].lower",
      "bands[0].low",
      "bands[1].high",
      "bands[2].low",
      "from",
      "from",
      "fixedShare",
      "fixedVolts",
    ]);
    expect(error.message).toContain(
      "lower end of the band must be at most its upper end 5 V, received 10 V (bands[0].lower)",
    );
    expect(error.message).toContain(
      "proven low error must be finite, received NaN V (bands[0].low)",
    );
    expect(error.message).toContain(
      "share of indication must be from 0 to less than 1, received 1",
    );
  });

  test("no band, a part beyond the bands and bands with a gap are refused", () => {
    expect(() => fitOf({ ...good, bands: [] })).toThrow(
      "number of proven bands must be at least one",
    );
    expect(() => fitOf({ ...good, to: 91 })).toThrow("must be at most 90 V, received 91 V (to)");
    expect(() => fitOf({ ...good, from: 9 })).toThrow("must be at least 10 V, received 9 V (from)");
    expect(() => fitOf({ ...good, from: 50, to: 40 })).toThrow("at most its upper end 40 V");
    const gap = [...good.bands, { lower: 91, upper: 99, low: 0, high: 0 }];
    expect(() => fitOf({ ...good, bands: gap })).toThrow(
      "must be at most 90 V, where the bands below it end, received 91 V (bands[1].lower)",
    );
  });

  test("no share up to 99 % covers an error that is larger than the indication can be", () => {
    const bands = [{ lower: 10, upper: 20, low: -15, high: 0 }];
    expect(() => fitOf({ bands, from: 10, to: 20 }, { fixedVolts: whole(14) })).toThrow(
      "constant part of the statement must be at least 15 V, received 14 V (fixedVolts). " +
        "Hint: with less no share of the indication up to 99 % covers",
    );
  });
});

function invalidOf(action: () => unknown): InvalidInputError {
  try {
    action();
  } catch (error) {
    if (error instanceof InvalidInputError) return error;
    throw error;
  }
  return expect.fail("nothing was refused");
}
