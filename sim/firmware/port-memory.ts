import { FLAGS, MOST_CHANNELS, MOST_LINES, MOST_MOMENTS, PHASES } from "./port.ts";
import type { Configuration, Crossing, Flag, PortReading, Report, SampleBlock } from "./port.ts";

/** Words of the structures of `plumbvolt_port.h`. */
export const WORDS = { configuration: 38, block: 6, action: 2, report: 25 } as const;

const ROLES = { single: 0, perPin: 1, ranges: 2 } as const;
const POSITIONS = { centred: 0, trailing: 1, leading: 2 } as const;

function low(value: number): number {
  return Number(BigInt.asIntN(32, BigInt(value)));
}

function high(value: number): number {
  return Number(BigInt.asIntN(32, BigInt(value) >> 32n));
}

/** The words of a configuration in the order of the C structure. */
export function configurationWords(configuration: Configuration): Int32Array {
  const { port, trustedCodes, channels, lines, moments } = configuration;
  const at = <T>(list: readonly T[], count: number): readonly (T | undefined)[] =>
    Array.from({ length: count }, (_, index) => list[index]);
  const words = [
    ((port.major << 16) | port.minor) >>> 0,
    configuration.tickRate,
    configuration.ticksPerSample,
    configuration.codeBits,
    ...trustedCodes,
    ROLES[configuration.role],
    channels.length,
    ...at(channels, MOST_CHANNELS).flatMap((scale) =>
      scale === undefined
        ? [0, 0, 0, 0]
        : [scale.zeroCode256, scale.multiplier, low(scale.addend), high(scale.addend)],
    ),
    configuration.fractionBits,
    configuration.rounding === "nearest" ? 0 : 1,
    configuration.resultUnit,
    configuration.triggerLevel,
    lines.length,
    ...at(lines, MOST_LINES).flatMap((line) => [line?.level ?? 0, line?.margin ?? 0]),
    moments.length,
    ...at(moments, MOST_MOMENTS).map((moment) => moment ?? 0),
    configuration.window,
    POSITIONS[configuration.windowPosition],
    configuration.inputLag,
    configuration.mode === "watch" ? 0 : 1,
    0,
  ];
  const padded = new Int32Array(WORDS.configuration);
  padded.set(words);
  return padded;
}

/** The words of a block; `codes` are the places of the code buffers in bytes. */
export function blockWords(block: SampleBlock, count: number, codes: readonly number[]): number[] {
  const places = Array.from({ length: MOST_CHANNELS }, (_, channel) => codes[channel] ?? 0);
  return [block.timeStamp | 0, block.missed, block.saturated, count, ...places];
}

/** What of a report is not known and not zero; undefined where all of it is. */
function firstStray(
  words: Int32Array,
  {
    known,
    count,
    channels,
    lines,
  }: Readonly<Record<"known" | "count" | "channels" | "lines", number>>,
): string | undefined {
  const names = ["candidate", "confirmation", "opening"];
  for (const [bit, name] of names.entries())
    if ((known & (1 << bit)) === 0 && words[3 + bit] !== 0)
      return `an instant of the ${name}, which is not known`;
  for (let reading = 0; reading < MOST_MOMENTS; reading += 1) {
    const first = 7 + 3 * reading;
    const used = reading < count ? 1 + channels : 0;
    if (words.subarray(first + used, first + 3).some((word) => word !== 0))
      return reading < count ? "a voltage of a channel that is not there" : "a reading not taken";
  }
  for (let line = 0; line < MOST_LINES; line += 1) {
    const first = 13 + 3 * line;
    const ends = line < lines ? words[first]! : 0;
    if (
      (line >= lines && words[first] !== 0) ||
      ((ends & 1) === 0 && words[first + 1] !== 0) ||
      ((ends & 2) === 0 && words[first + 2] !== 0)
    )
      return "an end of a crossing that is not known";
  }
  return undefined;
}

/** A report read from the words that firmware wrote; a word for what the port does not define. */
export function reportOf(words: Int32Array, configuration: Configuration): Report | string {
  const unsigned = (index: number): number => words[index]! >>> 0;
  const phase = PHASES[unsigned(0)];
  if (phase === undefined) return `a phase numbered ${unsigned(0)}`;
  const bits = unsigned(1);
  if (bits >>> FLAGS.length !== 0) return `flags 0x${bits.toString(16)}`;
  const known = unsigned(2);
  if (known > 7) return `known instants 0x${known.toString(16)}`;
  const instant = (bit: number, index: number): number | undefined =>
    (known & bit) === 0 ? undefined : unsigned(index);
  const count = unsigned(6);
  if (count > configuration.moments.length) return `${count} readings`;
  const channels = configuration.channels.length;
  const stray = firstStray(words, { known, count, channels, lines: configuration.lines.length });
  if (stray !== undefined) return stray;
  const readings = Array.from({ length: count }, (_, index): PortReading => {
    const first = 7 + 3 * index;
    return {
      instant: unsigned(first),
      voltages: Array.from({ length: channels }, (__, channel) => words[first + 1 + channel]!),
    };
  });
  const crossings = configuration.lines.map((_, index): Crossing => {
    const first = 13 + 3 * index;
    const ends = unsigned(first);
    return {
      earliest: (ends & 1) === 0 ? undefined : unsigned(first + 1),
      latest: (ends & 2) === 0 ? undefined : unsigned(first + 2),
    };
  });
  return {
    phase,
    flags: new Set<Flag>(FLAGS.filter((__, bit) => (bits & (1 << bit)) !== 0)),
    candidate: instant(1, 3),
    confirmation: instant(2, 4),
    opening: instant(4, 5),
    readings,
    crossings,
  };
}
