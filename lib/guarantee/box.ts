/** A product of closed intervals, one per symbol slot of a tape. */
export interface Box {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/** A copy that may be changed. */
export function copyBox(box: Box): Box {
  return { lower: box.lower.slice(), upper: box.upper.slice() };
}
