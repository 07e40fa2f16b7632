import { normalDensity } from "../statistics/normal-probability.ts";
import { insideProbability, outsideProbabilities } from "./conformance.ts";
import { stateFaults, throwFaults, toleranceFaults } from "./tolerance.ts";
import type { NormalState, Tolerance } from "./tolerance.ts";

/** What is known of an item before it is measured, and from where. */
export interface Prior extends NormalState {
  /** Document or series of measurements it was taken from; printed with every risk. */
  readonly source: string;
}

/** An inspection: limits of the property, limits of its measured value, and the measurement. */
export interface Inspection {
  readonly prior: Prior;
  readonly tolerance: Tolerance;
  /** Measured values inside are accepted. */
  readonly acceptance: Tolerance;
  /** Standard uncertainty of the measured value, normal, above zero. */
  readonly standardUncertainty: number;
}

/** Probabilities over all items that are inspected. */
export interface GlobalRisk {
  /** Accepted although it does not conform. */
  readonly consumer: number;
  /** Rejected although it conforms: good product that is lost. */
  readonly producer: number;
  /** Does not conform, whatever is done with it. */
  readonly nonconforming: number;
  readonly accepted: number;
}

/** Nodes and weights of the Gauss-Legendre rule with ten points, positive half. */
const NODES: readonly (readonly [number, number])[] = [
  [0.14887433898163122, 0.29552422471475287],
  [0.4333953941292472, 0.26926671930999635],
  [0.6794095682990244, 0.21908636251598204],
  [0.8650633666889845, 0.1494513491505806],
  [0.9739065285171717, 0.06667134430868814],
];

function tenPoint(f: (x: number) => number, from: number, to: number): number {
  const half = (to - from) / 2;
  const middle = from + half;
  let sum = 0;
  for (const [node, weight] of NODES)
    sum += weight * (f(middle - half * node) + f(middle + half * node));
  return sum * half;
}

/** Standard deviations of the prior beyond which nothing counts. */
const REACH = 38;

/** Pieces per standard deviation of the narrower of the two distributions, and at most. */
const PIECES = 1;
const MOST_PIECES = 200_000;

/**
 * Integral of the prior's density times `f` from one value to another. The range is cut so that
 * neither distribution changes much inside a piece: ten points then leave no error that shows.
 */
function overPrior(
  { prior, standardUncertainty, acceptance }: Inspection,
  f: (item: NormalState) => number,
  from: number,
  to: number,
): number {
  const { estimate, standardUncertainty: spread } = prior;
  const least = Math.max(from, estimate - REACH * spread);
  const most = Math.min(to, estimate + REACH * spread);
  if (!(most > least)) return 0;
  const density = (x: number): number => normalDensity((x - estimate) / spread) / spread;
  const value = (x: number): number =>
    density(x) * f({ estimate: x, standardUncertainty: standardUncertainty });
  const cuts = new Set([least, most]);
  // Around each acceptance limit the chance of acceptance changes over the measurement's spread.
  for (const centre of [acceptance.lower, acceptance.upper]) {
    if (centre === undefined) continue;
    for (let step = -REACH; step <= REACH; step += 1) {
      const at = centre + step * standardUncertainty;
      if (at > least && at < most) cuts.add(at);
    }
  }
  const ends = [...cuts].sort((one, other) => one - other);
  let sum = 0;
  for (let index = 1; index < ends.length; index += 1) {
    const [start, end] = [ends[index - 1]!, ends[index]!];
    const pieces = Math.min(MOST_PIECES, Math.max(1, Math.ceil((PIECES * (end - start)) / spread)));
    const width = (end - start) / pieces;
    for (let piece = 0; piece < pieces; piece += 1)
      sum += tenPoint(value, start + piece * width, start + (piece + 1) * width);
  }
  return sum;
}

/**
 * Global consumer's and producer's risk of an inspection, for normal items and a normal
 * measurement, by quadrature. Throws InvalidInputError with every fault of the inspection.
 *
 * Source: JCGM 106:2012, 9.5.
 */
export function globalRisk(inspection: Inspection): GlobalRisk {
  const { prior, tolerance, acceptance, standardUncertainty } = inspection;
  throwFaults("inspection", [
    ...stateFaults(prior, "prior"),
    ...(prior.source.trim() === ""
      ? [
          {
            path: "prior.source",
            quantity: "source of the prior",
            permitted: "named",
            received: '""',
          },
        ]
      : []),
    ...toleranceFaults(tolerance, "tolerance"),
    ...toleranceFaults(acceptance, "acceptance"),
    ...stateFaults({ estimate: 0, standardUncertainty }, "measurement"),
  ]);
  const { lower = -Infinity, upper = Infinity } = tolerance;
  const accepted = (item: NormalState): number => insideProbability(item, acceptance);
  const rejected = (item: NormalState): number => {
    const { below, above } = outsideProbabilities(item, acceptance);
    return below + above;
  };
  const outside = outsideProbabilities(prior, tolerance);
  const shown = {
    ...prior,
    standardUncertainty: Math.hypot(prior.standardUncertainty, standardUncertainty),
  };
  return {
    consumer:
      overPrior(inspection, accepted, -Infinity, lower) +
      overPrior(inspection, accepted, upper, Infinity),
    producer: overPrior(inspection, rejected, lower, upper),
    nonconforming: outside.below + outside.above,
    accepted: insideProbability(shown, acceptance),
  };
}
