import { measurementModel } from "../chain/measurement-model.ts";
import type { Design } from "../design/design.ts";
import { permittedErrorsOver } from "../design/requirement.ts";
import type { Requirement } from "../design/requirement.ts";
import { InvalidInputError, OutsideDomainError } from "../errors.ts";
import { bandsOf } from "../guarantee/bands.ts";
import type { VoltageBand } from "../guarantee/bands.ts";
import { ErrorBrackets } from "../guarantee/error-brackets.ts";
import { checkCodesInside } from "../guarantee/range-check.ts";
import { Decimal } from "../quantity/decimal.ts";

/** Proven errors at one voltage after some time since adjustment, or since manufacture. */
export interface ErrorAtAge {
  readonly years: number;
  /** V. */
  readonly low: number;
  readonly high: number;
}

/** How the proven error at one voltage grows. */
export interface ErrorGrowth {
  /** V. */
  readonly voltage: number;
  /** Ages at which a code can leave the converter are left out. */
  readonly ages: readonly ErrorAtAge[];
}

/** How long a promise on the error is kept. */
export interface KeptPromise {
  readonly id: string;
  readonly text: string;
  /**
   * Longest whole number of months after which the promise is still proven; "none" where it is not
   * proven even right after adjustment, "beyond" where it is at the longest time looked at.
   */
  readonly months: number | "none" | "beyond";
}

/** Growth of the error with time and how long each promise is kept. */
export interface CalibrationInterval {
  /** From when the time counts. */
  readonly since: "adjustment" | "manufacture";
  /** Years the design declares. */
  readonly declared: number;
  readonly growth: readonly ErrorGrowth[];
  readonly kept: readonly KeptPromise[];
  /** Longest time looked at, months. */
  readonly longest: number;
}

const MONTHS = Decimal.ofInteger(12);
const LONGEST_MONTHS = 120;
const AGES: readonly string[] = ["0", "0.5", "1", "2", "5", "10"];

/** Bands of the range are taken together and divided where the promise is not seen to be kept. */
const BANDS_TOGETHER = 32;
const COARSE_GAP = 1e-2;
const FINE_GAP = 2e-3;

function atAge(design: Design, years: Decimal): Design {
  const since =
    design.adjustment.kind === "none" ? "yearsSinceManufacture" : "yearsSinceAdjustment";
  return { ...design, conditions: { ...design.conditions, [since]: years } };
}

/** The voltages of a promise as stretches of true voltage, both polarities for a range. */
function stretchesOf(design: Design, promise: Requirement): readonly (readonly VoltageBand[])[] {
  const { at, from, to } = promise;
  if (at !== undefined) return at.map((voltage) => [{ lower: voltage, upper: voltage }]);
  const bands = bandsOf(design, []);
  const least = from ?? Decimal.zero;
  const most = to ?? Decimal.max(...ends(design));
  const part = (lower: Decimal, upper: Decimal): readonly VoltageBand[] =>
    bands
      .map((band) => ({
        lower: Decimal.max(band.lower, lower),
        upper: Decimal.min(band.upper, upper),
      }))
      .filter((band) => band.lower.compare(band.upper) < 0);
  const parts = [...part(most.negate(), least.negate()), ...part(least, most)];
  const stretches: VoltageBand[][] = [];
  for (const band of parts) {
    const last = stretches.at(-1);
    const isNext = last?.at(-1)?.upper.equals(band.lower) === true;
    if (last !== undefined && isNext && last.length < BANDS_TOGETHER) last.push(band);
    else stretches.push([band]);
  }
  return stretches;
}

function ends({ measuringInterval }: Design): readonly [Decimal, Decimal] {
  const { lower, upper } = measuringInterval;
  return [lower.absolute(), upper.absolute()];
}

/** Whether a promise is proven over contiguous bands, divided where they do not do together. */
function isKept(
  brackets: ErrorBrackets,
  promise: Requirement,
  stretch: readonly VoltageBand[],
): boolean {
  const [lower, upper] = [stretch[0]!.lower, stretch.at(-1)!.upper];
  const allowed = permittedErrorsOver(promise.statement, { from: lower, to: upper });
  const { high, low } = brackets.bound(
    { lower: lower.lowerNumber(), upper: upper.upperNumber() },
    { relativeGap: stretch.length > 1 ? COARSE_GAP : FINE_GAP },
  );
  if (high.proven <= allowed.upper && low.proven >= allowed.lower) return true;
  if (stretch.length === 1) return false;
  const middle = Math.ceil(stretch.length / 2);
  return (
    isKept(brackets, promise, stretch.slice(0, middle)) &&
    isKept(brackets, promise, stretch.slice(middle))
  );
}

