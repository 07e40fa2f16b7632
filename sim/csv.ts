import { channelPairs, pairText, sampleRows } from "./sample-rows.ts";
import type { SampleRange } from "./sample-rows.ts";
import type { Simulation } from "./simulate.ts";

/** Lines that are handed over together. */
const LINES = 1024;

/**
 * Samples as comma-separated values (RFC 4180, LF line ends): sample, instant in s, then for each
 * channel its code, what firmware would show for it and the true voltage, V. Pieces of text, so
 * that a long simulation need not be held.
 */
export function* csvPieces(simulation: Simulation, range: SampleRange = {}): Generator<string> {
  const names = channelPairs(simulation).flatMap((pair) => {
    const text = pairText(pair);
    return [`code ${text}`, `indication ${text} (V)`, `voltage ${text} (V)`];
  });
  let lines = [["sample", "instant (s)", ...names].join(",")];
  for (const { sample, instant, codes, indications, voltages } of sampleRows(simulation, range)) {
    const fields = codes.flatMap((code, channel) => [
      code,
      indications[channel]!,
      voltages[channel]!,
    ]);
    lines.push([sample, instant, ...fields].join(","));
    if (lines.length < LINES) continue;
    yield `${lines.join("\n")}\n`;
    lines = [];
  }
  if (lines.length > 0) yield `${lines.join("\n")}\n`;
}

/** All samples, or a stretch of them, as one text of comma-separated values. */
export function toCsv(simulation: Simulation, range: SampleRange = {}): string {
  return [...csvPieces(simulation, range)].join("");
}

/** The events as comma-separated values: instant in s, what happened, pole. */
export function eventsToCsv({ events }: Simulation): string {
  const lines = events.map(({ instant, kind, pole }) => [instant, kind, pole ?? ""].join(","));
  return `${["instant (s),event,pole", ...lines].join("\n")}\n`;
}
