import { scenarioSpace } from "../../arbitraries/scenario-space.ts";
import { judged, notApplicable } from "../claim.ts";
import type { Claim, Judgement } from "../claim.ts";
import { instantOf, openingSpan } from "../episode.ts";
import type { Episode } from "../episode.ts";
import { crestOf, isConfirmed, judgedFault, magnitudes, provenError } from "./episode-views.ts";
import { PASSIVE, changed, oneOf, openings } from "./spaces.ts";

/** s of connected mains after the learning time. */
const CONNECTED = 0.4;

/** V that noise and interference may add to the proven error at the trigger level. */
const NOISE = 1;

/** Room for the largest error at the trigger level: e of the claims. */
function roomAt(episode: Episode): number {
  const { triggerLevel } = episode.subject.promises;
  return (provenError(episode, triggerLevel) ?? 0) + NOISE;
}

function sinceOpening(episode: Episode): number {
  return episode.simulation.lastOpening ?? 0;
}

/** The disconnection must have been reported; undefined where no fault was met. */
function reportedOrNot(episode: Episode, since: number): Judgement {
  return isConfirmed(episode)
    ? judged(1, "confirmed", since)
    : judged(-1, "the disconnection is not reported", since);
}

const noFalseTrigger: Claim = {
  id: "no-false-trigger",
  says:
    "No disconnection is confirmed while a source of low impedance stays connected, through " +
    "harmonics, dips, swells, bursts and one phase jump.",
  over: ({ design, promises }) =>
    scenarioSpace(design, {
      kind: "connected",
      products: PASSIVE,
      after: CONNECTED,
      contact: "ideal",
      smallestCapacitance: promises.smallestCapacitance,
    }),
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const { report } = episode;
    if (report?.confirmation === undefined) return judged(1, "nothing confirmed");
    const at = instantOf(episode, report.confirmation);
    return judged(-1, "a disconnection is confirmed although the mains stays connected", at);
  },
  mustCatch: ["missing-hold", "sign-ignored"],
};

const interruption: Claim = {
  id: "interruption",
  says: "A mains that is interrupted behind a high impedance counts as a disconnection.",
  over: ({ design, promises }) =>
    changed(
      scenarioSpace(design, {
        kind: "connected",
        products: ["passive, switch off"],
        after: CONNECTED,
        contact: "ideal",
        smallestCapacitance: promises.smallestCapacitance,
      }),
      [
        {
          name: "impedance",
          meaning: "impedance of the interrupted source",
          strata: [
            { name: "some megohms", least: 20, most: 200 },
            { name: "a few megohms", least: 5, most: 19 },
            { name: "hundreds of megohms", least: 201, most: 5_000 },
          ],
          words: (value) => `${value} Mohm`,
        },
      ],
      (scenario, draw) => {
        const { mains } = scenario;
        if (mains === undefined) return scenario;
        const from = 0.2 + draw["disturbedAt"]! / 10_000 / mains.frequency;
        const impedance = draw["impedance"]! * 1e6;
        const to = scenario.duration + 1;
        const interrupted = { kind: "interruption", from, to, impedance } as const;
        return { ...scenario, mains: { ...mains, disturbances: [interrupted] } };
      },
    ),
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const since = episode.simulation.events.find(({ kind }) => kind === "mainsChanges")?.instant;
    if (since === undefined) return notApplicable("the source is not interrupted");
    const { promises } = episode.subject;
    const { least } = magnitudes(episode, since, since + promises.latency);
    if (least < promises.triggerLevel + roomAt(episode))
      return notApplicable("too little is left on the pins");
    return reportedOrNot(episode, since);
  },
  mustCatch: ["fast-decay-refused"],
};

