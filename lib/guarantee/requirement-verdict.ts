import { permittedErrors, permittedErrorsOver } from "../design/requirement.ts";
import type { PermittedErrors, Requirement } from "../design/requirement.ts";
import type { Decimal } from "../quantity/decimal.ts";
import { voltagesOfPart } from "./accuracy-part.ts";
import type { StatedInterval } from "./accuracy-part.ts";
import { SIDES } from "./bracket.ts";
import type { Bound, Bracket, Magnitudes, Side } from "./bracket.ts";
import type { BoundDemand } from "./error-brackets.ts";
import type { VoltageBand } from "./bands.ts";

/** Outcome of a requirement: between witness and proven bound it is not proven. */
export type Verdict = "holds" | "doesNotHold" | "notProven";

/** A requirement judged where its margin is least. */
export interface Judgement {
  readonly requirement: Requirement;
  readonly verdict: Verdict;
  /** True voltage of the judgement, V. */
  readonly voltage: number;
  readonly side: Side;
  /** Magnitude of the error allowed on that side, V. */
  readonly limit: number;
  /** Magnitude of the proven and of the witnessed error, V. */
  readonly proven: number;
  readonly witnessed: number;
  /** limit - proven, V. */
  readonly margin: number;
}

/** A band with its bracket. */
export interface BracketedBand {
  readonly band: VoltageBand;
  readonly bracket: Bracket;
}

function judgeSide(
  requirement: Requirement,
  allowed: PermittedErrors,
  at: { readonly bracket: Bracket; readonly voltage: number; readonly side: Side },
): Judgement {
  const { bracket, voltage, side } = at;
  const sign = side === "high" ? 1 : -1;
  const limit = side === "high" ? allowed.upper : -allowed.lower;
  const proven = sign * bracket[side].proven;
  const witnessed = sign * bracket[side].witnessed;
  const verdict = proven <= limit ? "holds" : witnessed > limit ? "doesNotHold" : "notProven";
  return { requirement, verdict, voltage, side, limit, proven, witnessed, margin: limit - proven };
}

const RANK: Readonly<Record<Verdict, number>> = { doesNotHold: 0, notProven: 1, holds: 2 };

/** The judgement to report: the worst verdict, and of those the least margin. */
function worst(judgements: readonly Judgement[]): Judgement | undefined {
  return judgements.reduce<Judgement | undefined>((found, judgement) => {
    if (found === undefined) return judgement;
    const rank = RANK[judgement.verdict] - RANK[found.verdict];
    return rank < 0 || (rank === 0 && judgement.margin < found.margin) ? judgement : found;
  }, undefined);
}

function overlaps(band: VoltageBand, from: Decimal, to: Decimal): boolean {
  return band.upper.compare(from) >= 0 && band.lower.compare(to) <= 0;
}

/** True voltages of a band for which a requirement over a range speaks; both polarities. */
function voltagesOf(
  { from, to }: Requirement,
  band: { readonly lower: Decimal; readonly upper: Decimal },
): readonly StatedInterval[] {
  return from === undefined || to === undefined
    ? [{ lower: band.lower, upper: band.upper }]
    : voltagesOfPart(band, { from, to });
}

/** The bands that a requirement speaks of; `from` and `to` are magnitudes. */
function bandsOfRequirement(
  requirement: Requirement,
  bands: readonly VoltageBand[],
): readonly VoltageBand[] {
  const { at } = requirement;
  if (at !== undefined) return bands.filter((band) => at.some((v) => overlaps(band, v, v)));
  return bands.filter((band) => voltagesOf(requirement, band).length > 0);
}

function judgeAt(requirement: Requirement, voltage: Decimal, bracketed: readonly BracketedBand[]) {
  const allowed = permittedErrors(requirement.statement, voltage);
  return bracketed
    .filter(({ band }) => overlaps(band, voltage, voltage))
    .flatMap(({ bracket }) =>
      SIDES.map((side) =>
        judgeSide(requirement, allowed, { bracket, voltage: voltage.toNumber(), side }),
      ),
    );
}

