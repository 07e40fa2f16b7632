import type { Design } from "../../lib/design/design.ts";
import { scalingConstants } from "../../lib/design/scaling-constants.ts";
import type { Configuration, LimitLine } from "../../sim/firmware/port.ts";
import { PORT_VERSION } from "../../sim/firmware/port.ts";
import type { StoredConstants } from "../../sim/adjustment.ts";
import type { Promises } from "../claims/promises.ts";
import { boundAt } from "../claims/voltage-bounds.ts";
import type { VoltageBounds } from "../claims/voltage-bounds.ts";

/** Ticks of the time stamp in one sample. */
const TICKS = 100;

/** Share of the trusted codes at each end that drawn parts may take away. */
const GUARD = 0.005;

function trustedCodes(design: Design): [number, number] {
  const { adc, buffer, reference } = design;
  const codes = 2 ** adc.bits;
  const lowest = adc.input === "unipolar" ? 0 : -codes / 2;
  const perVolt = codes / adc.spanRatio.toNumber() / reference.voltage.toNumber();
  const guard = Math.ceil(GUARD * codes);
  const least = buffer === undefined ? lowest : Math.ceil(buffer.swing.lower.toNumber() * perVolt);
  const most =
    buffer === undefined ? Infinity : Math.floor(buffer.swing.upper.toNumber() * perVolt);
  return [
    Math.max(lowest + 1, buffer === undefined ? lowest + 1 : least + guard),
    Math.min(lowest + codes - 2, most === Infinity ? most : most - guard),
  ];
}

/** Limit lines that are timed, V. */
const LINES = [60, 34];

function linesOf(bounds: VoltageBounds, units: (volts: number) => number): LimitLine[] {
  return LINES.map((volts) => {
    const bound = boundAt(bounds.atReading, volts);
    const error = Math.max(-(bound?.low ?? 0), bound?.high ?? 0);
    return { level: Math.round(units(volts)), margin: Math.ceil(units(error)) };
  });
}

/** What a firmware is told of its design at the start, with the constants of one adjusted unit. */
export function configurationOf(
  design: Design,
  constants: readonly StoredConstants[],
  { promises, bounds }: { readonly promises: Promises; readonly bounds: VoltageBounds },
): Configuration {
  const { scaling, timing, conditions, filter } = design;
  const rate = timing!.sampleRate.toNumber();
  const tickRate = rate * TICKS;
  const unit = scaling.resultUnit.toNumber();
  const units = (volts: number): number => volts / unit;
  return {
    port: PORT_VERSION,
    tickRate,
    ticksPerSample: TICKS,
    codeBits: design.adc.bits,
    trustedCodes: trustedCodes(design),
    role: "single",
    channels: constants.slice(0, 1).map(({ multiplier, addend }) => ({
      zeroCode256: Number(scalingConstants(design).zeroCode256),
      multiplier,
      addend,
    })),
    fractionBits: scaling.fractionBits,
    rounding: scaling.rounding,
    resultUnit: Math.round(unit * 1e6),
    triggerLevel: Math.round(units(promises.triggerLevel)),
    lines: linesOf(bounds, units),
    moments: [Math.round(conditions.instant.toNumber() * tickRate)],
    window: Math.round((timing?.window?.duration.toNumber() ?? 0) * tickRate),
    windowPosition: timing?.window?.position ?? "centred",
    inputLag: Math.round((filter?.timeConstant.toNumber() ?? 0) * tickRate),
    mode: "watch",
  };
}
