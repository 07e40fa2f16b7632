import type { DeliveryFault, EarlierMeasurements } from "../../arbitraries/handling.ts";
import type { Draw, Parameter } from "../../arbitraries/parameter.ts";
import { judged, notApplicable } from "../claim.ts";
import type { Claim, Judgement } from "../claim.ts";
import { trueVoltage } from "../episode.ts";
import type { Episode } from "../episode.ts";
import {
  crestOf,
  judgedAlike,
  judgedFault,
  OUTSIDE,
  provenError,
  readingIn,
  rightOrFlagged,
} from "./episode-views.ts";
import { handled, oneOf, openings } from "./spaces.ts";
import { plainReading } from "../plain-reading.ts";

const KINDS = [
  "lost",
  "stuck",
  "at the lowest code",
  "at the highest code",
  "lost without a word",
  "handed in twice",
  "beyond the converter's codes",
] as const;

/** Kinds that leave the codes right: the instant of the reading has to be right as well. */
const KEEPS_CODES: readonly (typeof KINDS)[number][] = [
  "lost",
  "lost without a word",
  "handed in twice",
];

const faulty: readonly Parameter[] = [
  oneOf("delivery", "samples", KINDS),
  {
    name: "faultAt",
    meaning: "from sample",
    strata: [
      { name: "before the opening", least: 1_000, most: 1_999 },
      { name: "about the opening", least: 2_000, most: 2_099 },
      { name: "while it is confirmed and dated", least: 2_100, most: 2_400 },
      { name: "before the reading", least: 2_401, most: 11_700 },
      { name: "about the reading", least: 11_701, most: 12_150 },
    ],
    words: String,
  },
  {
    name: "faultFor",
    meaning: "number of them",
    strata: [
      { name: "few", least: 1, most: 10 },
      { name: "many", least: 11, most: 249 },
      { name: "more than a reading rests on", least: 250, most: 500 },
    ],
    words: String,
  },
];

function keepsCodes({ delivery }: Draw): boolean {
  return KEEPS_CODES.includes(KINDS[delivery!]!);
}

function faultOf(draw: Draw): DeliveryFault {
  const place = { first: draw["faultAt"]!, count: draw["faultFor"]! };
  switch (KINDS[draw["delivery"]!]!) {
    case "lost":
      return { kind: "lost", ...place };
    case "stuck":
      return { kind: "stuck", ...place };
    case "at the lowest code":
      return { kind: "railed", at: "lowest", ...place };
    case "at the highest code":
      return { kind: "railed", at: "highest", ...place };
    case "lost without a word":
      return { kind: "skipped", ...place };
    case "handed in twice":
      return { kind: "repeated", ...place };
    case "beyond the converter's codes":
      return { kind: "wild", ...place };
  }
}

/**
 * V by which a reading that is called right may be off beside its proven error: samples were held or
 * lost. How exact it is in itself is what the claim on voltage says.
 */
const DISTURBED = 0.5;

/** How the reading lies against that of undisturbed samples; undefined where one is missing. */
function judgedInTime(episode: Episode): Judgement | undefined {
  const reading = plainReading(episode);
  const twin = plainReading(episode.twin!);
  if (reading === undefined || twin === undefined) return undefined;
  const { instant } = episode.subject.promises;
  const apart = reading.instant - twin.instant;
  // Both are dated within the promise; a sample may be lost at each end of the gap.
  const allowed = instant.upper - instant.lower + 2 * episode.simulation.clock.period;
  const because = `reads ${(1000 * apart).toFixed(3)} ms from where it does undisturbed`;
  return judged(1 - Math.abs(apart) / allowed, because, reading.instant);
}

/**
 * A held voltage that falls by little and a converter that stands still give the same codes: what is
 * read may be what the pins had when it stuck, which is more than they have.
 */
function rightOrStuck(episode: Episode): Judgement {
  const right = rightOrFlagged(episode, DISTURBED);
  const reading = readingIn(episode);
  const { draw, simulation } = episode;
  if (right.kind !== "judged" || right.margin >= 0 || reading === undefined) return right;
  const stuck = simulation.sampleInstant(draw["faultAt"]!);
  if (KINDS[draw["delivery"]!] !== "stuck" || !(stuck > (simulation.lastOpening ?? Infinity)))
    return right;
  const held = trueVoltage(episode, stuck);
  const proven = provenError(episode, held);
  if (proven === undefined) return notApplicable(OUTSIDE);
  const allowed = proven + restOf(episode);
  const margin = 1 - Math.abs(reading.voltage - held) / allowed;
  return judged(margin, `${right.because}, stuck on ${held.toFixed(3)} V`, stuck);
}

