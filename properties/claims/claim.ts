import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import type { Episode, Subject } from "./episode.ts";

/** What a claim says of one episode. */
export type Judgement =
  | {
      readonly kind: "judged";
      /** Below zero: the claim fails; a share of what is allowed where that has a meaning. */
      readonly margin: number;
      /** What was found, in words with units. */
      readonly because: string;
      /** s of the scenario: the moment that decides. */
      readonly at?: number;
    }
  /** The claim says nothing of this episode. */
  | { readonly kind: "notApplicable"; readonly because: string };

/** How the worst case of a claim is sought whose margin is a share of a proven error. */
export interface WorstCase {
  /**
   * From a run: the share of the proven error that other parts would reach at the same voltage, by
   * their values. Quick and without rounding: it chooses what is played and judges nothing.
   */
  readonly foresee: (
    episode: Episode,
  ) => ((quantities: Readonly<Record<string, number>>) => number) | undefined;
  /** The witnesses of the proof as draws. */
  readonly witnesses: (subject: Subject) => readonly Draw[];
}

/** A promise that is tested over scenarios. */
export interface Claim {
  readonly id: string;
  /** One sentence. */
  readonly says: string;
  readonly over: (subject: Subject) => ScenarioSpace;
  /** Classes beside those of the parameters, by name: seen in the episode itself. */
  readonly covers?: Readonly<Record<string, (episode: Episode) => boolean>>;
  /** The truth comes from the simulation only. */
  readonly judge: (episode: Episode) => Judgement;
  /** For a claim about a proven error: how far the search gets is reported as its strength. */
  readonly worstCase?: WorstCase;
  /** Identifiers of the seeded faults that this claim must catch. */
  readonly mustCatch: readonly string[];
  /** True for a claim that is false on purpose, to prove that a failure is reported. */
  readonly canary?: boolean;
}

/** A judgement with its margin. */
export function judged(margin: number, because: string, at?: number): Judgement {
  return { kind: "judged", margin, because, ...(at === undefined ? {} : { at }) };
}

/** No judgement, and why. */
export function notApplicable(because: string): Judgement {
  return { kind: "notApplicable", because };
}

/** Whether a judgement leaves the claim standing. */
export function holds(judgement: Judgement): boolean {
  return judgement.kind === "notApplicable" || judgement.margin >= 0;
}
