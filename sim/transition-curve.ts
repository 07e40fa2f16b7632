/**
 * Deviation of the converter's transitions from the drawn straight line, LSB. `points`: straight
 * between the codes given, level beyond them; `transitions`: one for each transition, that into
 * the second lowest code first. Positive: the transition lies higher.
 */
export type TransitionCurve =
  | { readonly points: readonly { readonly code: number; readonly deviation: number }[] }
  | { readonly transitions: readonly number[] };
