import { OutsideDomainError } from "../lib/errors.ts";
import type { AdjustmentPoint, Design } from "../lib/design/design.ts";
import { onOccasion } from "../lib/design/occasions.ts";
import type { Occasion } from "../lib/design/quantity.ts";
import { scalingConstants } from "../lib/design/scaling-constants.ts";
import type { DrawnValues } from "./drawn-values.ts";
import { drawFrontEnd } from "./front-end.ts";
import { STREAMS_PER_CHANNEL } from "./noise.ts";
import type { NoiseAdder } from "./noise.ts";
import { buildQuantiser, codeOf } from "./quantiser.ts";
import type { TransitionCurve } from "./transition-curve.ts";
import type { Sampling } from "./scenario.ts";
import { StaticTransfer } from "./static-transfer.ts";

/** Integers by which firmware turns a code into result units, as stored in one unit. */
export interface StoredConstants {
  /** Result units per code times 2^fractionBits. */
  readonly multiplier: number;
  /** Result units at code zero times 2^fractionBits. */
  readonly addend: number;
}

/** What the adjustment of one channel needs. */
export interface AdjustedChannel {
  readonly index: number;
  readonly drawn: DrawnValues;
  readonly transitions: Readonly<Partial<Record<Occasion, TransitionCurve>>>;
  readonly noise: NoiseAdder;
  readonly charge?: Sampling["charge"];
}

/** Mean code of the readings of one adjustment point. */
function readPoint(channel: AdjustedChannel, occasion: Occasion, point: AdjustmentPoint): number {
  const { drawn, index, noise, transitions } = channel;
  const { adjustment } = drawn.design;
  const count = adjustment.kind === "none" ? 1 : adjustment.averagedReadings;
  const frontEnd = drawFrontEnd(drawn, occasion, channel.charge);
  const quantiser = buildQuantiser(frontEnd, transitions[occasion], { withoutTable: true });
  const applied = point.voltage.toNumber() + drawn.lasting(onOccasion("applied", occasion));
  const node = new StaticTransfer(frontEnd).linearNode(applied);
  const disturbance = new Float64Array(count);
  const own = occasion === "adjustLow" ? 2 : 3;
  noise(disturbance, { stream: index * STREAMS_PER_CHANNEL + own, first: 0, scale: 1 });
  let sum = 0;
  for (const lsb of disturbance) sum += codeOf(quantiser, node + quantiser.voltsPerCode * lsb);
  return sum / count;
}

function nearest(value: number): number {
  return Math.floor(value + 0.5);
}

function between(design: Design, points: Readonly<Record<"low" | "high", CodeAt>>) {
  const { low, high } = points;
  const { scaling } = design;
  if (high.code === low.code) {
    throw new OutsideDomainError({
      path: "design.adjustment",
      quantity: "codes of the two adjustment readings",
      permitted: "different",
      received: `${high.code} twice`,
    });
  }
  const perVolt = 2 ** scaling.fractionBits / scaling.resultUnit.toNumber();
  const multiplier = nearest((perVolt * (high.voltage - low.voltage)) / (high.code - low.code));
  return { multiplier, addend: nearest(perVolt * low.voltage - low.code * multiplier) };
}

interface CodeAt {
  readonly voltage: number;
  readonly code: number;
}

/** Adjusts one channel of the simulated tester: readings at constant voltages, then constants. */
export function adjustChannel(channel: AdjustedChannel): StoredConstants {
  const { design } = channel.drawn;
  const { adjustment } = design;
  const fixed = scalingConstants(design);
  switch (adjustment.kind) {
    case "none":
      return { multiplier: Number(fixed.multiplier), addend: Number(fixed.addend) };
    case "gain": {
      const { at } = adjustment;
      return between(design, {
        low: { voltage: 0, code: Number(fixed.zeroCode256) / 256 },
        high: { voltage: at.voltage.toNumber(), code: readPoint(channel, "adjustHigh", at) },
      });
    }
    case "twoPoint": {
      const { low, high } = adjustment;
      return between(design, {
        low: { voltage: low.voltage.toNumber(), code: readPoint(channel, "adjustLow", low) },
        high: { voltage: high.voltage.toNumber(), code: readPoint(channel, "adjustHigh", high) },
      });
    }
  }
}

/** Indication, V, for a code or a mean of codes, as the firmware's arithmetic gives it. */
export function indicationOf(design: Design, constants: StoredConstants, code: number): number {
  const { scaling } = design;
  const scaled = (code * constants.multiplier + constants.addend) / 2 ** scaling.fractionBits;
  const result = scaling.rounding === "nearest" ? nearest(scaled) : Math.floor(scaled);
  const volts = result * scaling.resultUnit.toNumber();
  const { displayResolution, resultUnit } = scaling;
  if (displayResolution === undefined || displayResolution.equals(resultUnit)) return volts;
  const step = displayResolution.toNumber();
  return nearest(volts / step) * step;
}
