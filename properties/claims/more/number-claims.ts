import type { Design } from "../../../lib/design/design.ts";
import type { Parameter } from "../../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../../arbitraries/scenario-space.ts";
import { judged, notApplicable } from "../claim.ts";
import type { Claim, Enumeration, Judgement } from "../claim.ts";
import { voltsOf } from "../episode.ts";
import type { Episode, Subject } from "../episode.ts";
import { judgedFault } from "./episode-views.ts";
import { codesOf, holdCode } from "./held-codes.ts";
import { listedCodes } from "./listed-codes.ts";
import { handled, openings } from "./spaces.ts";
import { exactUnits, shownUnits } from "./unit-arithmetic.ts";

/** Result units of a wrong reading that count as failing altogether. */
const TRIALS = 4_096;

/** Shares of the codes about zero and at each end that are classes of their own. */
const INNER = 0.05;
const AWAY = 0.02;

function codeParameter(design: Design): Parameter {
  const { lowest, highest, zero } = codesOf(design);
  const inner = Math.floor(INNER * (highest - lowest));
  const away = Math.ceil(AWAY * (highest - lowest));
  return {
    name: "code",
    meaning: "code that is held",
    strata: [
      { name: "about zero", least: zero - inner, most: zero + inner },
      { name: "below", least: lowest + away, most: zero - inner - 1 },
      { name: "above", least: zero + inner + 1, most: highest - away },
      { name: "near the lowest", least: lowest, most: lowest + away - 1 },
      { name: "near the highest", least: highest - away + 1, most: highest },
    ],
    words: String,
  };
}

/** Codes held one at a time, and for each another one that is held in a twin of the run. */
function heldPairs(other: (design: Design, code: number) => number) {
  const made = new WeakMap<Design, ScenarioSpace>();
  return (subject: Subject): ScenarioSpace => {
    const { design } = subject;
    const known = made.get(design);
    if (known !== undefined) return known;
    const { lowest, highest } = codesOf(design);
    const plain = openings(subject, { products: ["passive, switch off"] });
    const space: ScenarioSpace = {
      ...handled(plain, [codeParameter(design)], ({ code }) => holdCode(design, code!)),
      twin: ({ code }) => {
        const twin = other(design, code!);
        return twin < lowest || twin > highest ? undefined : holdCode(design, twin);
      },
    };
    made.set(design, space);
    return space;
  };
}

const mirrored = (design: Design, code: number): number => 2 * codesOf(design).zero - code;
const mirroredPairs = heldPairs(mirrored);
const neighbours = heldPairs((_, code) => code + 1);

/** Every code of one side of zero, which with its mirrored one is every code. */
const everyMirroredPair: Enumeration = {
  of: "pairs of codes z + k and z - k",
  by: "code",
  members: ({ design }, isWhole) => {
    const { lowest, highest, zero } = codesOf(design);
    const isAbove = highest - zero >= zero - lowest;
    return listedCodes(design, isAbove ? [zero, highest] : [lowest, zero], isWhole);
  },
};

const everyNeighbour: Enumeration = {
  of: "pairs of neighbouring codes",
  by: "code",
  members: ({ design }, isWhole) => {
    const { lowest, highest } = codesOf(design);
    return listedCodes(design, [lowest, highest - 1], isWhole);
  },
};

/** Units that were read; undefined where nothing was. */
const unitsOf = ({ report }: Episode): number | undefined => report?.readings[0]?.voltages[0];

function exactly(episode: Episode, code: number): Judgement {
  const wrong = judgedFault(episode);
  if (wrong !== undefined) return wrong;
  const found = unitsOf(episode);
  if (found === undefined) return notApplicable("no reading");
  const expected = exactUnits(episode.configuration, code);
  return judged(
    found === expected ? 1 : -Math.min(1, Math.abs(found - expected) / TRIALS),
    `code ${code} reads ${voltsOf(episode, found)} V, exactly ${voltsOf(episode, expected)} V`,
  );
}

/** Judges the code that is held and the mirrored one; the worse of both is said. */
function judgeBoth(judge: (episode: Episode, code: number) => Judgement) {
  return (episode: Episode): Judgement => {
    const { subject, draw, twin } = episode;
    const own = judge(episode, draw["code"]!);
    if (twin === undefined) return own;
    const other = judge(twin, mirrored(subject.design, draw["code"]!));
    if (own.kind === "notApplicable" || other.kind === "notApplicable")
      return own.kind === "notApplicable" ? other : own;
    return own.margin <= other.margin ? own : other;
  };
}

