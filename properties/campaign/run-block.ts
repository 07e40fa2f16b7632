import { createHash } from "node:crypto";
import * as fc from "fast-check";
import { invariant } from "../../lib/errors.ts";
import type { FirmwareSource } from "../../sim/firmware/port.ts";
import { mutatedDraw, stratifiedDraws, unbiasedDraw } from "../arbitraries/draws.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import { seededUniform } from "../arbitraries/seeded-uniform.ts";
import type { Uniform } from "../arbitraries/seeded-uniform.ts";
import type { Claim, Enumeration, WorstCase } from "../claims/claim.ts";
import type { Subject } from "../claims/episode.ts";
import { BLOCK_SIZE, LISTED_BLOCK_SIZE, REPEATED } from "./block.ts";
import type { BlockKey, BlockResult, FoundFailure, JudgedDraw } from "./block.ts";
import { evaluateDraw, playedText } from "./evaluate-draw.ts";
import type { Played } from "./evaluate-draw.ts";
import { stageOf } from "./play.ts";
import type { Stage } from "./play.ts";
import { Tally, judgeDraw } from "./tally.ts";
import { searchWorstCase } from "./worst-case-search.ts";
import type { MetDraw } from "./worst-case-search.ts";

/** What the blocks of a campaign share. */
export interface BlockWork {
  readonly claims: readonly Claim[];
  readonly subject: Subject;
  readonly firmware: FirmwareSource;
  readonly seed: number;
  /** Values that failed once, by claim. */
  readonly corpus: Readonly<Record<string, readonly Draw[]>>;
}

/** Runs that the reduction of a failure may take. */
const MOST_REDUCTIONS = 200;

/** Draws among which a search chooses its start. */
const STARTS = 10;

class BlockRunner {
  private readonly work: BlockWork;
  private readonly key: BlockKey;
  private readonly space: ScenarioSpace;
  private readonly tallies: readonly Tally[];
  private readonly run: (draw: Draw, stage?: Stage) => Played;
  private readonly uniform: Uniform;
  private readonly hash = createHash("sha256");
  private done = 0;
  private unplayable = 0;
  private refusal: string | null = null;
  private repeated = 0;
  private differing = 0;
  private compared = 0;
  private unlike = 0;
  private readonly runPlain: ((draw: Draw) => Played) | undefined;

  constructor(work: BlockWork, key: BlockKey) {
    const { subject } = work;
    const claims = key.claims.map((id) => work.claims.find((claim) => claim.id === id));
    const [first] = claims;
    invariant(first !== undefined, `the campaign has the claims ${key.claims.join(", ")}`);
    this.work = work;
    this.key = key;
    this.space = first.over(subject);
    this.tallies = claims.map((claim) => new Tally(claim!, this.space));
    const bench = { subject, firmware: work.firmware.open() };
    this.run = (draw, stage) => evaluateDraw(bench, this.space, draw, stage);
    const plain = work.firmware.openPlain?.();
    this.runPlain =
      plain && ((draw) => evaluateDraw({ subject, firmware: plain }, this.space, draw));
    this.uniform = seededUniform(work.seed, `${key.claims.join("+")}/${key.method}`, key.block);
  }

  /** Plays and counts a draw; what the first claim says of it. */
  private note(draw: Draw, stage?: Stage): MetDraw | undefined {
    const played = this.run(draw, stage);
    const text = playedText(played);
    this.hash.update(text);
    if (this.done % REPEATED === 0) this.repeat(draw, played, text);
    this.done += 1;
    if (played.kind === "unplayable") {
      this.unplayable += 1;
      this.refusal ??= played.reason;
      return undefined;
    }
    const { episode } = played;
    const [judged] = this.tallies.map((tally) => tally.note(episode));
    return judged && { judged, episode };
  }

  /** A run once more, and with the plain build where the trapping one came through. */
  private repeat(draw: Draw, played: Played, text: string): void {
    this.repeated += 1;
    if (playedText(this.run(draw)) !== text) this.differing += 1;
    const cameThrough = played.kind === "played" && played.episode.fault === undefined;
    if (this.runPlain === undefined || !cameThrough) return;
    this.compared += 1;
    if (playedText(this.runPlain(draw)) !== text) this.unlike += 1;
  }

  /** A failure again, as small as the library's shrinking makes it. */
  private shrunk(tally: Tally, arbitrary: fc.Arbitrary<Draw>, seed: number): FoundFailure | null {
    const met = tally.failed;
    if (met === undefined) return null;
    const text = JSON.stringify(met.draw);
    let smallest = met;
    let reductions = 0;
    let isFound = false;
    let thrown: unknown;
    const property = fc.property(arbitrary, (draw) => {
      if (!isFound) {
        isFound = JSON.stringify(draw) === text;
        return !isFound;
      }
      if (reductions >= MOST_REDUCTIONS) return true;
      reductions += 1;
      try {
        const judged = this.failing(tally, draw);
        if (judged === undefined) return true;
        smallest = judged;
        return false;
      } catch (error) {
        // The library would take it for one more failure of the claim.
        thrown ??= error;
        return true;
      }
    });
    fc.check(property, { seed, numRuns: this.key.runs });
    if (thrown !== undefined) throw thrown;
    return this.reduced(tally, { met, smallest, reductions });
  }

  /** A judged failure at a draw; undefined where the claim stands or the draw cannot be played. */
  private failing(tally: Tally, draw: Draw): JudgedDraw | undefined {
    const played = this.run(draw);
    if (played.kind === "unplayable") return undefined;
    const judged = judgeDraw(tally.claim, draw, played.episode);
    return judged !== undefined && judged.margin < 0 ? judged : undefined;
  }

