import { sampleRows } from "../../sim/index.ts";
import type { Episode } from "../claims/episode.ts";
import { laneValueAt, phaseName, traceLanes } from "./trace-lanes.ts";

/** Lines that are handed over together. */
const LINES = 1024;

/** Nanoseconds are the unit of time of the change dump. */
const PER_SECOND = 1e9;

/**
 * Every sample of an episode as comma-separated values (RFC 4180): sample, instant, code,
 * indication, true voltage, phase of the firmware, and the further lanes of its trace.
 */
export function* episodeCsvPieces(episode: Episode): Generator<string> {
  const lanes = traceLanes(episode);
  const names = lanes.map(({ lane }) => (lane === 0 ? "phase" : `lane ${lane}`));
  const head = ["sample", "instant (s)", "code", "indication (V)", "voltage (V)", ...names];
  let lines = [head.join(",")];
  for (const { sample, instant, codes, indications, voltages } of sampleRows(episode.simulation)) {
    const traced = lanes.map((lane) => {
      const value = laneValueAt(lane, instant);
      return value === undefined ? "" : lane.lane === 0 ? phaseName(value) : String(value);
    });
    const plain = [sample, instant, codes[0]!, indications[0]!, voltages[0]!];
    lines.push([...plain, ...traced].join(","));
    if (lines.length < LINES) continue;
    yield `${lines.join("\n")}\n`;
    lines = [];
  }
  if (lines.length > 0) yield `${lines.join("\n")}\n`;
}

function header(bits: number, lanes: readonly number[]): string[] {
  return [
    "$version plumbvolt $end",
    "$timescale 1 ns $end",
    "$scope module tester $end",
    `$var wire ${bits} ! code $end`,
    '$var real 64 " voltage $end',
    "$upscope $end",
    "$scope module firmware $end",
    ...lanes.map(
      (lane, index) =>
        `$var integer 32 ${String.fromCharCode(65 + index)} ${lane === 0 ? "phase" : `lane${lane}`} $end`,
    ),
    "$upscope $end",
    "$enddefinitions $end",
  ];
}

/** Two's complement in so many bits. */
function binary(value: number, bits: number): string {
  return (value < 0 ? value + 2 ** bits : value).toString(2);
}

interface Change {
  /** ns. */
  readonly time: number;
  readonly text: string;
}

function laneChanges(episode: Episode): Change[] {
  return traceLanes(episode)
    .flatMap(({ stretches }, index) =>
      stretches.map(({ from, value }) => ({
        time: Math.max(0, Math.round(from * PER_SECOND)),
        text: `b${binary(value, 32)} ${String.fromCharCode(65 + index)}`,
      })),
    )
    .sort((one, other) => one.time - other.time);
}

/**
 * Codes, true voltage and the lanes of the firmware's trace as a value change dump. No date is
 * written: the same episode gives the same bytes.
 *
 * Source: IEEE 1364, value change dump files.
 */
export function* episodeVcdPieces(episode: Episode): Generator<string> {
  const { bits } = episode.simulation.scenario.design.adc;
  const lanes = traceLanes(episode).map(({ lane }) => lane);
  const changes = laneChanges(episode);
  let lines = header(bits, lanes);
  let time = -1;
  let held: number | undefined;
  const at = (now: number, text: string): void => {
    if (now > time) lines.push(`#${now}`);
    time = Math.max(time, now);
    lines.push(text);
  };
  let next = 0;
  for (const { instant, codes, voltages } of sampleRows(episode.simulation)) {
    const now = Math.max(0, Math.round(instant * PER_SECOND));
    for (; next < changes.length && changes[next]!.time <= now; next += 1)
      at(changes[next]!.time, changes[next]!.text);
    at(now, `r${voltages[0]!} "`);
    if (codes[0] !== held) at(now, `b${binary(codes[0]!, bits)} !`);
    held = codes[0];
    if (lines.length < LINES) continue;
    yield `${lines.join("\n")}\n`;
    lines = [];
  }
  if (lines.length > 0) yield `${lines.join("\n")}\n`;
}