/** A witness counts inside the part of the band that is asked for, at its own voltage. */
function judgeOver(
  requirement: Requirement,
  { lower, upper }: StatedInterval,
  bracket: Bracket,
): readonly Judgement[] {
  const allowed = permittedErrorsOver(requirement.statement, { from: lower, to: upper });
  return SIDES.map((side) => {
    const voltage = bracket[side].witness[0]!;
    const judgement = judgeSide(requirement, allowed, { bracket, voltage, side });
    const beside = voltage < lower.lowerNumber() || voltage > upper.upperNumber();
    const there = permittedErrors(requirement.statement, voltage);
    const allowedThere = side === "high" ? there.upper : -there.lower;
    return judgement.verdict === "doesNotHold" && (beside || judgement.witnessed <= allowedThere)
      ? { ...judgement, verdict: "notProven" }
      : judgement;
  });
}

/** Judges a requirement by the brackets of its bands; `undefined` where no band of it was given. */
export function judge(
  requirement: Requirement,
  bracketed: readonly BracketedBand[],
): Judgement | undefined {
  const { at } = requirement;
  if (at !== undefined)
    return worst(at.flatMap((voltage) => judgeAt(requirement, voltage, bracketed)));
  return worst(
    bracketed.flatMap(({ band, bracket }) =>
      voltagesOf(requirement, band).flatMap((part) => judgeOver(requirement, part, bracket)),
    ),
  );
}

/** Magnitude of the error of each side allowed at every voltage of the band that is asked for, V. */
function allowedOver(requirement: Requirement, band: VoltageBand): Magnitudes {
  let [high, low] = [Infinity, Infinity];
  for (const { lower, upper } of voltagesOf(requirement, band)) {
    const allowed = permittedErrorsOver(requirement.statement, { from: lower, to: upper });
    high = Math.min(high, allowed.upper);
    low = Math.min(low, -allowed.lower);
  }
  return { high, low };
}

/** How the errors of bands are found. */
export interface BandErrors {
  bracket(band: VoltageBand): Bracket;
  bound(band: VoltageBand, asked: BoundDemand): Bound;
  /** Magnitude that the error of a side is seen to reach, no proof; V. */
  reach(side: Side, band: VoltageBand): number;
}

/**
 * Over a range, the band that looks worst is bracketed first. Any other is bracketed only where it
 * cannot be proven to leave as much margin, or to meet the requirement where none is known to fail.
 */
function judgeRange(
  requirement: Requirement,
  bands: readonly VoltageBand[],
  errors: BandErrors,
): Judgement | undefined {
  const seen = bands.map((band) => {
    const allowed = allowedOver(requirement, band);
    const margins = SIDES.map((side) => allowed[side] - errors.reach(side, band));
    return { band, allowed, margin: Math.min(...margins) };
  });
  let found: Judgement | undefined;
  for (const { band, allowed } of seen.sort((one, other) => one.margin - other.margin)) {
    if (found !== undefined) {
      const spare = found.verdict === "doesNotHold" ? found.margin : Math.max(0, found.margin);
      const enough = { high: allowed.high - spare, low: allowed.low - spare };
      const { high, low } = errors.bound(band, { enough });
      if (high.proven <= enough.high && -low.proven <= enough.low) continue;
    }
    const own = judge(requirement, [{ band, bracket: errors.bracket(band) }]);
    found = worst([found, own].filter((one) => one !== undefined));
  }
  return found;
}

/**
 * Judges a requirement. At a voltage, the figures of the band that contains it are held against
 * what is allowed at the voltage; over a range, those of every band against what is allowed at
 * every voltage of the band inside the range. `undefined` where no band belongs to the requirement.
 */
export function judgeRequirement(
  requirement: Requirement,
  bands: readonly VoltageBand[],
  errors: BandErrors,
): Judgement | undefined {
  const concerned = bandsOfRequirement(requirement, bands);
  if (requirement.at === undefined) return judgeRange(requirement, concerned, errors);
  return judge(
    requirement,
    concerned.map((band) => ({ band, bracket: errors.bracket(band) })),
  );
}
