import { OutsideDomainError } from "../lib/errors.ts";
import { channelPairs, pairText } from "./sample-rows.ts";
import type { Simulation } from "./simulate.ts";
import type { SimulationEvent } from "./simulation-event.ts";

/** What a picture shows. */
export interface WaveformView {
  /** s; the whole simulation where absent. */
  readonly from?: number;
  readonly to?: number;
  readonly channel?: number;
  /** V of a limit line, drawn at both polarities. */
  readonly limit?: number;
}

/** A point of a line: s and V. */
export interface WavePoint {
  readonly instant: number;
  readonly volts: number;
}

/** Indications over a stretch of time that is one step wide in the picture, V. */
export interface CodeSpan {
  readonly instant: number;
  readonly lowest: number;
  readonly highest: number;
}

/** Events that share a mark. */
export interface MarkedEvents {
  /** s of the first. */
  readonly instant: number;
  /** Number in the picture and in its key, from 1. */
  readonly number: number;
  readonly text: string;
}

/** The figures of a waveform picture. */
export interface WaveformData {
  readonly from: number;
  readonly to: number;
  /** "L-N". */
  readonly pins: string;
  readonly voltage: readonly WavePoint[];
  readonly codes: readonly CodeSpan[];
  readonly events: readonly MarkedEvents[];
  readonly limit: number | undefined;
}

/** Steps of the picture across its width. */
const STEPS = 1200;

const MOST_MARKS = 12;

const WORDS: Readonly<Record<SimulationEvent["kind"], string>> = {
  contactSeparates: "contact separates, arcing",
  arcEnds: "arc ends",
  poleOpens: "pole opens",
  poleCloses: "pole closes",
  mainsChanges: "mains changes",
  rectifierConducts: "rectifier conducts",
  rectifierBlocks: "rectifier blocks",
  dischargeBegins: "discharge begins",
  dischargeEnds: "discharge ends",
};

function wordsOf({ kind, pole }: SimulationEvent): string {
  return pole === undefined ? WORDS[kind] : `${WORDS[kind]} (${pole})`;
}

function timeText(instant: number): string {
  return `${Number((1000 * instant).toFixed(3))} ms`;
}

/** Events closer than a fortieth of the view share one mark; a rectifier at work gets none. */
function marks(simulation: Simulation, from: number, to: number): MarkedEvents[] {
  const shown = simulation.events.filter(
    ({ kind, instant }) => !kind.startsWith("rectifier") && instant >= from && instant <= to,
  );
  const groups: SimulationEvent[][] = [];
  for (const event of shown) {
    const last = groups.at(-1);
    if (last !== undefined && event.instant - last[0]!.instant < (to - from) / 40) last.push(event);
    else groups.push([event]);
  }
  return groups.slice(0, MOST_MARKS).map((group, index) => {
    const [first, ...more] = group;
    const end = group.at(-1)!;
    const rest =
      more.length === 0
        ? ""
        : more.length === 1
          ? `, ${wordsOf(end)} at ${timeText(end.instant)}`
          : `, ${more.length} more, last ${wordsOf(end)} at ${timeText(end.instant)}`;
    const text = `${timeText(first!.instant)} ${wordsOf(first!)}${rest}`;
    return { instant: first!.instant, number: index + 1, text };
  });
}

function voltageLine(simulation: Simulation, view: Required<Pick<WaveformView, "from" | "to">>) {
  const { from, to } = view;
  const instants = Array.from(
    { length: STEPS + 1 },
    (_, step) => from + ((to - from) * step) / STEPS,
  );
  for (const { instant } of simulation.events) {
    if (instant <= from || instant >= to) continue;
    // Both sides of an event, so that a jump is drawn as one.
    instants.push(instant - 1e-12 * Math.max(1, instant), instant);
  }
  return instants.sort((one, other) => one - other);
}

function codeSpans(simulation: Simulation, channel: number, view: { from: number; to: number }) {
  const { phase, period } = simulation.clock;
  const first = Math.max(0, Math.ceil((view.from - phase) / period));
  const end = Math.min(simulation.sampleCount, Math.floor((view.to - phase) / period) + 1);
  const step = Math.max(1, Math.ceil((end - first) / STEPS));
  const spans: CodeSpan[] = [];
  const codes = new Int32Array(step);
  for (let sample = first; sample + step <= end; sample += step) {
    simulation.fillCodes(channel, sample, codes);
    const volts = Array.from(new Set(codes), (code) => simulation.indication(code, channel));
    spans.push({
      instant: simulation.sampleInstant(sample + (step - 1) / 2),
      lowest: Math.min(...volts),
      highest: Math.max(...volts),
    });
  }
  return spans;
}

/** The figures of a picture: every one is the simulation's own. */
export function waveformData(simulation: Simulation, view: WaveformView = {}): WaveformData {
  const { from = 0, to = simulation.scenario.duration, channel = 0, limit } = view;
  if (!(from >= 0 && to > from && to <= simulation.scenario.duration)) {
    throw new OutsideDomainError({
      path: "view",
      quantity: "part of the simulation to be shown",
      permitted: `two instants in order between 0 and ${simulation.scenario.duration} s`,
      received: `${from} s to ${to} s`,
    });
  }
  const pair = channelPairs(simulation)[channel]!;
  return {
    from,
    to,
    pins: pairText(pair),
    voltage: voltageLine(simulation, { from, to }).map((instant) => ({
      instant,
      volts: simulation.voltageAt(pair, instant),
    })),
    codes: codeSpans(simulation, channel, { from, to }),
    events: marks(simulation, from, to),
    limit,
  };
}
