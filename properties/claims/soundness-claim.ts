import { judged } from "./claim.ts";
import type { Claim } from "./claim.ts";
import type { Episode } from "./episode.ts";
import { openings } from "./more/spaces.ts";

function faultInWords({ fault }: Episode): string | undefined {
  if (fault === undefined) return undefined;
  const place =
    "at" in fault && fault.at !== undefined ? ` (${fault.at.file}:${fault.at.line})` : "";
  switch (fault.kind) {
    case "trap":
    case "contractBroken":
      return `${fault.reason}${place}`;
    case "budgetSpent":
      return `spent its budget of ${fault.budget} steps${place}`;
    case "guardBroken":
    case "inputChanged":
      return `wrote where it must not: ${fault.buffer}`;
  }
}

/** The firmware itself: no trap, no endless loop, no stray write. */
export const soundnessClaim: Claim = {
  id: "soundness",
  says: "The firmware never traps, never exceeds its steps and never writes outside its own memory.",
  over: (subject) => openings(subject, { contact: "real" }),
  judge: (episode) => {
    const words = faultInWords(episode);
    const { samplesTaken, simulation } = episode;
    if (words === undefined) return judged(1, "no fault");
    return judged(-1, words, simulation.sampleInstant(Math.max(0, samplesTaken - 1)));
  },
  mustCatch: ["signed-overflow"],
  presupposed: true,
};
