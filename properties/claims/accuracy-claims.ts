import { judged, notApplicable } from "./claim.ts";
import type { Claim, Judgement, WorstCase } from "./claim.ts";
import { openingSpan, trueVoltage } from "./episode.ts";
import type { Episode } from "./episode.ts";
import { foreseenError } from "./foreseen-error.ts";
import { openings } from "./more/spaces.ts";
import { plainReading, statedInstantOf } from "./plain-reading.ts";
import { boundAt } from "./voltage-bounds.ts";
import type { BoundBand } from "./voltage-bounds.ts";
import { witnessDraws } from "./witness-draws.ts";

const volts = (value: number): string => `${value.toFixed(4)} V`;

/** Judges an error against the proven limits and V more on either side. */
function judgeError(
  episode: Episode,
  bands: readonly BoundBand[],
  { at, more }: { readonly at: number; readonly more: number },
): Judgement {
  const reading = plainReading(episode);
  if (reading === undefined) return notApplicable("no reading without a flag");
  const truth = trueVoltage(episode, at);
  const bound = boundAt(bands, truth);
  if (bound === undefined) return notApplicable("outside the measuring interval");
  const error = reading.voltage - truth;
  const allowed = (error >= 0 ? bound.high : -bound.low) + more;
  const because =
    `reads ${volts(reading.voltage)} where ${volts(truth)} are on the pins: ` +
    `error ${volts(error)}, ${volts(allowed)} allowed`;
  return judged(1 - Math.abs(error) / allowed, because, at);
}

/** Claims over the usual openings whose margin is a share of the proven error. */
const worstError: WorstCase = {
  foresee: (episode) => {
    const reading = plainReading(episode);
    if (reading === undefined) return undefined;
    const { design, bounds } = episode.subject;
    const truth = trueVoltage(episode, reading.instant);
    const bound = boundAt(bounds.atReading, truth);
    if (bound === undefined) return undefined;
    return (quantities) => {
      const error = foreseenError(design, quantities, truth);
      return error >= 0 ? error / bound.high : error / bound.low;
    };
  },
  witnesses: (subject) => witnessDraws(openings(subject), subject.design),
};

/** The error of indication against what is proven of the design. */
export const voltageClaim: Claim = {
  id: "voltage",
  says: "The error of indication at the instant of the reading lies inside the proven bound.",
  over: (subject) => openings(subject),
  covers: { "a reading": (episode) => plainReading(episode) !== undefined },
  judge: (episode) => {
    const at = plainReading(episode)?.instant;
    if (at === undefined) return notApplicable("no reading without a flag");
    return judgeError(episode, episode.subject.bounds.atReading, { at, more: 0 });
  },
  worstCase: worstError,
  mustCatch: ["fall-added", "model-term-left-out"],
};

/** When the reading is taken. */
export const timeClaim: Claim = {
  id: "time",
  says: "The reading stands for an instant within the declared window around the stated time.",
  over: (subject) => openings(subject, { contact: "real" }),
  covers: { "a reading": (episode) => plainReading(episode) !== undefined },
  judge: (episode) => {
    const reading = plainReading(episode);
    const stated = statedInstantOf(episode);
    if (reading === undefined || stated === undefined)
      return notApplicable("no reading without a flag");
    const { design, promises } = episode.subject;
    // Re-closures that did not move the pins cannot be seen: they may bring the reading forward.
    const { mains } = episode.simulation.scenario;
    const threshold = promises.reclosureShare * Math.SQRT2 * (mains?.voltage ?? 0);
    const [first, last] = openingSpan(episode, threshold)!;
    const unseen = Math.min(last - first, promises.bounce);
    const { instant, clockTolerance } = { ...promises, ...design.timing! };
    const clock = clockTolerance.upper.toNumber() * design.conditions.instant.toNumber();
    const late = reading.instant - stated;
    const [earliest, latest] = [instant.lower - unseen - clock, instant.upper + clock];
    const middle = (earliest + latest) / 2;
    const margin = 1 - Math.abs(late - middle) / ((latest - earliest) / 2);
    const because =
      `reads ${(1000 * late).toFixed(3)} ms after the stated time, ` +
      `${(1000 * earliest).toFixed(3)} ms to ${(1000 * latest).toFixed(3)} ms allowed`;
    return judged(margin, because, reading.instant);
  },
  mustCatch: ["late-latch"],
};

/** Voltage and time together: what the user reads against what the standard asks. */
export const togetherClaim: Claim = {
  id: "together",
  says: "The error at the stated time lies inside the proven bound plus slope times time bound.",
  over: (subject) => openings(subject),
  covers: { "a reading": (episode) => plainReading(episode) !== undefined },
  judge: (episode) => {
    const stated = statedInstantOf(episode);
    if (stated === undefined) return notApplicable("no pole opened");
    const { instant } = episode.subject.promises;
    const widest = Math.max(-instant.lower, instant.upper);
    // The voltage of a passive product only falls: it changes most at the early end.
    const before = trueVoltage(episode, stated - widest);
    const change = Math.abs(before - trueVoltage(episode, stated));
    return judgeError(episode, episode.subject.bounds.atReading, { at: stated, more: change });
  },
  worstCase: worstError,
  mustCatch: [],
  followsFrom: ["voltage", "time"],
};

/** A claim that is false: a runner that cannot report a failure is found by it. */
export const canaryClaim: Claim = {
  id: "canary",
  says: "No reading is ever above zero. This claim must fail.",
  over: (subject) => openings(subject),
  judge: (episode) => {
    const { report } = episode;
    const reading = plainReading(episode);
    if (reading === undefined) return judged(-1, `no reading: ${report?.phase ?? "a fault"}`);
    return judged(reading.voltage > 0 ? -1 : 0, `reads ${volts(reading.voltage)}`, reading.instant);
  },
  mustCatch: [],
  canary: true,
};
