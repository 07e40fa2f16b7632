import { add, constant, divide, multiply, named, subtract, symbol } from "../expression/build.ts";
import { Change } from "../expression/change.ts";
import type { Expression } from "../expression/node.ts";
import type { Design } from "../design/design.ts";
import type { Occasion } from "../design/quantity.ts";
import { scalingConstants } from "../design/scaling-constants.ts";
import { displayRounds, fractionScale, tieShifts } from "./indication.ts";
import type { Stage } from "./stage.ts";

/** Stages and input voltage of each reading. */
export interface Readings {
  readonly stages: Readonly<Partial<Record<Occasion, readonly Stage[]>>>;
  /** Voltage at the input of the stages, V. */
  readonly input: Readonly<Partial<Record<Occasion, Expression>>>;
  /** True voltage, V. */
  readonly voltage: Expression;
  readonly neverZero: (node: Expression) => boolean;
}

/** Reading of one occasion referred to the input by the gains of the base occasion. */
interface Referred {
  /** Offsets of the base reading referred to the input, summed over all stages, V. */
  readonly baseOffset: Expression;
  /** Product of the gains of the base reading, codes per volt. */
  readonly gain: Expression;
}

interface Follow {
  readonly base: readonly Stage[];
  readonly other: readonly Stage[];
  /** Input of the base reading, V. */
  readonly baseInput: Expression;
  /** What separates the two inputs beyond the stated separation, V. */
  readonly excess: Expression;
  /** Stated separation of the two inputs, V: it is added back where the whole is needed. */
  readonly separation: Expression;
}

/**
 * Follows the change between two readings through the stages, referred to the input:
 * e := e + g (w + s + e) + dm / A, with g the relative change of the stage's gain, w the base
 * reading, s the stated separation, dm the change of its offset and A the base gains so far.
 */
function followChange(change: Change, follow: Follow): Referred & { excess: Expression } {
  let { excess } = follow;
  let referred = follow.baseInput;
  let gain: Expression = constant(1);
  let baseOffset: Expression = constant(0);
  for (const [index, base] of follow.base.entries()) {
    const other = follow.other[index]!;
    const relative = change.relative(base.gain, other.gain);
    excess = add(excess, multiply(relative, add(referred, follow.separation, excess)));
    gain = multiply(gain, base.gain);
    excess = add(excess, divide(change.difference(base.offset, other.offset), gain));
    const offset = divide(base.offset, gain);
    baseOffset = add(baseOffset, offset);
    referred = add(referred, offset);
  }
  return { excess, gain, baseOffset };
}

function storageRounding(design: Design, codesFromLow: Expression): Expression {
  const { scaling } = design;
  const ofConstants = divide(
    multiply(
      scaling.resultUnit,
      add(multiply(codesFromLow, symbol("rounding_multiplier")), symbol("rounding_addend")),
    ),
    fractionScale(design),
  );
  const { displayResolution, resultUnit } = scaling;
  const shifts = tieShifts(design);
  const ofDisplay =
    displayResolution !== undefined && displayRounds(design)
      ? multiply(displayResolution, add(symbol("rounding_display"), shifts.display))
      : constant(0);
  return add(
    ofConstants,
    multiply(resultUnit, add(symbol("rounding_result"), shifts.result)),
    ofDisplay,
  );
}

function twoPointError(design: Design, readings: Readings): Expression {
  const { adjustment } = design;
  if (adjustment.kind !== "twoPoint") return constant(0);
  const { stages, input, voltage, neverZero } = readings;
  const change = new Change(neverZero);
  const lowVoltage = adjustment.low.voltage;
  const distance = adjustment.high.voltage.subtract(lowVoltage);
  const lowApplied = symbol("applied_adjustLow");
  const common = { base: stages.adjustLow!, baseInput: input.adjustLow! };
  const use = followChange(change, {
    ...common,
    other: stages.use!,
    excess: subtract(subtract(input.use!, voltage), lowApplied),
    separation: subtract(voltage, lowVoltage),
  });
  const high = followChange(change, {
    ...common,
    other: stages.adjustHigh!,
    excess: subtract(symbol("applied_adjustHigh"), lowApplied),
    separation: constant(distance),
  });
  const rounded = (occasion: Occasion): Expression =>
    divide(subtract(symbol(`rounding_${occasion}`), symbol("rounding_adjustLow")), use.gain);
  const fromLow = named("excess_use", add(use.excess, rounded("use")));
  const atHigh = named("excess_adjustHigh", add(high.excess, rounded("adjustHigh")));
  const away = subtract(voltage, lowVoltage);
  const ideal = divide(
    subtract(multiply(distance, fromLow), multiply(away, atHigh)),
    add(distance, atHigh),
  );
  return add(ideal, storageRounding(design, multiply(use.gain, add(away, fromLow))));
}

function gainError(design: Design, readings: Readings): Expression {
  const { adjustment } = design;
  if (adjustment.kind !== "gain") return constant(0);
  const { stages, input, voltage, neverZero } = readings;
  const change = new Change(neverZero);
  const at = adjustment.at.voltage;
  const applied = symbol("applied_adjustHigh");
  const use = followChange(change, {
    base: stages.adjustHigh!,
    other: stages.use!,
    baseInput: input.adjustHigh!,
    excess: subtract(subtract(input.use!, voltage), applied),
    separation: subtract(voltage, at),
  });
  const zero = divide(constant(scalingConstants(design).zeroCode256), 256);
  const residual = add(
    applied,
    use.baseOffset,
    divide(subtract(symbol("rounding_adjustHigh"), zero), use.gain),
  );
  const fromPoint = named(
    "excess_use",
    add(
      use.excess,
      divide(subtract(symbol("rounding_use"), symbol("rounding_adjustHigh")), use.gain),
    ),
  );
  const zeroError = named("excess_zero", residual);
  const ideal = divide(
    subtract(multiply(at, add(zeroError, fromPoint)), multiply(voltage, zeroError)),
    add(at, zeroError),
  );
  const codes = multiply(use.gain, add(voltage, zeroError, fromPoint));
  return add(ideal, storageRounding(design, codes));
}

/**
 * The error of indication of an adjusted chain in terms of what changed since the adjustment, V.
 * Identical to the bounded equation at every point; factors that both readings share are divided
 * out, which is what lets interval methods close the bracket. `undefined` without adjustment.
 */
export function errorSinceAdjustment(design: Design, readings: Readings): Expression | undefined {
  switch (design.adjustment.kind) {
    case "none":
      return undefined;
    case "gain":
      return gainError(design, readings);
    case "twoPoint":
      return twoPointError(design, readings);
  }
}