const conversion: Claim = {
  id: "conversion",
  says:
    "Every code that is held is read as the stored constants give it in exact integer arithmetic, " +
    "so that the conversion neither overflows nor turns round.",
  over: mirroredPairs,
  enumeration: everyMirroredPair,
  judge: judgeBoth(exactly),
  mustCatch: ["signed-shift", "wrong-rounding"],
};

/** Both readings of a pair, in units, or why there is nothing to judge. */
function pairOf(episode: Episode): Judgement | readonly [number, number] {
  const { twin } = episode;
  if (twin === undefined) return notApplicable("the other code is none of the converter");
  const wrong = judgedFault(episode) ?? judgedFault(twin);
  if (wrong !== undefined) return wrong;
  const [own, other] = [unitsOf(episode), unitsOf(twin)];
  return own === undefined || other === undefined ? notApplicable("no reading") : [own, other];
}

const monotone: Claim = {
  id: "monotone",
  says: "A higher code never reads lower.",
  over: neighbours,
  enumeration: everyNeighbour,
  judge: (episode) => {
    const pair = pairOf(episode);
    if ("kind" in pair) return pair;
    const [own, next] = pair;
    const { code } = episode.draw;
    const because = `code ${code} reads ${voltsOf(episode, own)} V, the next one ${voltsOf(episode, next)} V`;
    return judged(next >= own ? 1 : -Math.min(1, (own - next) / TRIALS), because);
  },
  mustCatch: [],
  followsFrom: ["conversion"],
};

const alike: Claim = {
  id: "polarity",
  says:
    "The codes z + k and z - k read alike, within one digit of the display and what the result is " +
    "rounded to, but for what the code z itself is off.",
  over: mirroredPairs,
  enumeration: everyMirroredPair,
  judge: (episode) => {
    const pair = pairOf(episode);
    if ("kind" in pair) return pair;
    const { configuration, subject } = episode;
    const { digit, shown } = shownUnits(subject.design);
    const [one, other] = pair.map(shown) as [number, number];
    const { zero } = codesOf(subject.design);
    const { multiplier, addend } = configuration.channels[0]!;
    const off = (zero * multiplier + addend) / 2 ** configuration.fractionBits;
    const rounded = configuration.rounding === "nearest" ? 1 : 2;
    const allowed = (digit > 1 ? digit : 0) + rounded;
    const apart = Math.abs(one + other - 2 * off);
    const because =
      `code ${episode.draw["code"]} reads ${voltsOf(episode, one)} V, its mirrored one ` +
      `${voltsOf(episode, other)} V: ${voltsOf(episode, apart)} V apart`;
    return judged(1 - apart / (allowed + 1e-6), because);
  },
  mustCatch: [],
  followsFrom: ["conversion"],
};

/** Whether a reading is shown on the side of each limit line on which it exactly is. */
function linesKept(episode: Episode, code: number): Judgement {
  const wrong = judgedFault(episode);
  if (wrong !== undefined) return wrong;
  const found = unitsOf(episode);
  if (found === undefined) return notApplicable("no reading");
  const { configuration, subject } = episode;
  const { multiplier, addend } = configuration.channels[0]!;
  const exact = (code * multiplier + addend) / 2 ** configuration.fractionBits;
  const shown = shownUnits(subject.design).shown(found);
  const margins = configuration.lines.map(({ level, margin }) => {
    const isMoved = Math.abs(shown) >= level !== Math.abs(exact) >= level;
    return isMoved ? 1 - Math.abs(Math.abs(exact) - level) / margin : 1;
  });
  const because = `shows ${voltsOf(episode, shown)} V for exactly ${voltsOf(episode, exact)} V`;
  return judged(Math.min(1, ...margins), because);
}

const rounding: Claim = {
  id: "line-rounding",
  says:
    "Rounding for the result and the display never moves a reading across a limit line by more " +
    "than the promised margin of the line.",
  over: mirroredPairs,
  enumeration: everyMirroredPair,
  judge: judgeBoth(linesKept),
  mustCatch: [],
  followsFrom: ["conversion"],
};

/** Claims on the numbers that the firmware computes. */
export const NUMBER_CLAIMS: readonly Claim[] = [conversion, monotone, alike, rounding];
