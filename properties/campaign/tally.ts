import { classesOf, wordsOf } from "../arbitraries/parameter.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import type { Claim } from "../claims/claim.ts";
import type { Episode } from "../claims/episode.ts";
import { judgementOf } from "../claims/judgement-of.ts";
import { classNames } from "./coverage.ts";
import type { ClaimTally, FoundFailure, JudgedDraw } from "./block.ts";

/** What a claim says of a draw; undefined where it does not apply. */
export function judgeDraw(claim: Claim, draw: Draw, episode: Episode): JudgedDraw | undefined {
  const judgement = judgementOf(claim, episode);
  if (judgement.kind === "notApplicable") return undefined;
  const { margin, because, at = null } = judgement;
  // A margin that is no number is no success.
  return { draw, margin: Number.isNaN(margin) ? -1 : margin, because, at };
}

/** The class names of a draw with those that are seen in its episode. */
export function classesSeen(claim: Claim, space: ScenarioSpace, episode: Episode): string[] {
  const seen = Object.entries(claim.covers ?? {})
    .filter(([, is]) => is(episode))
    .map(([name]) => `outcome: ${name}`);
  return [...classesOf(space.classed, episode.draw), ...seen];
}

/** Gathers what one claim gets out of the runs of a block. */
export class Tally {
  readonly claim: Claim;
  private readonly space: ScenarioSpace;
  /** Places of the class names in their list. */
  private readonly places: ReadonlyMap<string, number>;
  private readonly base: number;
  private readonly classes: Record<string, number> = {};
  private readonly pairs: Record<string, number> = {};
  private notApplicable = 0;
  private failures = 0;
  private worst: JudgedDraw | null = null;
  private first: JudgedDraw | undefined;

  constructor(claim: Claim, space: ScenarioSpace) {
    this.claim = claim;
    this.space = space;
    const names = classNames(claim, space);
    this.places = new Map(names.map((name, place) => [name, place]));
    this.base = names.length;
  }

  /** The failure met first. */
  get failed(): JudgedDraw | undefined {
    return this.first;
  }

  /** Judges an episode and counts it; returns what was said. */
  note(episode: Episode): JudgedDraw | undefined {
    const seen = classesSeen(this.claim, this.space, episode);
    const places = seen.map((name) => this.places.get(name)!);
    for (const [index, one] of seen.entries()) {
      this.classes[one] = (this.classes[one] ?? 0) + 1;
      for (let other = index + 1; other < places.length; other += 1) {
        const pair = places[index]! * this.base + places[other]!;
        this.pairs[pair] = (this.pairs[pair] ?? 0) + 1;
      }
    }
    const judged = judgeDraw(this.claim, episode.draw, episode);
    if (judged === undefined) {
      this.notApplicable += 1;
      return undefined;
    }
    if (this.worst === null || judged.margin < this.worst.margin) this.worst = judged;
    if (judged.margin < 0) {
      this.failures += 1;
      this.first ??= judged;
    }
    return judged;
  }

  result(failure: FoundFailure | null): ClaimTally {
    const { claim, notApplicable, failures, classes, pairs, worst } = this;
    return { claim: claim.id, notApplicable, failures, classes, pairs, worst, failure };
  }
}

/** The parameters of a draw in words. */
export function drawInWords({ parameters }: ScenarioSpace, draw: Draw): string[] {
  return wordsOf(parameters, draw);
}
