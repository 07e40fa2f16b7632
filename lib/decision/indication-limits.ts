import { scalingConstants } from "../design/scaling-constants.ts";
import type { ErrorBrackets } from "../guarantee/error-brackets.ts";
import { invariant, OutsideDomainError } from "../errors.ts";
import { above, below } from "../interval/rounding.ts";

/** Sign of the voltages looked at. */
export type Polarity = 1 | -1;

/** What indications say for certain about one voltage line, magnitudes in V. */
export interface IndicationLimits {
  readonly polarity: Polarity;
  /** Magnitude of the true voltage as loaded that the line comes to, V. */
  readonly voltage: number;
  /**
   * No voltage above the line is indicated below this: the infimum over the voltages above it of
   * voltage plus lower error.
   */
  readonly acceptBelow: number;
  /** A voltage above the line is indicated so: the acceptance limit is no higher than this. */
  readonly acceptWitness: number;
  /** Every voltage up to this is indicated below {@link acceptBelow}: good product not lost. */
  readonly surelyAcceptedUpTo: number;
}

/** Bands are no narrower than this share of the range: well below any figure that is printed. */
const NARROWEST = 1e-5;

/** Bands per code where an indication is a number for each code. */
const BANDS_PER_CODE = 16;

/** Divisions of a band after which its bound is taken as it is. */
const MOST_DIVISIONS = 40;

/** Steps of the search for the voltage that is surely accepted. */
const MOST_STEPS = 30;

interface Band {
  readonly near: number;
  readonly far: number;
}

/** Bands from `from` to `to`, whichever is higher, narrow at first and each twice as wide. */
function doublingBands(from: number, to: number, narrow: number): Band[] {
  const sign = to >= from ? 1 : -1;
  const bands: Band[] = [];
  let near = from;
  for (let width = narrow; (to - near) * sign > 0; width *= 2) {
    const next = near + sign * width;
    const far = (to - next) * sign <= narrow ? to : next;
    bands.push({ near, far });
    near = far;
  }
  return bands.length > 0 ? bands : [{ near: from, far: to }];
}

/** Searches the indications of one polarity; every figure is a magnitude. */
class Indications {
  private readonly brackets: ErrorBrackets;
  private readonly polarity: Polarity;
  readonly narrow: number;
  /** Least magnitude of the range, V. */
  private readonly start: number;

  constructor(brackets: ErrorBrackets, polarity: Polarity) {
    this.brackets = brackets;
    this.polarity = polarity;
    const { lower, upper } = brackets.model.design.measuringInterval;
    const { design, indicationOfCode } = brackets.model;
    const code = 1 / scalingConstants(design).codesPerVolt.toNumber();
    // Inside one code the error falls as fast as the voltage rises: bands far below a code do not
    // tell more and are many.
    this.narrow = Math.max(
      upper.subtract(lower).toNumber() * NARROWEST,
      indicationOfCode === undefined ? 0 : code / BANDS_PER_CODE,
    );
    this.start = Math.max(0, polarity === 1 ? lower.toNumber() : -upper.toNumber());
  }

  private interval(one: number, other: number): { lower: number; upper: number } {
    const [least, most] = one <= other ? [one, other] : [other, one];
    return this.polarity === 1 ? { lower: least, upper: most } : { lower: -most, upper: -least };
  }

  /**
   * Error of one side between two magnitudes, taken as magnitudes; `enough` is the size from which
   * on down a tighter bound has no use. The other side is not looked at.
   */
  private error(side: "low" | "high", between: Band, enough: number): number {
    const wanted = (side === "low") === (this.polarity === 1) ? "low" : "high";
    const asked = { low: Infinity, high: Infinity, [wanted]: Math.max(0, enough) };
    const bound = this.brackets.bound(this.interval(between.near, between.far), { enough: asked });
    return this.polarity * bound[wanted].proven;
  }

  /** No voltage of a band is indicated lower than this; exact as far as it is below `aim`. */
  private lowest(band: Band, aim: number): number {
    const least = Math.min(band.near, band.far);
    return below(least + this.error("low", band, least - aim));
  }

  /** No voltage of a band is indicated higher than this; exact as far as it is above `aim`. */
  private highest(band: Band, aim: number): number {
    const most = Math.max(band.near, band.far);
    return above(most + this.error("high", band, aim - most));
  }

