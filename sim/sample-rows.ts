import type { Pin } from "./scenario.ts";
import type { PinPair, Simulation } from "./simulate.ts";

/** A stretch of samples: first, and one past the last; all of them where absent. */
export interface SampleRange {
  readonly first?: number;
  readonly end?: number;
}

/** One sample of all channels. */
export interface SampleRow {
  readonly sample: number;
  /** s. */
  readonly instant: number;
  readonly codes: readonly number[];
  /** V, as firmware would show the code. */
  readonly indications: readonly number[];
  /** V between the channel's pin and the tester's ground. */
  readonly voltages: readonly number[];
}

const BLOCK = 4096;

/** Pins of every channel, measured pin first. */
export function channelPairs({ scenario }: Simulation): readonly PinPair[] {
  const { channels, ground } = scenario.tester;
  return channels.map((channel): PinPair => [channel, ground]);
}

/** "L-N" for a pair. */
export function pairText([one, other]: readonly [Pin, Pin]): string {
  return `${one}-${other}`;
}

/** Samples one after the other, evaluated block by block: memory does not grow with their number. */
export function* sampleRows(
  simulation: Simulation,
  { first = 0, end = simulation.sampleCount }: SampleRange = {},
): Generator<SampleRow> {
  const pairs = channelPairs(simulation);
  for (let begin = first; begin < end; begin += BLOCK) {
    const count = Math.min(BLOCK, end - begin);
    const blocks = pairs.map((_, channel) => {
      const codes = new Int32Array(count);
      simulation.fillCodes(channel, begin, codes);
      return codes;
    });
    for (let k = 0; k < count; k += 1) {
      const instant = simulation.sampleInstant(begin + k);
      const codes = blocks.map((block) => block[k]!);
      yield {
        sample: begin + k,
        instant,
        codes,
        indications: codes.map((code, channel) => simulation.indication(code, channel)),
        voltages: pairs.map((pair) => simulation.voltageAt(pair, instant)),
      };
    }
  }
}
