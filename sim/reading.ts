import { OutsideDomainError } from "../lib/errors.ts";
import type { Design } from "../lib/design/design.ts";
import type { Simulation } from "./simulate.ts";

/** The samples an instrument averages for its reading. */
export interface ReadingSamples {
  readonly first: number;
  readonly count: number;
}

/** What an instrument with a faultless trigger shows. */
export interface Reading extends ReadingSamples {
  /** s, middle of the samples. */
  readonly instant: number;
  readonly meanCode: number;
  /** V. */
  readonly indication: number;
}

/** Samples of an averaging window, s, about the sample at the stated instant. */
export function samplesAbout(sample: number, design: Design, window: number): ReadingSamples {
  const { timing } = design;
  const around = Math.round(window * (timing?.sampleRate.toNumber() ?? 1));
  switch (timing?.window?.position) {
    case "trailing":
      return { first: sample - around, count: around + 1 };
    case "leading":
      return { first: sample, count: around + 1 };
    default: {
      const half = Math.round(around / 2);
      return { first: sample - half, count: 2 * half + 1 };
    }
  }
}

/**
 * Reads the mean of samples as firmware would, without its trigger: for checks of the front end
 * alone. Throws OutsideDomainError where the samples do not lie inside the simulation.
 */
export function readingOf(
  simulation: Simulation,
  { first, count }: ReadingSamples,
  channel = 0,
): Reading {
  if (!(first >= 0 && count >= 1 && first + count <= simulation.sampleCount)) {
    throw new OutsideDomainError({
      path: "reading",
      quantity: "samples of the reading",
      permitted: `one or more between 0 and ${simulation.sampleCount - 1}`,
      received: `${count} from ${first}`,
    });
  }
  const codes = new Int32Array(count);
  simulation.fillCodes(channel, first, codes);
  let sum = 0;
  for (const code of codes) sum += code;
  const meanCode = sum / count;
  return {
    first,
    count,
    instant: simulation.sampleInstant(first + (count - 1) / 2),
    meanCode,
    indication: simulation.indication(meanCode, channel),
  };
}
