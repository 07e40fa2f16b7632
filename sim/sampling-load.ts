import type { DrawnValues } from "./drawn-values.ts";
import { restingConductance } from "./sampling-charge.ts";
import type { SamplingCharge } from "./sampling-charge.ts";
import type { Sampling } from "./scenario.ts";

/** A conductance from the node to a voltage, S and V. */
export interface Leak {
  readonly siemens: number;
  readonly volts: number;
  /** The mean load of a sampling capacitor that is simulated as a part. */
  readonly bySampling?: true;
}

/** What the sampling capacitor hangs on. */
interface SamplingSource {
  readonly setup: Sampling["charge"];
  /** S and F of the node without the sampling capacitor. */
  readonly siemens: number;
  readonly nodeFarad: number;
}

/**
 * What a converter without a buffer before it draws from the node: the mean load of its sampling
 * capacitor or, where a scenario simulates that as a part, the part and its load at rest.
 */
export function samplingLoad(drawn: DrawnValues, reference: number, others: SamplingSource) {
  const { adc, buffer, timing } = drawn.design;
  if (adc.sampling === undefined || buffer !== undefined || timing === undefined) return undefined;
  const { capacitance, startsFrom } = adc.sampling;
  const farad = capacitance.toNumber() * (1 + drawn.lasting("sampling_tolerance"));
  const volts = startsFrom.toNumber() * reference;
  const rate = timing.sampleRate.toNumber();
  const { setup, siemens, nodeFarad } = others;
  // A capacitor that is charged anew at every sample draws a current like a resistance.
  if (setup === undefined) return { leak: { siemens: farad * rate, volts } };
  const charge: SamplingCharge = {
    farad,
    nodeFarad,
    siemens,
    acquisition: setup.acquisition,
    period: 1 / rate,
    ...(setup.startsFrom === "reference" ? { start: volts } : {}),
  };
  return {
    leak: { siemens: restingConductance(charge), volts, bySampling: true } as const,
    charge,
  };
}
