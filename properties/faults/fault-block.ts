import * as fc from "fast-check";
import { OutsideDomainError, invariant } from "../../lib/errors.ts";
import type { Firmware, FirmwareSource } from "../../sim/firmware/port.ts";
import { stratifiedDraws } from "../arbitraries/draws.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import { seededUniform } from "../arbitraries/seeded-uniform.ts";
import { ConfigurationRefusedError, play, stageOf } from "../campaign/play.ts";
import type { Stage } from "../campaign/play.ts";
import { judgeDraw } from "../campaign/tally.ts";
import type { JudgedDraw } from "../campaign/block.ts";
import type { Claim } from "../claims/claim.ts";
import type { Episode, Subject } from "../claims/episode.ts";
import type { FrontEndFault } from "./front-end-faults.ts";

/** Name of the firmware as it is, on the front end as it is. */
export const UNCHANGED = "unchanged";

/** A tester with one fault in it, or with none. */
export interface FaultyTester {
  readonly id: string;
  readonly firmware: FirmwareSource;
  readonly frontEnd?: FrontEndFault;
  /** True where only blocks that name it play it, until any claim has noticed. */
  readonly isGenerated?: true;
}

/** What the blocks of a run over faults share. */
export interface FaultWork {
  readonly claims: readonly Claim[];
  readonly subject: Subject;
  readonly testers: readonly FaultyTester[];
  readonly seed: number;
}

/** Part of a run over faults that one worker does in one go: draws of the space of some claims. */
export interface FaultBlockKey {
  readonly claims: readonly string[];
  /** Testers that are left in the run; all but the generated ones where absent. */
  readonly faults?: readonly string[];
  /** True where testers with a broken front end are left out: each needs simulations of its own. */
  readonly firmwareOnly?: true;
  readonly block: number;
  readonly runs: number;
}

/** What one claim says of one tester in a block. */
export interface FaultCell {
  readonly fault: string;
  readonly claim: string;
  /** Runs to which the claim applied; none come after the first failure. */
  readonly judged: number;
  readonly failure: JudgedDraw | null;
}

/** What came of a block. */
export interface FaultBlockResult {
  readonly key: FaultBlockKey;
  /** Runs that could not be simulated, by tester. */
  readonly unplayable: Readonly<Record<string, number>>;
  readonly cells: readonly FaultCell[];
}

/** Runs of one block. */
export const FAULT_BLOCK = 25;

/** Text by which a block is known. */
export function faultKeyText({ claims, faults, block }: FaultBlockKey): string {
  return [claims.join("+"), ...(faults === undefined ? [] : [faults.join("+")]), block].join("/");
}

interface OpenCell {
  readonly claim: Claim;
  judged: number;
  failure: JudgedDraw | null;
}

/** One tester within a block. */
class TesterRun {
  readonly tester: FaultyTester;
  readonly cells: readonly OpenCell[];
  private readonly firmware: Firmware;
  private readonly space: ScenarioSpace;
  /**
   * Every claim fails where the firmware itself goes wrong: the one that is presupposed says so for
   * all, and each for itself where that one is not asked.
   */
  private readonly speaking: readonly OpenCell[];
  unplayable = 0;

  constructor(tester: FaultyTester, claims: readonly Claim[], space: ScenarioSpace) {
    this.tester = tester;
    this.firmware = tester.firmware.open();
    this.cells = claims.map((claim) => ({ claim, judged: 0, failure: null }));
    const presupposed = this.cells.filter(({ claim }) => claim.presupposed === true);
    this.speaking = presupposed.length > 0 ? presupposed : this.cells;
    this.space = brokenSpace(space, tester.frontEnd);
  }

  /** True once every claim has noticed; what all claims presuppose is not waited for. */
  get isDone(): boolean {
    const open = this.cells.filter(({ failure }) => failure === null);
    if (this.tester.isGenerated === true && open.length < this.cells.length) return true;
    return open.every(({ claim }) => claim.presupposed === true);
  }

