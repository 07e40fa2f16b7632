import { Decimal } from "../quantity/decimal.ts";
import type { Design, Drift, Range } from "./design.ts";
import { onOccasion } from "./occasions.ts";
import type { Limits, Occasion, Origin, Quantity, QuantityKind } from "./quantity.ts";

/** Limits of a quantity that may lie anywhere between two values. */
export function between(lower: Decimal, upper: Decimal, origin: Origin): Limits {
  return { lower, upper, distribution: { shape: "rectangular" }, origin };
}

/** Limits of an error of either sign. */
export function within(limit: Decimal, origin: Origin): Limits {
  return between(limit.absolute().negate(), limit.absolute(), origin);
}

/** Origin of what the rated operating conditions declare. */
export const CONDITION: Origin = { basis: "guaranteed", document: "rated operating conditions" };

/** A quantity as a stage declares it. */
export interface Entry {
  readonly name: string;
  readonly meaning: string;
  readonly part: string;
  readonly unit: string;
  readonly limits: Limits;
  /** Zero when absent, or the middle of the limits where zero lies outside them. */
  readonly nominal?: Decimal;
}

/** Gathers quantities; knows the occasions of the design. */
export class Register {
  readonly quantities: Quantity[] = [];
  private readonly occasions: readonly Occasion[];

  constructor(occasions: readonly Occasion[]) {
    this.occasions = occasions;
  }

  put(kind: QuantityKind, occasion: Quantity["occasion"], entry: Entry): void {
    const { limits, nominal, ...rest } = entry;
    const insideZero =
      limits.lower.compare(Decimal.zero) <= 0 && limits.upper.compare(Decimal.zero) >= 0;
    const middle = limits.lower.add(limits.upper).multiply(Decimal.parse("0.5"));
    this.quantities.push({
      ...rest,
      ...limits,
      kind,
      occasion,
      nominal: nominal ?? (insideZero ? Decimal.zero : middle),
    });
  }

  /** A quantity of each reading, with limits that may depend on the reading. */
  each(
    kind: QuantityKind,
    entry: Omit<Entry, "limits">,
    limits: (o: Occasion) => Limits,
    nominal?: (o: Occasion) => Decimal,
  ): void {
    for (const occasion of this.occasions) {
      this.put(kind, occasion, {
        ...entry,
        name: onOccasion(entry.name, occasion),
        limits: limits(occasion),
        ...(nominal === undefined ? {} : { nominal: nominal(occasion) }),
      });
    }
  }
}

/** Limit of a drift after some years, by its own law; rounded up where the law has a root. */
export function driftLimit(drift: Drift, years: Decimal): Decimal {
  if (drift.law === "fixed") return years.isZero() ? Decimal.zero : drift.limit;
  const share = years.divide(drift.afterYears, 20, "up");
  return drift.limit.multiply(drift.law === "linear" ? share : share.squareRoot(20, "up"));
}

/** Puts the drift of a part before and since the adjustment, where it has one. */
export function putDrift(register: Register, design: Design, of: DriftOwner): void {
  const { id, part, drift } = of;
  if (drift === undefined) return;
  const { adjustment, conditions } = design;
  const sinceStart =
    adjustment.kind === "none" ? conditions.yearsSinceManufacture : conditions.yearsSinceAdjustment;
  if (adjustment.kind !== "none" && !adjustment.ageYears.isZero()) {
    register.put("drift", "all", {
      name: `${id}_driftBefore`,
      meaning: "relative drift from manufacture to adjustment",
      part,
      unit: "1",
      limits: within(driftLimit(drift, adjustment.ageYears), drift.origin),
    });
  }
  register.put("drift", "use", {
    name: onOccasion(`${id}_drift`, "use"),
    meaning:
      adjustment.kind === "none"
        ? "relative drift since manufacture"
        : "relative drift since adjustment",
    part,
    unit: "1",
    limits: within(driftLimit(drift, sinceStart), drift.origin),
  });
}

export interface DriftOwner {
  readonly id: string;
  readonly part: string;
  readonly drift: Drift | undefined;
}

/** Puts the own temperature rise of a part. */
export function putRise(register: Register, id: string, part: string, rise: Range): void {
  register.each(
    "environment",
    { name: `${id}_rise`, meaning: "own temperature rise above ambient", part, unit: "K" },
    () => between(rise.lower, rise.upper, CONDITION),
  );
}

/** Puts a figure that stays the same for one unit. */
export function putRatio(register: Register, name: string, meaning: string, of: RatioOf): void {
  register.put("production", "all", {
    name,
    meaning,
    part: of.part,
    unit: of.unit,
    limits: of.limits,
  });
}

export interface RatioOf {
  readonly part: string;
  readonly unit: string;
  readonly limits: Limits;
}
