import { measurementModel } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import { checkRelations } from "../design/check-relations.ts";
import type { Design } from "../design/design.ts";
import { FaultList } from "../design/fault-list.ts";
import type { Limits } from "../design/quantity.ts";
import { InvalidInputError, UnboundedResultError } from "../errors.ts";
import type { Box } from "../guarantee/box.ts";
import { copyBox } from "../guarantee/box.ts";
import { Domain } from "../guarantee/domain.ts";
import { checkCodesInside } from "../guarantee/range-check.ts";
import { Decimal } from "../quantity/decimal.ts";
import { readDemands } from "./demand.ts";
import { LimitedDomain } from "./limited-domain.ts";
import { UsedShare } from "./used-share.ts";
import type { Asked } from "./used-share.ts";

/** How much worse one figure of a part may become, every other as it is. */
export interface Slack {
  readonly part: string;
  /** Name of the quantity without its occasion, and what it is. */
  readonly figure: string;
  readonly meaning: string;
  /** The requirement is proven to hold with the limits multiplied by this; absent: not even at 0. */
  readonly holdsAt?: number;
  /** With this multiple an error that is not allowed is reached; absent: not up to a millionfold. */
  readonly failsAt?: number;
}

/** What would be left of the error if one part were perfect. */
export interface PerfectPart {
  readonly part: string;
  /** Proven share of the allowed error without the limits of this part. */
  readonly used: number;
}

/** The design with another resolution and the converter's other errors the same in volts. */
export interface Resolution {
  readonly bits: number;
  /** Absent where such a design cannot be built. */
  readonly used?: number;
}

/** What follows from changing one thing of a design. */
export interface WhatIf {
  readonly used: number;
  /** The least slack first. */
  readonly slacks: readonly Slack[];
  /** The part whose upgrade buys most first. */
  readonly parts: readonly PerfectPart[];
  readonly resolutions: readonly Resolution[];
  /** Least bits from which more buy less than a hundredth of the allowed error in all. */
  readonly enoughBits?: number;
}

const MOST = 1e6;
const STEPS = 24;
/** A slack is known when its two ends differ by less than this share. */
const CLOSE = 1e-3;
const BITS = Array.from({ length: 13 }, (_, step) => step + 6);
const WORTH_A_BIT = 0.01;

/** Slots of one figure on all its occasions. */
interface Figure {
  readonly part: string;
  readonly figure: string;
  readonly meaning: string;
  readonly slots: readonly number[];
}

/** Figures that are limits of an error; ranges such as the ambient are conditions, not parts. */
function figuresOf({ quantities }: MeasurementModel): readonly Figure[] {
  const figures = new Map<string, Figure & { readonly slots: number[] }>();
  for (const [index, { name, part, meaning, lower, upper }] of quantities.entries()) {
    if (lower.sign() > 0 || upper.sign() < 0 || (lower.isZero() && upper.isZero())) continue;
    const figure = name.replace(/_(?:use|adjustLow|adjustHigh)$/, "");
    const known = figures.get(figure);
    if (known === undefined) figures.set(figure, { part, figure, meaning, slots: [index + 1] });
    else known.slots.push(index + 1);
  }
  return [...figures.values()];
}

function scaled(whole: Box, slots: readonly number[], factor: number): Box {
  const box = copyBox(whole);
  for (const slot of slots) {
    box.lower[slot] = whole.lower[slot]! * factor;
    box.upper[slot] = whole.upper[slot]! * factor;
  }
  return box;
}

/** Narrows a change of a predicate down to a small ratio: true at `holds`, false at `fails`. */
function turning(
  ends: { readonly holds: number; readonly fails: number },
  isTrue: (factor: number) => boolean,
): { readonly holds: number; readonly fails: number } {
  let { holds, fails } = ends;
  for (let step = 0; step < STEPS && fails - holds > CLOSE * fails; step += 1) {
    const middle = holds > 0 ? Math.sqrt(holds * fails) : fails / 16;
    if (isTrue(middle)) holds = middle;
    else fails = middle;
  }
  return { holds, fails };
}

class WhatIfAnalysis {
  private readonly model: MeasurementModel;
  private readonly whole: Box;
  private readonly share: UsedShare;

  constructor(design: Design, asked: Asked) {
    this.model = measurementModel(design);
    const domain = new Domain(this.model);
    checkCodesInside(this.model, domain);
    this.whole = domain.whole();
    this.share = new UsedShare(this.model, domain, asked);
  }

  used(): number {
    return this.share.proven(this.whole);
  }

