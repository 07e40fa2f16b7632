// Part of the checker of certificates, which shares no code with the search.
import type { CertificateStep } from "../certificate.ts";
import { Rows } from "./checked-rows.ts";
import { BITS, doubleOf, least, most, multiply, negate, refuse } from "./fixed-point.ts";
import type { Box, Fixed } from "./fixed-point.ts";

/** A function with its sign: the low side is the high side of its negative. */
export interface Subject {
  readonly rows: Rows;
  readonly sign: 1 | -1;
  /** Called at every step. */
  readonly count: () => void;
}

export const signed = (a: Fixed, sign: 1 | -1): Fixed => (sign === 1 ? a : negate(a));

/** Upper bound on a face: the lesser of the natural and the mean-value bound. */
export function faceBound({ rows, sign }: Subject, box: Box): bigint {
  const natural = signed(rows.value(box), sign).high;
  const open = box.flatMap(({ low, high }, slot) => (low === high ? [] : [slot]));
  if (open.length === 0) return natural;
  const gradient = rows.gradient(box.length).map((partial) => signed(partial, sign));
  const centre = box.map(({ low, high }, slot) => {
    const slope = gradient[slot]!;
    if (low === high || slope.low >= 0n) return { low: high, high };
    if (slope.high <= 0n) return { low, high: low };
    const inside = low + ((high - low) * slope.high) / (slope.high - slope.low);
    return { low: inside, high: inside };
  });
  let bound = signed(rows.value(centre), sign).high;
  for (const slot of open) {
    const { low, high } = box[slot]!;
    const at = centre[slot]!.low;
    const rest = multiply(gradient[slot]!, { low: low - at, high: high - at });
    bound += most(rest.high, 0n);
  }
  return least(natural, bound);
}

/** A box with one interval replaced. */
export function withSide(box: Box, slot: number, side: Fixed): Box {
  return box.map((own, index) => (index === slot ? side : own));
}

/** Largest value of the subject over the box, by the steps of a proof. */
export function proven(subject: Subject, start: Box, step: CertificateStep): bigint {
  const { rows, sign } = subject;
  subject.count();
  let box = start;
  for (const pass of step.collapse ?? []) {
    rows.value(box);
    const gradient = rows.gradient(box.length);
    const before = box;
    for (const symbol of pass) {
      const slot = Math.abs(symbol) - 1;
      const slope = signed(gradient[slot] ?? refuse(`symbol ${symbol}`), sign);
      const { low, high } = before[slot]!;
      if (symbol > 0 && slope.low < 0n) refuse(`a collapse of symbol ${symbol}: it can fall`);
      if (symbol < 0 && slope.high > 0n) refuse(`a collapse of symbol ${symbol}: it can rise`);
      box = withSide(box, slot, symbol > 0 ? { low: high, high } : { low, high: low });
    }
  }
  const own = faceBound(subject, box);
  if (step.cut === undefined || step.parts === undefined) return own;
  const slot = step.cut.symbol - 1;
  const { low, high } = box[slot] ?? refuse(`symbol ${step.cut.symbol}`);
  if (step.cut.kind === "halves") {
    const at = doubleOf(step.cut.at);
    if (at.low < low || at.high > high) refuse("halves that do not meet inside the interval");
    const halves = most(
      proven(subject, withSide(box, slot, { low, high: at.high }), step.parts[0]),
      proven(subject, withSide(box, slot, { low: at.low, high }), step.parts[1]),
    );
    return least(own, halves);
  }
  rows.value(box);
  const curvature = signed(rows.curvature(slot), sign).low;
  const width = high - low;
  const missed = curvature >= 0n ? 0n : ((-curvature * width * width) >> (2n * BITS + 3n)) + 1n;
  const ends = most(
    proven(subject, withSide(box, slot, { low, high: low }), step.parts[0]),
    proven(subject, withSide(box, slot, { low: high, high }), step.parts[1]),
  );
  return least(own, ends + missed);
}