  /** Extreme over bands that begin where it is expected; others are divided while they decide. */
  private extreme(from: number, to: number, sign: 1 | -1): number {
    const valueOf = (band: Band, least: number): number =>
      sign * (sign === 1 ? this.lowest(band, least) : this.highest(band, -least));
    const bands = doublingBands(from, to, this.narrow);
    const aim = valueOf(bands[0]!, Infinity);
    let found = aim;
    const open = bands.slice(1);
    for (let divisions = 0; open.length > 0;) {
      const band = open.shift()!;
      const value = valueOf(band, aim);
      if (value >= aim) continue;
      const isNarrow = Math.abs(band.far - band.near) <= this.narrow;
      if (value >= aim - this.narrow || isNarrow || divisions >= MOST_DIVISIONS) {
        found = Math.min(found, value);
        continue;
      }
      divisions += 1;
      const middle = (band.near + band.far) / 2;
      open.push({ near: band.near, far: middle }, { near: middle, far: band.far });
    }
    return sign * found;
  }

  /** Infimum of the indications of all magnitudes from a voltage to the end of the range. */
  infimumFrom(voltage: number, end: number): number {
    return this.extreme(voltage, end, 1);
  }

  /** Supremum of the indications of all magnitudes up to a voltage. */
  supremumUpTo(voltage: number): number {
    return this.extreme(voltage, Math.min(this.start, voltage), -1);
  }

  /** Lowest indication that a search finds above a voltage, close to it or within about a code. */
  witnessFrom(voltage: number, end: number): number {
    const code = 1 / scalingConstants(this.brackets.model.design).codesPerVolt.toNumber();
    const found = [this.narrow, code, 2 * code].map((width) => {
      const bracket = this.brackets.bracket(this.interval(voltage, Math.min(end, voltage + width)));
      const side = this.polarity === 1 ? bracket.low : bracket.high;
      return this.polarity * (side.witness[0]! + side.witnessed);
    });
    return Math.min(...found);
  }
}

/**
 * Largest magnitude up to which every voltage is indicated below a limit; 0 where none is. The
 * search starts from the limit and goes down by what the limit is exceeded.
 */
function surelyBelow(indications: Indications, limit: number): number {
  let voltage = limit;
  for (let step = 0; step < MOST_STEPS && voltage > 0; step += 1) {
    const excess = indications.supremumUpTo(voltage) - limit;
    if (excess < 0) return voltage;
    voltage -= Math.max(excess * 1.001, indications.narrow);
  }
  return 0;
}

/** Magnitude of the end of the range; throws where a line lies outside. */
function endOf(brackets: ErrorBrackets, voltage: number, polarity: Polarity): number {
  const { lower, upper } = brackets.model.design.measuringInterval;
  const end = polarity === 1 ? upper.toNumber() : -lower.toNumber();
  if (voltage > 0 && voltage < end) return end;
  throw new OutsideDomainError({
    path: "",
    quantity: "voltage of the line as loaded",
    permitted: `above 0 V and below the end of the measuring interval ${end} V`,
    received: `${voltage} V`,
  });
}

/**
 * No voltage up to a line is indicated above this, V: an indication beyond it shows a voltage above
 * the line for certain. Magnitudes. Throws OutsideDomainError for a line outside the range.
 */
export function highestIndication(
  brackets: ErrorBrackets,
  voltage: number,
  polarity: Polarity,
): number {
  endOf(brackets, voltage, polarity);
  return new Indications(brackets, polarity).supremumUpTo(voltage);
}

/**
 * What the proven bounds allow to be said at a voltage line: the indication below which nothing
 * above the line can lie, and the voltage up to which
 * every product is accepted. `voltage` is the magnitude of the line as loaded, V; products beyond
 * the measuring interval are not covered. Throws OutsideDomainError where the line lies outside.
 */
export function indicationLimits(
  brackets: ErrorBrackets,
  voltage: number,
  polarity: Polarity,
): IndicationLimits {
  const end = endOf(brackets, voltage, polarity);
  const indications = new Indications(brackets, polarity);
  const acceptBelow = indications.infimumFrom(voltage, end);
  const acceptWitness = indications.witnessFrom(voltage, end);
  invariant(acceptBelow <= acceptWitness, "no indication above the line is below its infimum");
  return {
    polarity,
    voltage,
    acceptBelow,
    acceptWitness,
    surelyAcceptedUpTo: surelyBelow(indications, acceptBelow),
  };
}
