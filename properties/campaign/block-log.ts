import { createHash } from "node:crypto";
import { classOf } from "../arbitraries/space.ts";
import type { Point, Space } from "../arbitraries/space.ts";
import type { Claim } from "../claims/claim.ts";
import type { BlockKey, BlockResult, FoundFailure, JudgedPoint } from "./block.ts";
import { outcomeText } from "./evaluate-point.ts";
import type { Evaluation } from "./evaluate-point.ts";

/** Gathers what the runs of one block give. */
export class BlockLog {
  private readonly claim: Claim;
  private readonly space: Space;
  private readonly hash = createHash("sha256");
  private readonly classes: string[] = [];
  private readonly named: number[];
  private done = 0;
  private notApplicable = 0;
  private unplayable = 0;
  private refusal: string | null = null;
  private failures = 0;
  private worst: JudgedPoint | null = null;
  private repeated = 0;
  private differing = 0;
  private firstFailure: JudgedPoint | undefined;

  constructor(claim: Claim, space: Space) {
    this.claim = claim;
    this.space = space;
    this.named = claim.covers.map(() => 0);
  }

  /** The failure met first. */
  get failed(): JudgedPoint | undefined {
    return this.firstFailure;
  }

  /** Counts a run. */
  note(point: Point, evaluation: Evaluation): void {
    this.done += 1;
    this.hash.update(outcomeText(evaluation));
    if (evaluation.kind === "unplayable") {
      this.unplayable += 1;
      this.refusal ??= evaluation.reason;
      return;
    }
    if (evaluation.kind === "notApplicable") {
      this.notApplicable += 1;
      return;
    }
    const { judged, outcome } = evaluation;
    this.classes.push(
      this.space.map((one) => classOf(one, point[one.name]!).toString(36)).join(""),
    );
    this.claim.covers.forEach(({ is }, index) => {
      if (is(outcome)) this.named[index]! += 1;
    });
    if (this.worst === null || judged.margin < this.worst.margin) this.worst = judged;
    if (judged.margin >= 0) return;
    this.failures += 1;
    this.firstFailure ??= judged;
  }

  /** Counts a repetition of a run. */
  noteRepeated(first: Evaluation, second: Evaluation): void {
    this.repeated += 1;
    if (outcomeText(first) !== outcomeText(second)) this.differing += 1;
  }

  result(key: BlockKey, asked: number, failure: FoundFailure | null): BlockResult {
    const { done, notApplicable, unplayable, refusal, failures, classes, named } = this;
    const { worst, repeated, differing } = this;
    return {
      claim: key.claim,
      method: key.method,
      block: key.block,
      asked,
      done,
      notApplicable,
      unplayable,
      refusal,
      failures,
      classes,
      named,
      worst,
      failure,
      repeated,
      differing,
      digest: this.hash.digest("hex"),
    };
  }
}
