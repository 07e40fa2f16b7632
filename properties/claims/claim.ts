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

/** A finite list that a claim is tried on one by one, with the tester's parts at nominal. */
export interface Enumeration {
  /** What its members are, as "pairs of neighbouring codes". */
  readonly of: string;
  /** Name of the parameter that goes through them; it changes how samples are handled, no more. */
  readonly by: string;
  /** Its values: all, or the fewer that a quick campaign runs where all are too many. */
  readonly members: (subject: Subject, isWhole: boolean) => readonly number[];
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
  /** For a claim about a finite list: it is gone through in place of edge-biased draws. */
  readonly enumeration?: Enumeration;
  /** Identifiers of the seeded faults that this claim must catch. */
  readonly mustCatch: readonly string[];
  /** True for a claim that is false on purpose, to prove that a failure is reported. */
  readonly canary?: boolean;
  /** Claims of which it is a consequence: where it fails, one of them does. */
  readonly followsFrom?: readonly string[];
  /** True for the claim that the firmware itself comes through: every other presupposes it. */
  readonly presupposed?: boolean;
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
