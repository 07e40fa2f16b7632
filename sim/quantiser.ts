import { OutsideDomainError } from "../lib/errors.ts";
import type { FrontEnd } from "./front-end.ts";
import { StaticTransfer } from "./static-transfer.ts";
import type { TransitionCurve } from "./transition-curve.ts";

/** Largest number of bits for which transitions are tabulated. */
export const MOST_TABULATED_BITS = 18;

/** Largest number of bits of a simulated converter. */
const MOST_BITS = 24;

/** A quantiser seen from the node of the divider: it maps node voltages to codes. */
export interface Quantiser {
  /** Lowest and highest code. */
  readonly lowest: number;
  readonly highest: number;
  /**
   * Node voltage, V, at which each code begins, the lowest code at minus infinity; one more entry
   * at plus infinity. Empty where codes are searched: without a table, or above 18 bits.
   */
  readonly edges: Float64Array;
  /** Code = about (node - origin) slope + lowest; where the search for the code starts. */
  readonly origin: number;
  readonly slope: number;
  /** V at the node for one LSB of noise. */
  readonly voltsPerCode: number;
  /** Node voltages, V, beyond which the buffer is at the end of its swing. */
  readonly swing?: { readonly lower: number; readonly upper: number };
  /** Without a table. */
  readonly searched?: {
    /** Code, counted from the lowest, of a node voltage. */
    readonly indexOf: (node: number) => number;
    /** Node voltage, V, at which a code, counted from the lowest and above it, begins. */
    readonly edgeAt: (index: number) => number;
  };
}

function deviationOf(curve: TransitionCurve | undefined, lowest: number) {
  if (curve === undefined) return (): number => 0;
  if ("transitions" in curve)
    return (code: number): number => curve.transitions[code - lowest - 1] ?? 0;
  const points = [...curve.points].sort((one, other) => one.code - other.code);
  return (code: number): number => {
    if (points.length === 0) return 0;
    const next = points.findIndex((point) => point.code >= code);
    if (next < 0) return points.at(-1)!.deviation;
    const above = points[next]!;
    const below = points[next - 1];
    if (below === undefined || above.code === code) return above.deviation;
    const share = (code - below.code) / (above.code - below.code);
    return below.deviation + share * (above.deviation - below.deviation);
  };
}

/** Transitions of a front end, by index, from the place of each on the converter's line. */
interface Transitions {
  readonly lowest: number;
  readonly highest: number;
  readonly deviation: (code: number) => number;
  /** Node voltage at a place on the line. */
  readonly nodeAt: (position: number) => number;
}

function tabulated({ lowest, highest, deviation, nodeAt }: Transitions): Float64Array {
  const count = highest - lowest + 1;
  const edges = new Float64Array(count + 1);
  edges[0] = -Infinity;
  edges[count] = Infinity;
  for (let index = 1; index < count; index += 1) {
    const code = lowest + index;
    edges[index] = Math.max(nodeAt(code - 0.5 + deviation(code)), edges[index - 1]!);
  }
  return edges;
}

/**
 * Codes without a table: bisection on the transitions, each worked out when it is asked for. They
 * rise, because a curve of points that falls by an LSB from one code to the next is refused.
 */
function searched({ lowest, highest, deviation, nodeAt }: Transitions) {
  const edgeAt = (index: number): number => {
    const code = lowest + index;
    return nodeAt(code - 0.5 + deviation(code));
  };
  const indexOf = (node: number): number => {
    let low = 0;
    let high = highest - lowest;
    while (low < high) {
      const middle = Math.ceil((low + high) / 2);
      if (edgeAt(middle) <= node) low = middle;
      else high = middle - 1;
    }
    return low;
  };
  return { indexOf, edgeAt };
}

/** How a quantiser is going to be used. */
export interface QuantiserUse {
  /** True where a table of all codes would cost more than it saves. */
  readonly withoutTable?: boolean;
}

/**
 * Builds the quantiser of a front end. All that is static between node and code, the voltage
 * coefficients included, moves the transitions. A transition that lies below the one before it
 * never acts: its code is missing. Up to 18 bits the transitions stand in a table, up to 24, or
 * where no table is wanted, they are worked out where they are needed. The codes are the same
 * either way. Throws OutsideDomainError above that.
 */
export function buildQuantiser(
  frontEnd: FrontEnd,
  curve?: TransitionCurve,
  { withoutTable = false }: QuantiserUse = {},
): Quantiser {
  const { converter, buffer } = frontEnd;
  const { lowest, highest, slope, offset } = converter;
  const count = highest - lowest + 1;
  if (count > 2 ** MOST_BITS) {
    throw new OutsideDomainError({
      path: "design.adc.bits",
      quantity: "bits of a simulated converter",
      permitted: `at most ${MOST_BITS}`,
      received: String(Math.log2(count)),
    });
  }
  const transfer = new StaticTransfer(frontEnd);
  const nodeOf = (output: number): number =>
    (output / buffer.gain - buffer.offset) / (1 + buffer.commonMode);
  const linearOf = (output: number): number => transfer.linearOfReal(nodeOf(output));
  const transitions: Transitions = {
    lowest,
    highest,
    deviation: deviationOf(curve, lowest),
    nodeAt: (position) => linearOf((position - offset) / slope),
  };
  // A curve may fall from one code to the next, which takes the table to sort out.
  const inTable = count <= 2 ** MOST_TABULATED_BITS && !(withoutTable && curve === undefined);
  const first = linearOf((lowest - 0.5 - offset) / slope);
  const last = linearOf((highest + 0.5 - offset) / slope);
  const { swing } = buffer;
  return {
    lowest,
    highest,
    edges: inTable ? tabulated(transitions) : new Float64Array(0),
    ...(inTable ? {} : { searched: searched(transitions) }),
    origin: first,
    slope: count / (last - first),
    voltsPerCode: (last - first) / count,
    ...(swing === undefined
      ? {}
      : { swing: { lower: linearOf(swing.lower), upper: linearOf(swing.upper) } }),
  };
}

/** Code of one node voltage, V. */
export function codeOf(quantiser: Quantiser, node: number): number {
  const { edges, origin, slope, lowest, highest, swing } = quantiser;
  const held = swing === undefined ? node : Math.min(Math.max(node, swing.lower), swing.upper);
  if (quantiser.searched !== undefined) return lowest + quantiser.searched.indexOf(held);
  const guess = Math.floor((held - origin) * slope);
  let index = guess < 0 ? 0 : guess > highest - lowest ? highest - lowest : guess;
  while (held < edges[index]!) index -= 1;
  while (held >= edges[index + 1]!) index += 1;
  return lowest + index;
}
