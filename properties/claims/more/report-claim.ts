import type { Report } from "../../../sim/firmware/port.ts";
import { judged } from "../claim.ts";
import type { Claim } from "../claim.ts";
import type { Episode } from "../episode.ts";
import { judgedFault } from "./episode-views.ts";
import { handled, openings } from "./spaces.ts";

const TWO_32 = 4_294_967_296;

/** Ticks from one instant to another; the counter wraps. */
function ticksBetween(from: number, to: number): number {
  const ticks = (((to - from) % TWO_32) + TWO_32) % TWO_32;
  return ticks < TWO_32 / 2 ? ticks : ticks - TWO_32;
}

/** What is missing or too much in a report for the phase that it names. */
function incomplete({ report, hasEnded, configuration }: Episode & { report: Report }): string[] {
  const { phase, flags, candidate, confirmation, opening, readings } = report;
  const isWaiting = phase === "synchronising" || phase === "watching";
  const isWhole = readings.length === configuration.moments.length;
  const rules: readonly (readonly [boolean, string])[] = [
    [isWaiting && candidate !== undefined, `a candidate while ${phase}`],
    [phase === "candidate" && candidate === undefined, "the phase of a candidate without one"],
    [
      phase !== "timing" && phase !== "finished" && confirmation !== undefined,
      `a confirmation while ${phase}`,
    ],
    [phase === "timing" && confirmation === undefined, "timing without a confirmation"],
    [confirmation !== undefined && candidate === undefined, "a confirmation without a candidate"],
    [opening !== undefined && confirmation === undefined, "an opening without a confirmation"],
    [readings.length > 0 && opening === undefined, "a reading without an opening"],
    [isWhole && phase !== "finished", `all readings, but still ${phase}`],
    [phase === "finished" && !isWhole && flags.size === 0, "finished without a reading or a flag"],
    [phase === "finished" && !hasEnded, "finished, but the end is not said"],
    [phase !== "finished" && hasEnded, `the end is said while ${phase}`],
  ];
  return rules.flatMap(([isBroken, what]) => (isBroken ? [what] : []));
}

/** A candidate that is none of this confirmation: further before it than both promises allow. */
function staleCandidate({ report, subject, configuration }: Episode): string[] {
  if (report?.candidate === undefined || report.confirmation === undefined) return [];
  const since = ticksBetween(report.candidate, report.confirmation) / configuration.tickRate;
  const { latency, bounce } = subject.promises;
  return since <= latency + bounce ? [] : [`a candidate ${since} s before its confirmation`];
}

/** Instants that are not in the order in which they were. */
function outOfOrder({ candidate, confirmation, opening, readings, crossings }: Report): string[] {
  const pairs: readonly (readonly [number | undefined, number | undefined, string])[] = [
    [candidate, confirmation, "a confirmation before its candidate"],
    [opening, confirmation, "an opening after its confirmation"],
    [confirmation, readings[0]?.instant, "a reading before the confirmation"],
    ...crossings.flatMap(({ earliest, latest }) =>
      latest === undefined
        ? []
        : [[earliest ?? latest + 1, latest, "a crossing that ends before it begins"] as const],
    ),
  ];
  return pairs.flatMap(([first, second, what]) =>
    first !== undefined && second !== undefined && ticksBetween(first, second) < 0 ? [what] : [],
  );
}

/** Whenever it is asked for, a report holds what its phase implies. */
export const reportClaim: Claim = {
  id: "report",
  says:
    "Whenever it is asked for, a report holds what its phase implies and its instants are in order; " +
    "the last reading ends the measurement.",
  over: (subject) =>
    handled(
      openings(subject, { contact: "real" }),
      [
        {
          name: "askedAt",
          meaning: "the report is asked for",
          strata: [
            { name: "at the end", least: 0, most: 0 },
            { name: "while the opening is confirmed", least: 1_990, most: 2_300 },
          ],
          words: (value) => (value === 0 ? "at the end" : `after ${value} samples`),
        },
      ],
      ({ askedAt }) => (askedAt === 0 ? {} : { until: askedAt! }),
    ),
  covers: {
    "a reading": ({ report }) => (report?.readings.length ?? 0) > 0,
    "a candidate": ({ report }) => report?.phase === "candidate",
  },
  judge: (episode) => {
    const { report, simulation } = episode;
    if (report === undefined) return judgedFault(episode)!;
    const wrong = [
      ...incomplete({ ...episode, report }),
      ...staleCandidate(episode),
      ...outOfOrder(report),
    ];
    const at = simulation.lastOpening;
    return wrong.length === 0
      ? judged(1, `${report.phase}, complete and in order`, at)
      : judged(-1, wrong.join("; "), at);
  },
  mustCatch: ["opening-unreported"],
};
