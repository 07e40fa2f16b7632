/** A label on a line: where its middle would stand best, and its length along the line. */
export interface SpreadLabel {
  readonly wanted: number;
  readonly size: number;
}

/** Labels that touch each other and move together. */
interface Block {
  readonly places: readonly number[];
  readonly size: number;
  /** Sum over the labels of the start of the block at which each stands best. */
  readonly wish: number;
}

interface Line {
  readonly from: number;
  readonly to: number;
}

function startOf({ places, size, wish }: Block, { from, to }: Line): number {
  return Math.max(from, Math.min(to - size, wish / places.length));
}

function joined(first: Block, second: Block): Block {
  return {
    places: [...first.places, ...second.places],
    size: first.size + second.size,
    wish: first.wish + second.wish - second.places.length * first.size,
  };
}

/**
 * Middles of labels moved apart along a line so that none overlaps another, in the order in which
 * they would stand best, each group of touching labels with the least sum of squared moves. All
 * stand inside the line where their sizes add up to no more than its length; otherwise they begin
 * at its start and run over its end. Results are in the order of the labels given.
 */
export function spreadLabels(labels: readonly SpreadLabel[], line: Line): readonly number[] {
  const order = labels
    .map((label, place) => ({ ...label, place }))
    .sort((one, other) => one.wanted - other.wanted || one.place - other.place);
  const blocks: Block[] = [];
  for (const { wanted, size, place } of order) {
    let block: Block = { places: [place], size, wish: wanted - size / 2 };
    for (let last = blocks.at(-1); last !== undefined; last = blocks.at(-1)) {
      if (startOf(last, line) + last.size <= startOf(block, line)) break;
      block = joined(last, block);
      blocks.pop();
    }
    blocks.push(block);
  }
  const middles = labels.map(({ wanted }) => wanted);
  for (const block of blocks) {
    let start = startOf(block, line);
    for (const place of block.places) {
      const size = labels[place]?.size ?? 0;
      middles[place] = start + size / 2;
      start += size;
    }
  }
  return middles;
}
