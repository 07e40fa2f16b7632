/**
 * An axis that is nearly linear within `constant` of zero and logarithmic beyond, the same for both
 * signs: the place of a value is sign(value) log(1 + |value| / constant).
 */
export interface SymmetricLog {
  /** In the unit of the axis, above zero. */
  readonly constant: number;
  /** Ascending. */
  readonly domain: readonly [number, number];
}

function place(value: number, constant: number): number {
  return Math.sign(value) * Math.log1p(Math.abs(value) / constant);
}

/** Room for the ticks of an axis. */
export interface TickRoom {
  /** Of the axis, pixels. */
  readonly length: number;
  /** Between two ticks at least, pixels. */
  readonly spacing: number;
  /** Whether the ends of the axis are figures that a reader asks for. */
  readonly ends: "asked" | "free";
}

/** Share of the axis from its lower end at which a value stands. */
export function axisShare(value: number, { constant, domain }: SymmetricLog): number {
  const [lower, upper] = [place(domain[0], constant), place(domain[1], constant)];
  return (place(value, constant) - lower) / (upper - lower);
}

/** Round magnitudes 1, 2 and 5 times a power of ten up to the greatest, largest first. */
function roundMagnitudes(greatest: number, constant: number): readonly number[] {
  const top = Math.floor(Math.log10(greatest));
  const bottom = Math.floor(Math.log10(constant)) - 2;
  const decades = Array.from({ length: Math.max(1, top - bottom + 1) }, (_, step) => top - step);
  return decades
    .flatMap((exponent) => [5, 2, 1].map((digit) => Number(`${digit}e${exponent}`)))
    .filter((magnitude) => magnitude <= greatest);
}

/**
 * Zero, the ends where they are `asked`, and round values for an axis of `length` pixels,
 * ascending, each at least `spacing` pixels from the next; the largest ones are kept first.
 */
export function axisTicks(
  axis: SymmetricLog,
  { length, spacing, ends }: TickRoom,
): readonly number[] {
  const [lower, upper] = axis.domain;
  const isInside = (value: number) => value >= lower && value <= upper;
  const kept = [0].filter(isInside);
  const greatest = Math.max(Math.abs(lower), Math.abs(upper));
  const round = roundMagnitudes(greatest, axis.constant).flatMap((one) => [one, -one]);
  for (const value of [...(ends === "asked" ? axis.domain : []), ...round].filter(isInside)) {
    const pixel = length * axisShare(value, axis);
    const isFree = kept.every(
      (other) => Math.abs(length * axisShare(other, axis) - pixel) >= spacing,
    );
    if (isFree) kept.push(value);
  }
  return kept.sort((one, other) => one - other);
}