const sampling: Claim = {
  id: "sampling",
  says:
    "Lost, repeated, stuck, railed or wild samples give a right or a flagged reading, or that of the " +
    "held voltage on which the converter stuck, and the clock counts time, not samples.",
  over: (subject) => ({
    ...handled(openings(subject), faulty, (draw) => ({ faults: [faultOf(draw)] })),
    twin: (draw) => (keepsCodes(draw) ? {} : undefined),
  }),
  judge: (episode) => {
    const voltage = rightOrStuck(episode);
    const time = keepsCodes(episode.draw) ? judgedInTime(episode) : undefined;
    if (time === undefined || voltage.kind !== "judged" || voltage.margin < 0) return voltage;
    return time.kind === "judged" && time.margin < voltage.margin ? time : voltage;
  },
  mustCatch: ["wild-code-taken", "missed-ignored"],
};

/** Codes in two samples that rounding and noise may hide. */
const HIDDEN_STRIDE = 3;

/**
 * V by which the filter moves on after such a stride: below it nobody can tell a converter that
 * sticks from a voltage that has come to rest.
 */
function restOf({ configuration }: Episode): number {
  const { inputLag, ticksPerSample, channels, fractionBits, resultUnit } = configuration;
  const code = (channels[0]!.multiplier / 2 ** fractionBits) * resultUnit * 1e-6;
  return (inputLag / ticksPerSample) * (HIDDEN_STRIDE / 2) * code;
}

const stuckConverter: Claim = {
  id: "stuck-converter",
  says:
    "A converter that sticks is flagged; where it sticks on a held voltage or within the promised " +
    "share of a crest, it is never shown lower than that.",
  over: (subject) =>
    handled(
      openings(subject),
      [
        {
          name: "stuckAt",
          meaning: "the converter sticks",
          strata: [
            { name: "from power-up", least: 0, most: 0 },
            { name: "while it watches", least: 1_500, most: 2_100 },
          ],
          words: (value) => `from sample ${value}`,
        },
      ],
      (draw) => ({ faults: [{ kind: "stuck", first: draw["stuckAt"]!, count: 1e6 }] }),
    ),
  covers: { flagged: ({ report }) => (report?.flags.size ?? 0) > 0 },
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const reading = readingIn(episode);
    const flags = [...(episode.report?.flags ?? [])];
    if (flags.length > 0) return judged(1, flags.join(", "));
    if (reading === undefined) return judged(-1, "no reading, no flag");
    const { simulation, subject, draw } = episode;
    const stuck = simulation.sampleInstant(draw["stuckAt"]!);
    const shown = Math.abs(reading.voltage);
    const because = `reads ${reading.voltage.toFixed(3)} V without a flag`;
    if (stuck < (simulation.lastOpening ?? Infinity)) {
      const { restingShare } = subject.promises;
      const share = shown / crestOf(episode);
      return judged((share - restingShare) / (1 - restingShare), because, stuck);
    }
    const truth = Math.abs(trueVoltage(episode, reading.instant));
    const proven = provenError(episode, truth);
    if (proven === undefined) return notApplicable(OUTSIDE);
    const allowed = proven + restOf(episode);
    return judged(
      Math.min(1, 1 - (truth - shown) / allowed),
      `${because} for ${truth.toFixed(3)} V on the pins`,
      stuck,
    );
  },
  mustCatch: ["stuck-unnoticed"],
};

const counterWrap: Claim = {
  id: "counter-wrap",
  says: "A time stamp that wraps during the measurement gives the report of one that does not.",
  over: (subject) => ({
    ...handled(
      openings(subject),
      [
        {
          name: "wrapsAt",
          meaning: "the counter wraps at sample",
          strata: [
            { name: "before the opening", least: 1_000, most: 1_990 },
            { name: "while it is confirmed", least: 1_991, most: 2_200 },
            { name: "before the reading", least: 2_201, most: 12_100 },
          ],
          words: String,
        },
      ],
      (draw) => ({ firstTick: 2 ** 32 - 100 * draw["wrapsAt"]! }),
    ),
    twin: () => ({}),
  }),
  judge: judgedAlike,
  mustCatch: ["counter-wraps"],
};

