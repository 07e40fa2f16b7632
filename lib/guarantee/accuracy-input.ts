import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { AccuracyPart, ProvenBand } from "./accuracy-part.ts";

/** What is asked of the fit. */
export interface AccuracyFitOptions extends AccuracyPart {
  /** Share of the indication as the user wants it, from 0 to less than 1; taken as it is. */
  readonly fixedShare?: Decimal;
  /** Constant part as the user wants it, V, zero or above; taken as it is. */
  readonly fixedVolts?: Decimal;
}

function volts(value: Decimal): string {
  return `${value.toString()} V`;
}

function bandFaults({ lower, upper, low, high }: ProvenBand, path: string): Fault[] {
  const faults: Fault[] = [];
  if (lower.compare(upper) > 0) {
    const quantity = "lower end of the band";
    const permitted = `at most its upper end ${volts(upper)}`;
    faults.push({ path: `${path}.lower`, quantity, permitted, received: volts(lower) });
  }
  for (const [name, value] of [["low", low] as const, ["high", high] as const]) {
    if (Number.isFinite(value)) continue;
    const quantity = `proven ${name} error`;
    faults.push({ path: `${path}.${name}`, quantity, permitted: "finite", received: `${value} V` });
  }
  if (low > high) {
    const permitted = `at most the proven high error ${high} V`;
    faults.push({
      path: `${path}.low`,
      quantity: "proven low error",
      permitted,
      received: `${low} V`,
    });
  }
  return faults;
}

function ascending(bands: readonly ProvenBand[]): ProvenBand[] {
  return [...bands].sort((one, other) => one.lower.compare(other.lower));
}

/** Voltages between bands for which nothing is proven. */
function gapFaults(bands: readonly ProvenBand[]): Fault[] {
  const faults: Fault[] = [];
  let reached: Decimal | undefined;
  for (const band of ascending(bands)) {
    if (reached !== undefined && band.lower.compare(reached) > 0) {
      faults.push({
        path: `bands[${bands.indexOf(band)}].lower`,
        quantity: "lower end of the band",
        permitted: `at most ${volts(reached)}, where the bands below it end`,
        received: volts(band.lower),
        hint: "the bands must be contiguous",
      });
    }
    reached = reached === undefined ? band.upper : Decimal.max(reached, band.upper);
  }
  return faults;
}

/** Least and largest magnitude of the voltages of contiguous bands. */
function reachOf(bands: readonly ProvenBand[]): { least: Decimal; largest: Decimal } {
  const lower = bands.map((band) => band.lower).reduce((one, other) => Decimal.min(one, other));
  const upper = bands.map((band) => band.upper).reduce((one, other) => Decimal.max(one, other));
  const least = Decimal.max(Decimal.max(lower, upper.negate()), Decimal.zero);
  return { least, largest: Decimal.max(lower.negate(), upper) };
}

function partFaults({ from, to, fixedShare, fixedVolts }: AccuracyFitOptions): Fault[] {
  const quantity = "lower end of the stated part of the range";
  const faults: Fault[] = [];
  const isFixed = fixedShare !== undefined || fixedVolts !== undefined;
  if (from.sign() < 0 || (from.isZero() && !isFixed)) {
    faults.push({
      path: "from",
      quantity,
      permitted: isFixed ? "zero or above" : "greater than zero",
      received: volts(from),
      hint: isFixed
        ? "the part is stated by the magnitude of the voltage and holds for both polarities"
        : "the mean over log |V| needs it; from 0 V on, fix the share or the volts",
    });
  }
  if (from.compare(to) > 0) {
    const permitted = `at most its upper end ${volts(to)}`;
    faults.push({ path: "from", quantity, permitted, received: volts(from) });
  }
  return faults;
}

function reachFaults({ from, to }: AccuracyPart, bands: readonly ProvenBand[]): Fault[] {
  const { least, largest } = reachOf(bands);
  const faults: Fault[] = [];
  const add = (end: "lower" | "upper", value: Decimal, permitted: string): void => {
    const quantity = `${end} end of the stated part of the range`;
    const hint = "beyond the bands nothing is proven";
    const path = end === "lower" ? "from" : "to";
    faults.push({ path, quantity, permitted, received: volts(value), hint });
  };
  if (from.sign() >= 0 && from.compare(least) < 0) add("lower", from, `at least ${volts(least)}`);
  if (to.compare(largest) > 0) add("upper", to, `at most ${volts(largest)}`);
  return faults;
}

function fixedFaults({ fixedShare, fixedVolts }: AccuracyFitOptions): Fault[] {
  const faults: Fault[] = [];
  if (fixedShare !== undefined && (fixedShare.sign() < 0 || fixedShare.compare(Decimal.one) >= 0)) {
    const [quantity, permitted] = ["share of indication", "from 0 to less than 1"];
    faults.push({ path: "fixedShare", quantity, permitted, received: fixedShare.toString() });
  }
  if (fixedVolts !== undefined && fixedVolts.sign() < 0) {
    const [quantity, permitted] = ["constant part of the statement", "zero or above"];
    faults.push({ path: "fixedVolts", quantity, permitted, received: volts(fixedVolts) });
  }
  return faults;
}

/**
 * Throws InvalidInputError with every fault of the bands and of what is asked: bands that are none,
 * turned round, not finite or not contiguous; a part turned round, below or at zero, or reaching
 * beyond the bands on both polarities; a fixed figure out of its domain.
 */
export function checkAccuracyInput(
  bands: readonly ProvenBand[],
  options: AccuracyFitOptions,
): void {
  const faults = bands.flatMap((band, index) => bandFaults(band, `bands[${index}]`));
  if (bands.length === 0) {
    const [quantity, permitted] = ["number of proven bands", "at least one"];
    faults.push({ path: "bands", quantity, permitted, received: "0" });
  } else if (faults.length === 0) {
    faults.push(...gapFaults(bands), ...reachFaults(options, bands));
  }
  faults.push(...partFaults(options), ...fixedFaults(options));
  if (faults.length > 0) throw new InvalidInputError("accuracy statement", faults);
}
