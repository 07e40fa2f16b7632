import { Decimal } from "../quantity/decimal.ts";
import type { Design } from "./design.ts";
import { AMBIENT_ORIGIN_CELSIUS } from "./occasions.ts";
import type { QuantityKind } from "./quantity.ts";
import { between, CONDITION, putDrift, within } from "./quantity-register.ts";
import type { Entry, Register } from "./quantity-register.ts";

/** When the reading is taken, and what the product does meanwhile. */
export function putTiming(register: Register, design: Design): void {
  const { timing, filter } = design;
  const put = (kind: QuantityKind, occasion: "all" | "use", entry: Omit<Entry, "part">): void =>
    register.put(kind, occasion, { ...entry, part: "timing" });
  if (timing === undefined && filter === undefined) return;
  put("environment", "use", {
    name: "decay_share_use",
    meaning: "rate of decay of the product over the fastest possible",
    unit: "1",
    limits: between(Decimal.zero, Decimal.one, CONDITION),
    nominal: Decimal.one,
  });
  if (filter !== undefined) {
    register.put("production", "all", {
      name: "filter_tolerance",
      meaning: "relative tolerance of the filter's time constant",
      part: "filter",
      unit: "1",
      limits: within(filter.tolerance, filter.origin),
    });
  }
  if (filter !== undefined) {
    put("environment", "use", {
      name: "mixture_use",
      meaning: "share of the largest excess of a mixture of time constants in filter and lateness",
      unit: "1",
      limits: between(Decimal.zero, Decimal.one, CONDITION),
      nominal: Decimal.zero,
    });
  }
  if (timing === undefined) return;
  put("reading", "use", {
    name: "latency_use",
    meaning: "sampling late by recognition of the opening",
    unit: "s",
    limits: between(timing.latency.lower, timing.latency.upper, CONDITION),
  });
  put("reading", "use", {
    name: "grid_use",
    meaning: "sampling late by the sample grid",
    unit: "s",
    limits: between(Decimal.zero, Decimal.one.divide(timing.sampleRate, 20, "up"), CONDITION),
  });
  put("production", "all", {
    name: "clock_tolerance",
    meaning: "relative tolerance of the clock period",
    unit: "1",
    limits: timing.clockTolerance,
  });
  putDrift(register, design, { id: "clock", part: "timing", drift: timing.clockDrift });
  if (timing.jitter !== undefined) {
    const cut = design.conditions.noiseCut;
    put("reading", "use", {
      name: "jitter_use",
      meaning: "aperture jitter, cut",
      unit: "s",
      limits: {
        ...within(timing.jitter.multiply(cut), CONDITION),
        distribution: { shape: "normal", coverageFactor: cut.toNumber() },
      },
    });
  }
  if (timing.window !== undefined) {
    put("environment", "use", {
      name: "window_curvature_use",
      meaning: "share of the largest curvature of the decay inside the averaging window",
      unit: "1",
      limits: between(Decimal.zero, Decimal.one, CONDITION),
    });
  }
}

/** Voltages applied for adjustment. */
export function putAdjustment(register: Register, design: Design): void {
  const { adjustment } = design;
  if (adjustment.kind === "none") return;
  const points =
    adjustment.kind === "gain"
      ? ([["adjustHigh", adjustment.at]] as const)
      : ([
          ["adjustLow", adjustment.low],
          ["adjustHigh", adjustment.high],
        ] as const);
  for (const [occasion, point] of points) {
    register.put("production", occasion, {
      name: `applied_${occasion}`,
      meaning: "error of the voltage applied for adjustment",
      part: "adjustment",
      unit: "V",
      limits: point.appliedError,
    });
  }
}

/** Ambient temperature and supply. */
export function putEnvironment(register: Register, design: Design): void {
  const { adjustment, conditions } = design;
  register.each(
    "environment",
    {
      name: "ambient",
      meaning: `ambient temperature above ${AMBIENT_ORIGIN_CELSIUS.toString()} degrees Celsius`,
      part: "conditions",
      unit: "K",
    },
    (occasion) => {
      const range =
        occasion === "use" || adjustment.kind === "none"
          ? conditions.ambientCelsius
          : adjustment.ambientCelsius;
      return between(
        range.lower.subtract(AMBIENT_ORIGIN_CELSIUS),
        range.upper.subtract(AMBIENT_ORIGIN_CELSIUS),
        CONDITION,
      );
    },
  );
  const needsSupply =
    design.board?.nodeToSupply !== undefined ||
    design.reference.lineRegulation !== undefined ||
    design.buffer?.supplyRejection !== undefined;
  if (!needsSupply) return;
  register.each(
    "environment",
    { name: "supply", meaning: "supply voltage", part: "conditions", unit: "V" },
    () => between(conditions.supply.lower, conditions.supply.upper, CONDITION),
  );
}