  private codesInside(limits: Box): boolean {
    try {
      checkCodesInside(this.model, new LimitedDomain(this.model, limits));
      return true;
    } catch (error) {
      if (error instanceof InvalidInputError || error instanceof UnboundedResultError) return false;
      throw error;
    }
  }

  private slackOf({ slots, ...named }: Figure): Slack {
    const at = (factor: number): Box => scaled(this.whole, slots, factor);
    const holds = (factor: number): boolean =>
      this.share.isMet(at(factor)) && this.codesInside(at(factor));
    const isAllowed = (factor: number): boolean => !this.share.isExceeded(at(factor));
    const proven = !holds(0)
      ? undefined
      : holds(MOST)
        ? MOST
        : turning({ holds: holds(1) ? 1 : 0, fails: holds(1) ? MOST : 1 }, holds).holds;
    const from = proven ?? 0;
    const failsAt = !isAllowed(from)
      ? from
      : isAllowed(MOST)
        ? undefined
        : turning({ holds: from, fails: MOST }, isAllowed).fails;
    return {
      ...named,
      ...(proven === undefined ? {} : { holdsAt: proven }),
      ...(failsAt === undefined ? {} : { failsAt }),
    };
  }

  slacks(): readonly Slack[] {
    return figuresOf(this.model)
      .map((figure) => this.slackOf(figure))
      .sort((one, other) => (one.holdsAt ?? 0) - (other.holdsAt ?? 0));
  }

  parts(): readonly PerfectPart[] {
    const slots = new Map<string, number[]>();
    for (const { part, slots: own } of figuresOf(this.model))
      slots.set(part, [...(slots.get(part) ?? []), ...own]);
    return [...slots]
      .map(([part, own]) => ({ part, used: this.share.proven(scaled(this.whole, own, 0)) }))
      .sort((one, other) => one.used - other.used);
  }
}

/** The converter with other bits; errors in LSB keep their size in volts. */
function withBits(design: Design, bits: number): Design {
  const {
    bits: _,
    offset,
    offsetTempco,
    integralNonlinearity,
    totalUnadjustedError,
    ...adc
  } = design.adc;
  const power = Decimal.ofInteger(2n ** BigInt(Math.abs(bits - design.adc.bits)));
  const factor = bits >= design.adc.bits ? power : Decimal.one.divide(power, 30, "up");
  const times = (limits: Limits): Limits => ({
    ...limits,
    lower: limits.lower.multiply(factor),
    upper: limits.upper.multiply(factor),
  });
  const changed = (key: string, limits: Limits | undefined) =>
    limits === undefined ? {} : { [key]: times(limits) };
  const { differentialNonlinearity: dnl, noise } = adc;
  return {
    ...design,
    adc: {
      ...adc,
      bits,
      ...(noise === undefined ? {} : { noise: noise.multiply(factor) }),
      ...(dnl === undefined ? {} : { differentialNonlinearity: dnl }),
      ...changed("offset", offset),
      ...changed("offsetTempco", offsetTempco),
      ...changed("integralNonlinearity", integralNonlinearity),
      ...changed("totalUnadjustedError", totalUnadjustedError),
    },
  };
}

function resolutionOf(design: Design, bits: number, asked: Asked): Resolution {
  const changed = withBits(design, bits);
  const faults = new FaultList();
  checkRelations(changed, faults);
  if (faults.faults.length > 0) return { bits };
  try {
    const used = new WhatIfAnalysis(changed, asked).used();
    return used < Infinity ? { bits, used } : { bits };
  } catch (error) {
    if (error instanceof InvalidInputError || error instanceof UnboundedResultError)
      return { bits };
    throw error;
  }
}

/**
 * What one change of a design does to texts such as "5 % at 34 V": how much worse each figure may
 * become, what a perfect part in each place would leave, and what other resolutions would do.
 *
 * Throws InvalidInputError for a text that is no requirement, and where codes
 * of the design itself can leave the converter.
 */
export function whatIf(
  design: Design,
  require: readonly string[],
  neighbours: readonly Decimal[] = [],
): WhatIf {
  const asked = { demands: readDemands(require, design.measuringInterval), neighbours };
  const analysis = new WhatIfAnalysis(design, asked);
  const resolutions = BITS.map((bits) => resolutionOf(design, bits, asked));
  const known = resolutions.flatMap(({ bits, used }) =>
    used === undefined ? [] : [{ bits, used }],
  );
  const least = Math.min(...known.map(({ used }) => used));
  const enough = known.find(({ used }) => used - least <= WORTH_A_BIT);
  return {
    used: analysis.used(),
    slacks: analysis.slacks(),
    parts: analysis.parts(),
    resolutions,
    ...(enough === undefined ? {} : { enoughBits: enough.bits }),
  };
}
