/** A run beside its baseline, in sentences. */
export interface BaselineComparison {
  /** Why the two say nothing of each other; undefined where they are compared. */
  readonly incomparable?: string;
  readonly worse: readonly string[];
  readonly better: readonly string[];
}
