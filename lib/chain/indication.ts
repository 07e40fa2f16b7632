import { add, constant, divide, multiply, named, subtract } from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import type { Design } from "../design/design.ts";
import type { Occasion } from "../design/quantity.ts";
import { scalingConstants } from "../design/scaling-constants.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { Quantisers } from "./quantiser.ts";

/** The code before rounding, for each reading the indication needs. */
export type Codes = Readonly<Partial<Record<Occasion, Expression>>>;

/** 2 to the fraction bits of the stored constants. */
export function fractionScale(design: Design): Decimal {
  return Decimal.ofInteger(2n ** BigInt(design.scaling.fractionBits));
}

/** Half of the smallest step ahead of a rounding, in its unit; zero where no tie can occur. */
export interface TieShifts {
  /** In result units. */
  readonly result: Decimal;
  /** In display steps. */
  readonly display: Decimal;
}

/** Whether the display is coarser than the result unit, so that it rounds once more. */
export function displayRounds({ scaling }: Design): boolean {
  const { displayResolution, resultUnit } = scaling;
  return displayResolution !== undefined && !displayResolution.equals(resultUnit);
}

/**
 * Integers divided by an even number can fall exactly on a rounding edge, where evaluators of the
 * printed equation may differ. Half of the smallest step is added ahead of such a rounding: it
 * changes no rounded value and keeps every argument off the edges.
 */
export function tieShifts(design: Design): TieShifts {
  const { fractionBits, resultUnit, displayResolution } = design.scaling;
  const half = Decimal.parse("0.5");
  const whole = fractionBits === 0 && design.scaling.rounding === "nearest";
  const result = whole ? Decimal.zero : half.divide(fractionScale(design), 30, "down");
  if (displayResolution === undefined || !displayRounds(design))
    return { result, display: Decimal.zero };
  const ratio = displayResolution.divide(resultUnit, 30, "down");
  const even = ratio.multiply(half).roundDown(0).multiply(Decimal.ofInteger(2)).equals(ratio);
  return { result, display: even ? half.divide(ratio, 30, "down") : Decimal.zero };
}

function roundedCode(codes: Codes, occasion: Occasion, quantisers: Quantisers): Expression {
  return quantisers.round(codes[occasion]!, {
    shown: `code_${occasion}`,
    symbol: `rounding_${occasion}`,
    mode: "nearest",
    occasion,
  });
}

interface Constants {
  readonly multiplier: Expression;
  readonly addend: Expression;
}

/** Multiplier and addend as firmware stores them: from the drawing, or from adjustment readings. */
function storedConstants(design: Design, codes: Codes, quantisers: Quantisers): Constants {
  const { adjustment, scaling } = design;
  const fixed = scalingConstants(design);
  if (adjustment.kind === "none")
    return { multiplier: constant(fixed.multiplier), addend: constant(fixed.addend) };
  const high = adjustment.kind === "gain" ? adjustment.at : adjustment.high;
  const low =
    adjustment.kind === "gain"
      ? { voltage: Decimal.ofInteger(0), code: divide(constant(fixed.zeroCode256), 256) }
      : {
          voltage: adjustment.low.voltage,
          code: roundedCode(codes, "adjustLow", quantisers),
        };
  const highCode = roundedCode(codes, "adjustHigh", quantisers);
  const units = (volts: Decimal): Expression =>
    divide(constant(volts.multiply(fractionScale(design))), scaling.resultUnit);
  const multiplier = quantisers.round(
    divide(units(high.voltage.subtract(low.voltage)), subtract(highCode, low.code)),
    {
      shown: "multiplier",
      symbol: "rounding_multiplier",
      mode: "nearest",
      occasion: "all",
    },
  );
  const addend = quantisers.round(subtract(units(low.voltage), multiply(low.code, multiplier)), {
    shown: "addend",
    symbol: "rounding_addend",
    mode: "nearest",
    occasion: "all",
  });
  return { multiplier, addend };
}

/**
 * From codes to the indication, V, as the firmware computes it: code times multiplier plus addend,
 * shifted right by the fraction bits, then rounded to the display where the display is coarser.
 */
export function indicationOf(design: Design, codes: Codes, quantisers: Quantisers): Expression {
  const { scaling } = design;
  const { multiplier, addend } = storedConstants(design, codes, quantisers);
  const code = roundedCode(codes, "use", quantisers);
  const shifts = tieShifts(design);
  const scaled = divide(add(multiply(code, multiplier), addend), fractionScale(design));
  const result = quantisers.round(add(scaled, shifts.result), {
    shown: "result",
    symbol: "rounding_result",
    mode: scaling.rounding,
    occasion: "use",
    // Without fraction bits the argument is an integer: nothing is rounded.
    clearance: scaling.fractionBits === 0 ? Decimal.parse("0.5") : shifts.result,
  });
  const { displayResolution } = scaling;
  if (displayResolution === undefined || !displayRounds(design))
    return named("indication", multiply(result, scaling.resultUnit));
  const steps = quantisers.round(
    add(divide(multiply(result, scaling.resultUnit), displayResolution), shifts.display),
    {
      shown: "display",
      symbol: "rounding_display",
      mode: "nearest",
      occasion: "use",
      clearance: shifts.display,
    },
  );
  return named("indication", multiply(steps, displayResolution));
}
