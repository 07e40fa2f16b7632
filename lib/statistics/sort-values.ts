/** Below this the native sort is as fast. */
const FEWEST = 128;
/** A bucket with more values is sorted natively: insertion would take the square of it. */
const CROWDED = 40;

/**
 * Sorts finite values in ascending order, in place. Spreads them over as many buckets as there
 * are values and finishes by insertion: several times faster than the native sort for values with
 * a smooth distribution, and no slower than that by much for any other.
 */
export function sortValues(values: Float64Array): void {
  const { length } = values;
  if (length < FEWEST) {
    values.sort();
    return;
  }
  let least = Infinity;
  let greatest = -Infinity;
  for (let index = 0; index < length; index += 1) {
    const value = values[index]!;
    if (value < least) least = value;
    if (value > greatest) greatest = value;
  }
  const scale = (length - 1) / (greatest - least);
  // Values all equal, or so near or far apart that the scale overflows.
  if (!(scale > 0 && scale < Infinity && greatest - least < Infinity)) {
    values.sort();
    return;
  }
  const ends = new Uint32Array(length + 1);
  const bucketOf = new Uint32Array(length);
  for (let index = 0; index < length; index += 1) {
    const bucket = ((values[index]! - least) * scale) >>> 0;
    bucketOf[index] = bucket;
    ends[bucket]! += 1;
  }
  let start = 0;
  for (let bucket = 0; bucket <= length; bucket += 1) {
    const size = ends[bucket]!;
    ends[bucket] = start;
    start += size;
  }
  const spread = new Float64Array(length);
  for (let index = 0; index < length; index += 1) {
    const bucket = bucketOf[index]!;
    spread[ends[bucket]!] = values[index]!;
    ends[bucket]! += 1;
  }
  let from = 0;
  for (let bucket = 0; bucket < length; bucket += 1) {
    const to = ends[bucket]!;
    if (to - from > CROWDED) spread.subarray(from, to).sort();
    else
      for (let index = from + 1; index < to; index += 1) {
        const value = spread[index]!;
        let place = index;
        while (place > from && spread[place - 1]! > value) {
          spread[place] = spread[place - 1]!;
          place -= 1;
        }
        spread[place] = value;
      }
    from = to;
  }
  values.set(spread);
}