  /** Plays a draw; the stage is that of a front end without a fault. */
  note(subject: Subject, draw: Draw, stage: Stage | undefined): void {
    const own = this.tester.frontEnd === undefined ? stage : this.stage(draw);
    if (own === undefined) {
      this.unplayable += 1;
      return;
    }
    let episode: Episode;
    try {
      episode = play(subject, this.firmware, { space: this.space, draw, stage: own });
    } catch (error) {
      if (!(error instanceof ConfigurationRefusedError) || this.tester.id === UNCHANGED)
        throw error;
      // It never comes to an episode that a claim could be asked about.
      const because = error.faults.map(({ received }) => received).join("; ");
      this.noticed({ draw, margin: -1, because, at: null });
      return;
    }
    for (const cell of this.cells) {
      if (cell.failure !== null) continue;
      if (episode.fault !== undefined && !this.speaking.includes(cell)) continue;
      const judged = judgeDraw(cell.claim, draw, episode);
      if (judged === undefined) continue;
      cell.judged += 1;
      if (judged.margin < 0) cell.failure = judged;
    }
  }

  /** What goes wrong before any claim could be asked. */
  private noticed(failure: JudgedDraw): void {
    for (const cell of this.speaking) {
      cell.judged += 1;
      cell.failure ??= failure;
    }
  }

  private stage(draw: Draw): Stage | undefined {
    return playable(() => stageOf(this.space, draw));
  }
}

/** A space as a unit with a broken front end lives through it. */
export function brokenSpace(space: ScenarioSpace, fault: FrontEndFault | undefined): ScenarioSpace {
  if (fault === undefined) return space;
  return {
    ...space,
    scenarioOf: (draw) => fault.change(space.scenarioOf(draw)),
    handling: (draw) => {
      const handling = space.handling?.(draw) ?? {};
      return fault.handle?.(handling, space.scenarioOf(draw)) ?? handling;
    },
  };
}

/** The stage of a draw; undefined where the simulation cannot resolve the scenario. */
function playable(stage: () => Stage): Stage | undefined {
  try {
    return stage();
  } catch (error) {
    if (error instanceof OutsideDomainError) return undefined;
    throw error;
  }
}

/**
 * Plays the same edge-biased draws to every tester. A scenario is simulated once for all firmware
 * variants; a claim that has noticed a fault is not asked again. The result depends on the work and
 * the key and on nothing else.
 */
export function runFaultBlock(work: FaultWork, key: FaultBlockKey): FaultBlockResult {
  const { subject } = work;
  const claims = key.claims.map((id) => work.claims.find((claim) => claim.id === id)!);
  const [first] = claims;
  invariant(first !== undefined, "a block has a claim");
  const space = first.over(subject);
  const also = work.claims.filter(
    ({ id, presupposed }) => presupposed === true && !key.claims.includes(id),
  );
  const runs = work.testers
    .filter(({ id, isGenerated }) => key.faults?.includes(id) ?? isGenerated !== true)
    .filter(({ frontEnd }) => key.firmwareOnly === undefined || frontEnd === undefined)
    .map((tester) => new TesterRun(tester, [...claims, ...also], space));
  const uniform = seededUniform(work.seed, `faults/${key.claims.join("+")}`, key.block);
  const seed = Math.floor(uniform() * 2 ** 31);
  for (const draw of fc.sample(stratifiedDraws(space.parameters), { seed, numRuns: key.runs })) {
    const open = runs.filter(({ isDone }) => !isDone);
    if (open.length === 0) break;
    const stage = playable(() => stageOf(space, draw));
    for (const run of open) run.note(subject, draw, stage);
  }
  return {
    key,
    unplayable: Object.fromEntries(
      runs.flatMap(({ tester, unplayable }) => (unplayable > 0 ? [[tester.id, unplayable]] : [])),
    ),
    cells: runs.flatMap(({ tester, cells }) =>
      cells.map(({ claim, judged, failure }) => ({
        fault: tester.id,
        claim: claim.id,
        judged,
        failure,
      })),
    ),
  };
}