/** What earlier measurements may have met that the one after them does not. */
const EARLIER_INPUTS: Readonly<Record<string, Omit<EarlierMeasurements, "count">>> = {
  "the same": {},
  "slower mains": { codes: (codes) => codes.map((_, place) => codes[Math.trunc(place / 1.2)]!) },
  "the other polarity": {
    codes: (codes) => {
      const turned = Math.max(...codes) + Math.min(...codes);
      return codes.map((code) => turned - code);
    },
  },
  "samples lost while it watches": { faults: [{ kind: "lost", first: 1_900, count: 40 }] },
  "samples lost once it is dated": { faults: [{ kind: "skipped", first: 2_600, count: 40 }] },
  "a converter that sticks": { faults: [{ kind: "stuck", first: 1_950, count: 100_000 }] },
};

const rearming: Claim = {
  id: "re-arming",
  says:
    "A measurement after others, each at its end or broken off when the tester is armed again, gives " +
    "the report of a first one.",
  over: (subject) => ({
    ...handled(
      openings(subject),
      [
        {
          name: "before",
          meaning: "measurements before it",
          strata: [
            { name: "one", least: 1, most: 1 },
            { name: "some", least: 2, most: 6 },
          ],
          words: String,
        },
        {
          name: "brokenOff",
          meaning: "each of these ends",
          strata: [
            { name: "by itself", least: 0, most: 0 },
            { name: "while the mains is learned", least: 100, most: 1_000 },
            { name: "about the opening", least: 1_990, most: 2_400 },
            { name: "before the reading", least: 2_401, most: 12_100 },
          ],
          words: (value) => (value === 0 ? "by itself" : `after ${value} samples`),
        },
        oneOf("input", "in each of these", Object.keys(EARLIER_INPUTS)),
      ],
      ({ before, brokenOff, input }) => ({
        earlier: {
          ...Object.values(EARLIER_INPUTS)[input!],
          count: before!,
          ...(brokenOff === 0 ? {} : { brokenOffAt: brokenOff! }),
        },
      }),
    ),
    twin: () => ({}),
  }),
  judge: judgedAlike,
  mustCatch: ["no-rearm"],
};

/** s of the mains between the opening of the contact and the end. */
const AGAIN = 0.6;

/** us: the slowest contact, and next to it the value that stands for one that stays closed. */
const SLOWEST = 20_000;
const NEVER = SLOWEST + 1;

/** s after which a contact that stays closed opens: long after the end. */
const AFTER_ALL = 100;

const automatic: Claim = {
  id: "automatic",
  says:
    "In the automatic mode the contact is opened by the firmware and one reading is taken; a contact " +
    "that stays closed is reported.",
  over: (subject) =>
    handled(
      openings(subject, {
        products: ["passive, switch off"],
        after: subject.design.conditions.instant.toNumber() + AGAIN,
      }),
      [
        {
          name: "contactDelay",
          meaning: "the contact opens after",
          strata: [
            { name: "fast", least: 1_000, most: 5_000 },
            { name: "slow", least: 5_001, most: SLOWEST },
            { name: "not at all", least: NEVER, most: NEVER },
          ],
          words: (value) => (value === NEVER ? "never" : `${value / 1000} ms`),
        },
      ],
      ({ contactDelay }) => ({
        mode: "automatic",
        contactDelay: contactDelay === NEVER ? AFTER_ALL : contactDelay! * 1e-6,
      }),
    ),
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const reading = readingIn(episode);
    if (episode.draw["contactDelay"] === NEVER) {
      const isSaid = episode.report?.flags.has("noDisconnectionSeen") === true;
      return judged(isSaid ? 1 : -1, `no contact opens: ${isSaid ? "" : "not "}reported`);
    }
    if (episode.simulation.lastOpening === undefined)
      return judged(-1, "the firmware never opens its contact");
    const flags = [...(episode.report?.flags ?? [])];
    if (reading === undefined)
      return judged(flags.length > 0 ? 1 : -1, `no reading, ${flags.join(", ") || "no flag"}`);
    return rightOrFlagged(episode, DISTURBED);
  },
  mustCatch: ["contact-not-opened"],
};

/** Claims on samples, the counter and the contact. */
export const SAMPLING_CLAIMS: readonly Claim[] = [
  sampling,
  stuckConverter,
  counterWrap,
  rearming,
  automatic,
];
