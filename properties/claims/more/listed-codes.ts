import type { Design } from "../../../lib/design/design.ts";
import { scalingConstants } from "../../../lib/design/scaling-constants.ts";
import { codesOf } from "./held-codes.ts";

/** So many codes are few enough to be tried one and all in any campaign. */
const FEW = 4_096;

/** Of more codes, one in so many, and so many about each limit line, zero and both ends. */
const ONE_IN = 16;
const ABOUT = 8;

/** V of the lines about which codes are tried one by one. */
const LINES = [34, 60];

/**
 * Codes of a range, ends included: all of them, or where they are many and not all are asked for
 * one in 16 and each one about zero, the limit lines and the ends.
 */
export function listedCodes(
  design: Design,
  [first, last]: readonly [number, number],
  isWhole: boolean,
): readonly number[] {
  const { lowest, highest, zero } = codesOf(design);
  const all = last - first + 1;
  if (isWhole || highest - lowest < FEW) return Array.from({ length: all }, (_, k) => first + k);
  const perVolt = scalingConstants(design).codesPerVolt.toNumber();
  const places = [
    first,
    last,
    zero,
    ...LINES.flatMap((volts) => [zero + volts * perVolt, zero - volts * perVolt]),
  ].map(Math.round);
  const listed = new Set<number>();
  for (let code = first; code <= last; code += ONE_IN) listed.add(code);
  for (const place of places)
    for (let code = place - ABOUT; code <= place + ABOUT; code += 1)
      if (code >= first && code <= last) listed.add(code);
  return [...listed].sort((one, other) => one - other);
}
