import { classDraw, mutatedDraw } from "../arbitraries/draws.ts";
import { spanOf, valueOf } from "../arbitraries/parameter.ts";
import type { Draw, Parameter } from "../arbitraries/parameter.ts";
import { HELD_NOISE, isPart } from "../arbitraries/parts.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import type { Uniform } from "../arbitraries/seeded-uniform.ts";
import type { WorstCase } from "../claims/claim.ts";
import type { Episode } from "../claims/episode.ts";
import type { JudgedDraw } from "./block.ts";

/** A draw as it was played, and what the claim says of it. */
export interface MetDraw {
  readonly judged: JudgedDraw;
  readonly episode: Episode;
}

/** What a search for the worst case works with. */
export interface WorstCaseSearch {
  readonly space: ScenarioSpace;
  readonly worstCase: WorstCase;
  /** Runs in all. */
  readonly runs: number;
  readonly uniform: Uniform;
  /** Plays and counts a draw; undefined where it cannot be played or nothing is said of it. */
  readonly play: (draw: Draw) => MetDraw | undefined;
}

/** Of so many runs one goes into a start, which takes a second one with the worst parts. */
const RUNS_PER_START = 10;

/** Times all parts are gone through, at most, and the gain below which that ends. */
const SWEEPS = 4;
const LEAST_GAIN = 3e-3;

/** Sets of limits from which the worst parts are looked for. */
const CORNERS = 2;

/** A draw with the share it is foreseen to reach. */
interface ForeseenDraw {
  readonly draw: Draw;
  readonly share: number;
}

type Foreseen = (quantities: Readonly<Record<string, number>>) => number;

const isSwept = (parameter: Parameter): boolean =>
  isPart(parameter) || parameter.name === HELD_NOISE.name;

/**
 * Moves one part after the other to whichever of its limits is foreseen to be worse, until that
 * gains nothing: parts act nearly independently of each other, so few rounds are enough.
 */
function swept(space: ScenarioSpace, corner: Draw, foreseen: Foreseen): ForeseenDraw {
  const parts = space.parameters.filter(isSwept);
  let draw = corner;
  let share = foreseen(space.quantitiesOf(draw));
  for (let sweep = 0; sweep < SWEEPS; sweep += 1) {
    const before = share;
    for (const part of parts.filter(({ matters }) => matters?.(draw) ?? true)) {
      const [least, most] = spanOf(part);
      const moved = { ...draw, [part.name]: valueOf(draw, part.name) === most ? least : most };
      const found = foreseen(space.quantitiesOf(moved));
      if (found > share) [draw, share] = [moved, found];
    }
    if (share - before < LEAST_GAIN) break;
  }
  return { draw, share };
}

/**
 * A draw with the parts that are foreseen to be worst. It begins at limits, from several of which
 * the worst is kept: in the middle, where a temperature is nominal, its coefficients do nothing.
 */
function withWorstParts(
  { space, uniform }: Pick<WorstCaseSearch, "space" | "uniform">,
  start: Draw,
  foreseen: Foreseen,
): Draw {
  const parts = space.parameters.filter(isSwept);
  let worst: ForeseenDraw | undefined;
  for (let corner = 0; corner < CORNERS; corner += 1) {
    const limits = parts.map((part) => [part.name, spanOf(part)[uniform() < 0.5 ? 0 : 1]] as const);
    const found = swept(space, { ...start, ...Object.fromEntries(limits) }, foreseen);
    if (worst === undefined || found.share > worst.share) worst = found;
  }
  return worst?.draw ?? start;
}

class Search {
  private readonly given: WorstCaseSearch;
  private left: number;
  private best: JudgedDraw | undefined;

  constructor(given: WorstCaseSearch) {
    this.given = given;
    this.left = given.runs;
  }

  private play(draw: Draw): MetDraw | undefined {
    this.left -= 1;
    const met = this.given.play(draw);
    if (met !== undefined && (this.best === undefined || met.judged.margin <= this.best.margin))
      this.best = met.judged;
    return met;
  }

  private start(draw: Draw): void {
    const met = this.play(draw);
    const foreseen = met && this.given.worstCase.foresee(met.episode);
    if (foreseen !== undefined && this.left > 0)
      this.play(withWorstParts(this.given, draw, foreseen));
  }

  run(starts: readonly Draw[]): void {
    const { space, runs, uniform } = this.given;
    for (const draw of starts.slice(0, runs)) this.play(draw);
    const own = starts.length > 0 ? 0 : Math.ceil(runs / RUNS_PER_START);
    for (let start = 0; start < own && this.left > 0; start += 1)
      this.start(classDraw(space.parameters, uniform));
    while (this.left > 0)
      this.play(
        this.best === undefined
          ? classDraw(space.parameters, uniform)
          : mutatedDraw(space.parameters, this.best.draw, uniform),
      );
  }
}

/**
 * Looks for the largest share of a proven error. From given draws, or else from draws of its own
 * whose parts are moved to where the error is foreseen to be worst; then a little or a lot aside of
 * the worst run so far, where roundings, trigger and window decide.
 */
export function searchWorstCase(search: WorstCaseSearch, starts: readonly Draw[] = []): void {
  new Search(search).run(starts);
}
