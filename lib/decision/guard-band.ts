import { OutsideDomainError } from "../errors.ts";
import { requireFinite, requireNotNegative, requirePositive } from "../quantity/number-domain.ts";
import { normalProbability } from "../statistics/normal-probability.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";

/** How far inside a tolerance limit a measured value must lie to be accepted. */
export type GuardBandRule =
  /** Accepted up to the limit itself; the risk at the limit is shared half and half. */
  | { readonly kind: "simpleAcceptance" }
  /** Guard band of a multiple of the expanded uncertainty U = 2 u. */
  | { readonly kind: "expandedUncertainty"; readonly multiple: number }
  /** The risk of accepting an item that does not conform stays below this for every value. */
  | { readonly kind: "specificRisk"; readonly risk: number };

/** A guard band and what it buys. */
export interface GuardBand {
  /** Width, in the unit of the measured quantity. */
  readonly width: number;
  /** Width over the expanded uncertainty U = 2 u; 0 where U is 0. */
  readonly multiple: number;
  /** Largest specific risk of an accepted item: that of a value at the acceptance limit. */
  readonly largestSpecificRisk: number;
}

/** Coverage factor of the expanded uncertainty in all rules. */
export const COVERAGE_FACTOR = 2;

function refuseRisk(risk: number): never {
  throw new OutsideDomainError({
    path: "",
    quantity: "largest specific risk",
    permitted: "above 0 and at most 0.5",
    received: String(risk),
  });
}

function multipleOf(rule: GuardBandRule): number {
  switch (rule.kind) {
    case "simpleAcceptance":
      return 0;
    case "expandedUncertainty":
      requireNotNegative([
        { quantity: "multiple of the expanded uncertainty", value: rule.multiple, unit: "1" },
      ]);
      return rule.multiple;
    case "specificRisk":
      if (!(rule.risk > 0 && rule.risk <= 0.5)) refuseRisk(rule.risk);
      // An upper quantile would be taken of one minus the risk, which has lost its digits.
      return rule.risk === 0.5 ? 0 : -normalQuantile(rule.risk) / COVERAGE_FACTOR;
  }
}

/**
 * Guard band at one tolerance limit for a measured value with a standard uncertainty u, normal, and
 * no knowledge of the item beside the measured value. w = U accepts wrongly with at most 2.3 %; w =
 * 0.83 U with at most 5 %: one-sided, since an item fails beyond one limit only.
 *
 * Throws OutsideDomainError for a risk outside 0 to 0.5, a negative multiple, or an uncertainty
 * that is negative or not finite.
 *
 * Source: JCGM 106:2012, 8.3; ILAC-G8:09/2019, 4.2; ISO 14253-1:2017 for 0.83 U (from memory).
 */
export function guardBand(rule: GuardBandRule, standardUncertainty: number): GuardBand {
  requireNotNegative([
    { quantity: "standard uncertainty", value: standardUncertainty, unit: "of the value" },
  ]);
  const multiple = multipleOf(rule);
  return {
    width: multiple * COVERAGE_FACTOR * standardUncertainty,
    multiple: standardUncertainty === 0 ? 0 : multiple,
    largestSpecificRisk: normalProbability(-multiple * COVERAGE_FACTOR),
  };
}

/** Statement on one measured value beside one upper tolerance limit. */
export type FourWayVerdict = "pass" | "conditionalPass" | "conditionalFail" | "fail";

/**
 * Non-binary statement of conformity at an upper limit: pass up to a guard band below it,
 * conditional pass up to it, conditional fail up to a guard band above it, fail beyond. Throws
 * OutsideDomainError for numbers that are not finite and for a negative guard band.
 *
 * Source: ILAC-G8:09/2019, 4.2.3.
 */
export function fourWayVerdict(
  measured: number,
  { limit, guardBand: width }: { readonly limit: number; readonly guardBand: number },
): FourWayVerdict {
  requireFinite([
    { quantity: "measured value", value: measured, unit: "" },
    { quantity: "tolerance limit", value: limit, unit: "" },
  ]);
  requireNotNegative([{ quantity: "guard band", value: width, unit: "" }]);
  if (measured <= limit - width) return "pass";
  if (measured <= limit) return "conditionalPass";
  return measured <= limit + width ? "conditionalFail" : "fail";
}

/** Published ways to draw acceptance limits in from a two-sided tolerance. */
export type GuardBandMethod =
  /** sqrt(1 - 1 / TUR^2). */
  | "rootSumSquare"
  /** 1 - 1 / TUR: the whole expanded uncertainty. */
  | "expandedUncertainty"
  /** 1.25 - 1 / TUR, none above 4:1; NCSL RP-10. */
  | "rp10"
  /** Holds the probability of false acceptance to about 2 % whatever the items are like. */
  | "managedRisk";

/**
 * Factor by which a symmetric tolerance is multiplied to give the acceptance limits, 0 to 1, for a
 * test uncertainty ratio: tolerance over expanded uncertainty. Throws OutsideDomainError unless the
 * ratio is finite and above zero.
 *
 * Source: published formulas of calibration practice; "managedRisk" is known there as method 6.
 */
export function guardBandMultiplier(method: GuardBandMethod, ratio: number): number {
  requirePositive([{ quantity: "test uncertainty ratio", value: ratio, unit: "1" }]);
  const plain = (): number => {
    switch (method) {
      case "rootSumSquare":
        return ratio <= 1 ? 0 : Math.sqrt(1 - 1 / (ratio * ratio));
      case "expandedUncertainty":
        return 1 - 1 / ratio;
      case "rp10":
        return 1.25 - 1 / ratio;
      case "managedRisk":
        return 1 - (1.04 - Math.exp(0.38 * Math.log(ratio) - 0.54)) / ratio;
    }
  };
  return Math.min(1, Math.max(0, plain()));
}