/** Brackets of the design at ages, each made once. */
class Ages {
  private readonly design: Design;
  private readonly known = new Map<string, ErrorBrackets | undefined>();

  constructor(design: Design) {
    this.design = design;
  }

  /** Undefined where parts that old can drive codes out of the converter. */
  at(years: Decimal): ErrorBrackets | undefined {
    const key = years.toString();
    if (this.known.has(key)) return this.known.get(key);
    const brackets = this.bracketsAt(years);
    this.known.set(key, brackets);
    return brackets;
  }

  private bracketsAt(years: Decimal): ErrorBrackets | undefined {
    const model = measurementModel(atAge(this.design, years));
    const brackets = new ErrorBrackets(model);
    try {
      checkCodesInside(model, brackets.domain);
      return brackets;
    } catch (error) {
      if (error instanceof InvalidInputError) return undefined;
      throw error;
    }
  }
}

/** Limits of drift never shrink with time, so that what is kept late was kept before. */
function monthsKept(
  ages: Ages,
  promise: Requirement,
  stretches: readonly (readonly VoltageBand[])[],
): KeptPromise["months"] {
  const isKeptAfter = (months: number): boolean => {
    const years = Decimal.ofInteger(months).divide(MONTHS, 12, "up");
    const brackets = ages.at(years);
    return (
      brackets !== undefined && stretches.every((stretch) => isKept(brackets, promise, stretch))
    );
  };
  if (!isKeptAfter(0)) return "none";
  if (isKeptAfter(LONGEST_MONTHS)) return "beyond";
  let [kept, broken] = [0, LONGEST_MONTHS];
  while (broken - kept > 1) {
    const middle = Math.floor((kept + broken) / 2);
    if (isKeptAfter(middle)) kept = middle;
    else broken = middle;
  }
  return kept;
}

/**
 * How the proven error grows with time by each drift's own law, and for how many months each
 * promise is still proven: the longest calibration interval. Everything else is as the design
 * declares. `voltages` are those of the growth.
 *
 * Throws OutsideDomainError for a voltage outside the range, UnboundedResultError where limits are
 * too wide.
 */
export function calibrationInterval(
  design: Design,
  promises: readonly Requirement[],
  voltages: readonly Decimal[],
): CalibrationInterval {
  const { lower, upper } = design.measuringInterval;
  for (const voltage of voltages) {
    if (voltage.compare(lower) >= 0 && voltage.compare(upper) <= 0) continue;
    throw new OutsideDomainError({
      path: "voltages",
      quantity: "true voltage",
      permitted: `inside the measuring interval ${lower.toString()} V to ${upper.toString()} V`,
      received: `${voltage.toString()} V`,
    });
  }
  const ages = new Ages(design);
  const isAdjusted = design.adjustment.kind !== "none";
  const { yearsSinceAdjustment, yearsSinceManufacture } = design.conditions;
  return {
    since: isAdjusted ? "adjustment" : "manufacture",
    declared: (isAdjusted ? yearsSinceAdjustment : yearsSinceManufacture).toNumber(),
    growth: voltages.map((voltage) => ({
      voltage: voltage.toNumber(),
      ages: AGES.flatMap((text): ErrorAtAge[] => {
        const years = Decimal.parse(text);
        const band = { lower: voltage.lowerNumber(), upper: voltage.upperNumber() };
        const bound = ages.at(years)?.bound(band);
        if (bound === undefined) return [];
        return [{ years: years.toNumber(), low: bound.low.proven, high: bound.high.proven }];
      }),
    })),
    kept: promises.map((promise) => ({
      id: promise.id,
      text: promise.text,
      months: monthsKept(ages, promise, stretchesOf(design, promise)),
    })),
    longest: LONGEST_MONTHS,
  };
}
