import type { Design } from "../../lib/design/design.ts";
import type { Occasion } from "../../lib/design/quantity.ts";
import { scalingConstants } from "../../lib/design/scaling-constants.ts";
import { DrawnValues } from "../../sim/drawn-values.ts";
import { drawFrontEnd } from "../../sim/front-end.ts";
import { positionOfPin } from "../../sim/static-transfer.ts";

interface Known {
  /** V. */
  readonly voltage: number;
  /** LSB, before rounding. */
  readonly position: number;
}

/** The two points through which an unrounded unit draws its straight line. */
function lineOf(design: Design, at: (occasion: Occasion, pin: number) => number): [Known, Known] {
  const { adjustment, scaling } = design;
  const constants = scalingConstants(design);
  const point = (occasion: Occasion, voltage: number): Known => ({
    voltage,
    position: at(occasion, voltage),
  });
  switch (adjustment.kind) {
    case "none": {
      const unit = scaling.resultUnit.toNumber() / 2 ** scaling.fractionBits;
      const addend = unit * Number(constants.addend);
      const slope = unit * Number(constants.multiplier);
      return [
        { voltage: addend, position: 0 },
        { voltage: addend + slope, position: 1 },
      ];
    }
    case "gain": {
      const zero = { voltage: 0, position: Number(constants.zeroCode256) / 256 };
      return [zero, point("adjustHigh", adjustment.at.voltage.toNumber())];
    }
    case "twoPoint": {
      const { low, high } = adjustment;
      return [
        point("adjustLow", low.voltage.toNumber()),
        point("adjustHigh", high.voltage.toNumber()),
      ];
    }
  }
}

/**
 * Error of indication, V, of a tester with the given parts at a constant voltage, without any
 * rounding: quick, and good enough to choose parts that are worth a run. It judges nothing.
 */
export function foreseenError(
  design: Design,
  quantities: Readonly<Record<string, number>>,
  voltage: number,
): number {
  const drawn = new DrawnValues(design, quantities, { outsideLimits: false });
  const [low, high] = lineOf(design, (occasion, pin) =>
    positionOfPin(drawFrontEnd(drawn, occasion), pin + drawn.on("applied", occasion)),
  );
  const position = positionOfPin(drawFrontEnd(drawn, "use"), voltage);
  const slope = (high.voltage - low.voltage) / (high.position - low.position);
  return low.voltage + slope * (position - low.position) - voltage;
}