const aboveTrigger: Claim = {
  id: "above-trigger",
  says:
    "A voltage that stays above the trigger level and its error from the last opening to the end " +
    "of the latency is reported.",
  over: (subject) => openings(subject, { contact: "real", after: 0.1 }),
  covers: { "enough is left": (episode) => isConfirmed(episode) },
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const { promises } = episode.subject;
    const since = sinceOpening(episode);
    const { least } = magnitudes(episode, since, since + promises.latency);
    return least >= promises.triggerLevel + roomAt(episode)
      ? reportedOrNot(episode, since)
      : notApplicable("the voltage does not stay above the trigger level");
  },
  mustCatch: ["jump-is-last"],
};

const belowTrigger: Claim = {
  id: "below-trigger",
  says:
    "A voltage that stays below the trigger level and its error from the last opening on is " +
    "reported as below trigger.",
  over: (subject) =>
    changed(
      openings(subject, { contact: "ideal", after: 0.15 }),
      [oneOf("quarter", "half turn of the opening", ["falling", "rising"])],
      (scenario, draw) => {
        const { mains } = scenario;
        if (mains === undefined) return scenario;
        // Drawn round a zero crossing: only there is so little left.
        const turns = 0.25 + draw["quarter"]! / 2 + (draw["phase"]! / 10_000 - 0.5) * 0.02;
        const start = turns - mains.frequency * scenario.disconnection.L!.instant;
        return { ...scenario, mains: { ...mains, phaseTurns: start - Math.floor(start) } };
      },
    ),
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const { promises } = episode.subject;
    const since = sinceOpening(episode);
    const { most } = magnitudes(episode, since, since + 0.1);
    if (most > promises.triggerLevel - roomAt(episode))
      return notApplicable("the voltage is not below the trigger level");
    const { report } = episode;
    return report?.flags.has("belowTrigger") === true
      ? judged(1, "below trigger", since)
      : judged(-1, "below trigger is not reported", since);
  },
  mustCatch: ["below-trigger-silent"],
};

const latency: Claim = {
  id: "latency",
  says: "A disconnection is confirmed within the promised latency after the last opening.",
  over: (subject) => openings(subject, { contact: "real", after: 0.1 }),
  judge: (episode) => {
    const { report, subject } = episode;
    if (report?.confirmation === undefined)
      return judgedFault(episode) ?? notApplicable("nothing is confirmed");
    const since = sinceOpening(episode);
    const at = instantOf(episode, report.confirmation);
    const candidate = report.candidate === undefined ? at : instantOf(episode, report.candidate);
    return judged(
      1 - (at - since) / subject.promises.latency,
      `candidate ${text(candidate - since)}, confirmed ${text(at - since)} after the last opening`,
      at,
    );
  },
  mustCatch: ["hold-too-long", "threshold-off"],
};

function text(seconds: number): string {
  return `${(1000 * seconds).toFixed(3)} ms`;
}

const opening: Claim = {
  id: "opening",
  says:
    "The reported opening lies within the promised times of the last opening, counted from the " +
    "last re-closure that moved the pins by more than the promised share of the crest.",
  over: (subject) => openings(subject, { contact: "real", after: 0.1 }),
  covers: {
    "more than one opening": ({ simulation }) =>
      simulation.events.filter(({ kind }) => kind === "poleOpens").length > 1,
  },
  judge: (episode) => {
    const { report, subject } = episode;
    const span = openingSpan(episode, subject.promises.reclosureShare * crestOf(episode));
    if (report?.opening === undefined || span === undefined)
      return judgedFault(episode) ?? notApplicable("no opening is reported");
    const at = instantOf(episode, report.opening);
    const { lower, upper } = subject.promises.instant;
    const early = Math.max(span[0], span[1] - subject.promises.bounce) + lower;
    const late = span[1] + upper;
    const width = late - early;
    return judged(
      (2 * Math.min(at - early, late - at)) / width,
      `opening reported ${text(at - span[1])} after the last one, ` +
        `${text(early - span[1])} to ${text(upper)} allowed`,
      at,
    );
  },
  mustCatch: ["opening-misreported", "no-debounce"],
};

/** Claims on finding the disconnection. */
export const TRIGGER_CLAIMS: readonly Claim[] = [
  noFalseTrigger,
  interruption,
  aboveTrigger,
  belowTrigger,
  latency,
  opening,
];
