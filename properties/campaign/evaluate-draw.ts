import { OutsideDomainError } from "../../lib/errors.ts";
import type { Firmware } from "../../sim/firmware/port.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import type { Episode, Subject } from "../claims/episode.ts";
import { play } from "./play.ts";
import type { Stage } from "./play.ts";

/** One run: an episode, or why the simulation cannot play the scenario. */
export type Played =
  | { readonly kind: "played"; readonly episode: Episode }
  | { readonly kind: "unplayable"; readonly reason: string };

/** What a run is made with. */
export interface Bench {
  readonly subject: Subject;
  readonly firmware: Firmware;
}

/** Plays the scenario of a draw, on a stage that was set before or on its own. */
export function evaluateDraw(
  { subject, firmware }: Bench,
  space: ScenarioSpace,
  draw: Draw,
  stage?: Stage,
): Played {
  try {
    const set = stage === undefined ? {} : { stage };
    return { kind: "played", episode: play(subject, firmware, { space, draw, ...set }) };
  } catch (error) {
    if (error instanceof OutsideDomainError) return { kind: "unplayable", reason: error.message };
    throw error;
  }
}

/** Everything the firmware said, as text for a digest. */
export function playedText(played: Played): string {
  if (played.kind === "unplayable") return `unplayable ${played.reason}`;
  const { draw, report, fault, samplesTaken, trace } = played.episode;
  const said = report === undefined ? null : { ...report, flags: [...report.flags] };
  return JSON.stringify([draw, said, fault ?? null, samplesTaken, trace]);
}
