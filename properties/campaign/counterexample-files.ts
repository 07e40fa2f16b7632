import { createWriteStream } from "node:fs";
import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { pipeline } from "node:stream/promises";
import type { Episode } from "../claims/episode.ts";
import { counterexampleSvg } from "./counterexample-picture.ts";
import type { CounterexampleView } from "./counterexample-picture.ts";
import { episodeCsvPieces, episodeVcdPieces } from "./counterexample-samples.ts";

/** s before and after the offending moment that the close picture shows. */
const BEFORE = 0.04;
const AFTER = 0.02;

/** Which claim broke, and how. */
export interface Counterexample {
  readonly claim: string;
  readonly because: string;
  readonly words: readonly string[];
  /** s of the moment that decides. */
  readonly at: number | undefined;
}

/**
 * Writes a counterexample into a folder: the whole scenario and the offending moment as pictures,
 * the samples as CSV and as VCD with the lanes of the trace. Returns the files in that order.
 */
export async function writeCounterexample(
  folder: string,
  episode: Episode,
  { claim, because, words, at }: Counterexample,
): Promise<readonly string[]> {
  await mkdir(folder, { recursive: true });
  const { duration } = episode.simulation.scenario;
  const view: CounterexampleView = { title: `${claim} does not hold`, because, words, at };
  const files: string[] = [];
  const picture = async (name: string, shown: CounterexampleView): Promise<void> => {
    const file = join(folder, `${claim}${name}.svg`);
    await writeFile(file, await counterexampleSvg(episode, shown));
    files.push(file);
  };
  await picture("", view);
  if (at !== undefined) {
    const to = Math.min(duration, Math.max(at + AFTER, BEFORE));
    const from = Math.min(Math.max(0, at - BEFORE), to - AFTER);
    await picture("-moment", { ...view, from, to });
  }
  for (const [ending, pieces] of [
    ["csv", episodeCsvPieces(episode)],
    ["vcd", episodeVcdPieces(episode)],
  ] as const) {
    const file = join(folder, `${claim}.${ending}`);
    await pipeline(pieces, createWriteStream(file));
    files.push(file);
  }
  return files;
}
