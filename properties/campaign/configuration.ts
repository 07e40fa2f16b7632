import { scalingConstants } from "../../lib/design/scaling-constants.ts";
import { PORT_VERSION } from "../../sim/firmware/port.ts";
import type { Configuration } from "../../sim/firmware/port.ts";
import type { Simulation } from "../../sim/index.ts";
import { largestBound } from "../claims/situation.ts";
import type { CampaignContext, Situation } from "../claims/situation.ts";

/** Least rate of the time stamp, ticks per second. */
const LEAST_TICK_RATE = 1_000_000;

/** Share of the codes kept away from the ends of the swing: more than any unit's offset and gain. */
const KEPT_AWAY = 0.01;

function trustedCodes({ frontEnd, scenario }: Simulation): readonly [number, number] {
  const { converter, buffer } = frontEnd;
  const { lowest, highest } = converter;
  const codes = highest - lowest + 1;
  const away = Math.ceil(KEPT_AWAY * codes);
  const { spanRatio } = scenario.design.adc;
  const reference = scenario.design.reference.voltage.toNumber();
  const perVolt = codes / spanRatio.toNumber() / reference;
  const lower = buffer.swing === undefined ? lowest : perVolt * buffer.swing.lower;
  const upper = buffer.swing === undefined ? highest : perVolt * buffer.swing.upper;
  return [
    Math.max(lowest + 1, Math.ceil(lower) + away),
    Math.min(highest - 1, Math.floor(upper) - away),
  ];
}

/**
 * What the host tells the firmware at its start: the design's figures, the constants that this
 * unit's adjustment stored, and what was promised.
 */
export function configurationOf(
  simulation: Simulation,
  situation: Situation,
  { promises, statedBounds }: CampaignContext,
): Configuration {
  const { design } = simulation.scenario;
  const { scaling, filter, timing, conditions, adc } = design;
  const rate = timing!.sampleRate.toNumber();
  const ticksPerSample = Math.max(1, Math.round(LEAST_TICK_RATE / rate));
  const tickRate = ticksPerSample * rate;
  const unit = scaling.resultUnit.toNumber();
  const units = (volts: number): number => Math.round(volts / unit);
  const zeroCode256 = Number(scalingConstants(design).zeroCode256);
  return {
    port: PORT_VERSION,
    tickRate,
    ticksPerSample,
    codeBits: adc.bits,
    trustedCodes: trustedCodes(simulation),
    role: simulation.constants.length === 1 ? "single" : "perPin",
    channels: simulation.constants.map((constants) => ({ zeroCode256, ...constants })),
    fractionBits: scaling.fractionBits,
    rounding: scaling.rounding,
    resultUnit: Math.round(unit * 1e6),
    triggerLevel: units(promises.triggerLevel),
    lines: promises.lines.map((level) => ({
      level: units(level),
      margin: Math.ceil(largestBound(statedBounds, level) / unit),
    })),
    moments: [Math.round(conditions.instant.toNumber() * tickRate)],
    window: Math.round((timing!.window?.duration.toNumber() ?? 0) * tickRate),
    windowPosition: timing!.window?.position ?? "centred",
    inputLag: Math.round((filter?.timeConstant.toNumber() ?? 0) * tickRate),
    mode: situation.mode,
  };
}