  /** Parts that need not be mentioned are brought to nominal together, where the claim still fails. */
  private withPlainParts(tally: Tally, found: FoundFailure): FoundFailure {
    const silent = this.space.parameters.flatMap(({ name, silentAt }) =>
      silentAt === undefined ? [] : [[name, silentAt] as const],
    );
    const plain = Object.fromEntries(silent);
    for (const one of [found.smallest, found.met]) {
      const judged = this.failing(tally, { ...one.draw, ...plain });
      if (judged !== undefined) return { ...found, smallest: judged };
    }
    return found;
  }

  /** Brings each parameter of a failure to its plainest value with which the claim still fails. */
  private reduced(tally: Tally, given: FoundFailure): FoundFailure {
    const found = this.withPlainParts(tally, given);
    let { smallest, reductions } = found;
    const most = reductions + MOST_REDUCTIONS;
    for (const { name, strata } of this.space.parameters.toReversed()) {
      const plain = strata[0]!.least;
      if (smallest.draw[name] === plain || reductions >= most) continue;
      reductions += 1;
      smallest = this.failing(tally, { ...smallest.draw, [name]: plain }) ?? smallest;
    }
    return { met: found.met, smallest, reductions };
  }

  private edges(): (FoundFailure | null)[] {
    const seed = Math.floor(this.uniform() * 2 ** 31);
    const arbitrary = stratifiedDraws(this.space.parameters);
    const property = fc.property(arbitrary, (draw) => void this.note(draw));
    const details = fc.check(property, { seed, numRuns: this.key.runs });
    if (details.errorInstance instanceof Error) throw details.errorInstance;
    return this.tallies.map((tally) => this.shrunk(tally, arbitrary, seed));
  }

  private listed(draws: readonly Draw[]): (FoundFailure | null)[] {
    for (const draw of draws) this.note(draw);
    return this.tallies.map((tally) => {
      const met = tally.failed;
      return met === undefined ? null : this.reduced(tally, { met, smallest: met, reductions: 0 });
    });
  }

  /** Goes through members of a finite list: they differ in how samples are handled alone. */
  private enumerate({ by, members }: Enumeration): (FoundFailure | null)[] {
    const { space, key, work } = this;
    const plain = Object.fromEntries(
      space.parameters.map(({ name, strata }) => [name, strata[0]!.least]),
    );
    const first = key.block * LISTED_BLOCK_SIZE;
    const values = members(work.subject, key.method === "exhaustive");
    const shared = stageOf(space, plain);
    for (const value of values.slice(first, first + key.runs)) {
      const draw = { ...plain, [by]: value };
      this.note(draw, { ...shared, handling: space.handling?.(draw) ?? {} });
    }
    return this.listed([]);
  }

  private search(): (FoundFailure | null)[] {
    const { parameters } = this.space;
    let best: JudgedDraw | undefined;
    for (let place = 0; place < this.key.runs; place += 1) {
      const draw =
        place < STARTS || best === undefined
          ? unbiasedDraw(parameters, this.work.seed, this.key.block * BLOCK_SIZE + place)
          : mutatedDraw(parameters, best.draw, this.uniform);
      const judged = this.note(draw)?.judged;
      if (judged !== undefined && (best === undefined || judged.margin <= best.margin))
        best = judged;
    }
    return this.listed([]);
  }

  private worstCase(worstCase: WorstCase, starts?: readonly Draw[]): (FoundFailure | null)[] {
    const { space, uniform } = this;
    const play = (draw: Draw): MetDraw | undefined => this.note(draw);
    searchWorstCase({ space, worstCase, runs: this.key.runs, uniform, play }, starts);
    return this.listed([]);
  }

  private found(): (FoundFailure | null)[] {
    const { method, block, runs, claims } = this.key;
    const first = block * BLOCK_SIZE;
    const { worstCase, enumeration } = this.tallies[0]!.claim;
    switch (method) {
      case "corpus":
        return this.listed((this.work.corpus[claims[0]!] ?? []).slice(first, first + runs));
      case "exhaustive":
      case "enumerated": {
        invariant(enumeration !== undefined, `the claim ${claims[0]!} has a finite list`);
        return this.enumerate(enumeration);
      }
      case "edges":
        return this.edges();
      case "search":
        return worstCase === undefined ? this.search() : this.worstCase(worstCase);
      case "witness": {
        invariant(worstCase !== undefined, `the claim ${claims[0]!} has a proven bound`);
        return this.worstCase(worstCase, worstCase.witnesses(this.work.subject));
      }
      case "unbiased": {
        const { parameters } = this.space;
        const draws = Array.from({ length: runs }, (_, index) =>
          unbiasedDraw(parameters, this.work.seed, 1e9 + first + index),
        );
        return this.listed(draws);
      }
    }
  }

  result(): BlockResult {
    const found = this.found();
    const { key, done, unplayable, refusal } = this;
    const { repeated, differing, compared, unlike } = this;
    const digest = this.hash.digest("hex");
    const tallies = this.tallies.map((tally, index) => tally.result(found[index]!));
    const again = { repeated, differing, compared, unlike };
    return { key, done, unplayable, refusal, ...again, digest, tallies };
  }
}

/**
 * Does one block of a campaign. The result depends on the work and the key and on nothing else:
 * neither on blocks done before nor on who does it.
 */
export function runBlock(work: BlockWork, key: BlockKey): BlockResult {
  return new BlockRunner(work, key).result();
}
