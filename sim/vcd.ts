import { channelPairs, pairText, sampleRows } from "./sample-rows.ts";
import type { SampleRange } from "./sample-rows.ts";
import type { Simulation } from "./simulate.ts";
import type { SimulationEvent } from "./simulation-event.ts";

/** Nanoseconds are the unit of time of the file. */
const PER_SECOND = 1e9;

/** Lines that are handed over together. */
const LINES = 1024;

const KINDS: readonly SimulationEvent["kind"][] = [
  "contactSeparates",
  "arcEnds",
  "poleOpens",
  "poleCloses",
  "mainsChanges",
  "rectifierConducts",
  "rectifierBlocks",
  "dischargeBegins",
  "dischargeEnds",
];

/** Identifier of the n-th variable: printable characters from the exclamation mark on. */
function identifier(number: number): string {
  return String.fromCharCode(33 + number);
}

/** Two's complement in so many bits. */
function binary(code: number, bits: number): string {
  return (code < 0 ? code + 2 ** bits : code).toString(2);
}

function header(simulation: Simulation, bits: number): string[] {
  const pairs = channelPairs(simulation).map((pair) => pairText(pair).replace("-", "_"));
  const variables = pairs.flatMap((pair, channel) => [
    `$var wire ${bits} ${identifier(2 * channel)} code_${pair} $end`,
    `$var real 64 ${identifier(2 * channel + 1)} voltage_${pair} $end`,
  ]);
  const events = KINDS.map(
    (kind, index) => `$var event 1 ${identifier(2 * pairs.length + index)} ${kind} $end`,
  );
  return [
    "$version plumbvolt $end",
    "$timescale 1 ns $end",
    "$scope module tester $end",
    ...variables,
    ...events,
    "$upscope $end",
    "$enddefinitions $end",
  ];
}

/** Writes changes in the order of time; two at the same nanosecond share one time mark. */
class ChangeWriter {
  lines: string[];
  private time = -1;

  constructor(lines: string[]) {
    this.lines = lines;
  }

  at(instant: number, changes: readonly string[]): void {
    if (changes.length === 0) return;
    const time = Math.max(0, Math.round(instant * PER_SECOND));
    if (time > this.time) {
      this.lines.push(`#${time}`);
      this.time = time;
    }
    this.lines.push(...changes);
  }
}

/**
 * Samples and events as a value change dump that any waveform viewer opens: codes as vectors in
 * two's complement, true voltages as reals, events as events. Pieces of text, so that a long
 * simulation need not be held. No date is written: the same simulation gives the same bytes.
 *
 * Source: IEEE 1364, value change dump files.
 */
export function* vcdPieces(simulation: Simulation, range: SampleRange = {}): Generator<string> {
  const { bits } = simulation.scenario.design.adc;
  const channels = channelPairs(simulation).length;
  const writer = new ChangeWriter(header(simulation, bits));
  const first = simulation.sampleInstant(range.first ?? 0);
  const last = simulation.sampleInstant((range.end ?? simulation.sampleCount) - 1);
  const events = simulation.events.filter(({ instant }) => instant >= first && instant <= last);
  let next = 0;
  const held: (number | undefined)[] = [];
  for (const { instant, codes, voltages } of sampleRows(simulation, range)) {
    for (; next < events.length && events[next]!.instant <= instant; next += 1) {
      const { kind, instant: when } = events[next]!;
      writer.at(when, [`1${identifier(2 * channels + KINDS.indexOf(kind))}`]);
    }
    const changes = codes.flatMap((code, channel) => {
      const real = `r${voltages[channel]!} ${identifier(2 * channel + 1)}`;
      if (held[channel] === code) return [real];
      held[channel] = code;
      return [`b${binary(code, bits)} ${identifier(2 * channel)}`, real];
    });
    writer.at(instant, changes);
    if (writer.lines.length < LINES) continue;
    yield `${writer.lines.join("\n")}\n`;
    writer.lines = [];
  }
  if (writer.lines.length > 0) yield `${writer.lines.join("\n")}\n`;
}

/** All samples, or a stretch of them, as one value change dump. */
export function toVcd(simulation: Simulation, range: SampleRange = {}): string {
  return [...vcdPieces(simulation, range)].join("");
}
