import { OutsideDomainError } from "../errors.ts";
import { requireFinite, requireNotNegative, requirePositive } from "../quantity/number-domain.ts";
import { normalDensity, normalProbability } from "../statistics/normal-probability.ts";
import type { Distribution } from "../statistics/distribution.ts";
import { evaluateUncertainty } from "../uncertainty/evaluate-uncertainty.ts";

function requireCount(count: number): void {
  if (Number.isInteger(count) && count >= 1 && count <= 1_000_000) return;
  throw new OutsideDomainError({
    path: "",
    quantity: "number of openings",
    permitted: "an integer from 1 to 1000000",
    received: String(count),
  });
}

function requireConfidence(confidence: number): void {
  if (confidence > 0 && confidence < 1) return;
  throw new OutsideDomainError({
    path: "",
    quantity: "confidence",
    permitted: "between 0 and 1",
    received: String(confidence),
  });
}

/**
 * Share of the crest that is left when the supply opens `lateness` seconds beside the crest:
 * |cos(2 pi f d)|. 1 ms at 50 Hz leaves 95.1 %. Throws OutsideDomainError unless the frequency is
 * above zero and the lateness finite.
 */
export function openingShare(opening: {
  readonly lateness: number;
  readonly frequency: number;
}): number {
  const { lateness, frequency } = opening;
  requireFinite([{ quantity: "time beside the crest", value: lateness, unit: "s" }]);
  requirePositive([{ quantity: "mains frequency", value: frequency, unit: "Hz" }]);
  return Math.abs(Math.cos(2 * Math.PI * frequency * lateness));
}

/** What the greatest of several openings at random phases reaches, as shares of the crest. */
export interface RandomOpenings {
  /** Passed with the confidence asked for. */
  readonly least: number;
  readonly expected: number;
  readonly standardDeviation: number;
}

/** Intervals of Simpson's rule over the greatest of several openings, and how far it goes. */
const PHASE_INTERVALS = 12_000;
const PHASE_REACH = 40;

/**
 * Greatest share of the crest among a number of openings at independent random phases, either
 * polarity counting: below a share c with probability ((2 / pi) asin c)^n. Of ten openings the
 * greatest is with 95 % confidence above 91.8 % of the crest. Throws OutsideDomainError for a count
 * below 1 and a confidence outside 0 to 1.
 */
export function greatestOfOpenings(count: number, confidence: number): RandomOpenings {
  requireCount(count);
  requireConfidence(confidence);
  // The greatest phase, counted from the zero crossing, is (pi / 2) exp(-w / n) with exponential w.
  const shareAt = (w: number): number => Math.sin((Math.PI / 2) * Math.exp(-w / count));
  const over = (f: (share: number) => number): number => {
    let sum = 0;
    for (let index = 0; index <= PHASE_INTERVALS; index += 1) {
      const w = (index * PHASE_REACH) / PHASE_INTERVALS;
      const weight = index === 0 || index === PHASE_INTERVALS ? 1 : index % 2 === 1 ? 4 : 2;
      sum += weight * f(shareAt(w)) * Math.exp(-w);
    }
    return (sum * PHASE_REACH) / (3 * PHASE_INTERVALS);
  };
  const expected = over((share) => share);
  const square = over((share) => (share - expected) ** 2);
  return {
    least: shareAt(-Math.log1p(-confidence)),
    expected,
    standardDeviation: Math.sqrt(square),
  };
}

/** Half width and number of intervals of the integral over normal maxima. */
const NORMAL_REACH = 12;
const NORMAL_INTERVALS = 4_000;

/**
 * By how many standard deviations of normal noise the greatest of several readings of one value
 * lies above that value on average: 1.54 for ten. Throws OutsideDomainError for a count below 1.
 */
export function expectedMaximumOfNormals(count: number): number {
  requireCount(count);
  let sum = 0;
  const step = (2 * NORMAL_REACH) / NORMAL_INTERVALS;
  for (let index = 0; index <= NORMAL_INTERVALS; index += 1) {
    const z = -NORMAL_REACH + index * step;
    const weight = index === 0 || index === NORMAL_INTERVALS ? 1 : index % 2 === 1 ? 4 : 2;
    sum += weight * z * count * normalDensity(z) * normalProbability(z) ** (count - 1);
  }
  return (sum * step) / 3;
}

/** A value and its standard uncertainty. */
export interface Measured {
  readonly value: number;
  readonly standardUncertainty: number;
}

/** A reading with what it depended on and what it is scaled to. */
export interface VoltageScaling {
  /** Voltage at the stated time, V, above zero and below the crest. */
  readonly voltage: Measured;
  /** Supply at the test and the upper one it is scaled to, V r.m.s. */
  readonly supply?: { readonly tested: Measured; readonly upper: number };
  /** Capacitance of the product tested and the largest that may be built, F. */
  readonly capacitance?: {
    readonly tested: Measured;
    readonly upper: number;
    /** Voltage at the disconnection, V. */
    readonly initial: Measured;
  };
}

function distributionOf({ value, standardUncertainty }: Measured): Distribution {
  return { shape: "normal", mean: value, standardDeviation: standardUncertainty };
}

interface Term {
  readonly equation: string;
  readonly known: Readonly<Record<string, Measured>>;
}

function evaluated({ equation, known }: Term): Measured {
  const entries = Object.entries(known);
  const uncertain = entries.filter(([, { standardUncertainty }]) => standardUncertainty > 0);
  const fixed = entries.filter(([, { standardUncertainty }]) => standardUncertainty === 0);
  const definitions = fixed.map(([name, { value }]) => ({ name, infix: value.toPrecision(17) }));
  const { outputs } = evaluateUncertainty(
    {
      outputs: { scaled: { definitions, infix: equation } },
      inputs: [
        ...uncertain.map(([name, one]) => ({ name, distribution: distributionOf(one) })),
        // An evaluation has an input; this one does not enter.
        ...(uncertain.length > 0
          ? []
          : [
              {
                name: "none",
                distribution: { shape: "rectangular", lower: -1, upper: 1 } as const,
              },
            ]),
      ],
    },
    { trials: "none" },
  );
  const { estimate, combinedStandardUncertainty } = outputs["scaled"]!.firstOrder;
  return { value: estimate, standardUncertainty: combinedStandardUncertainty };
}

/**
 * Scales a reading to the upper supply voltage, in proportion, and to the largest capacitance: with
 * one bleeder the fall from the initial voltage is V0 (V / V0)^(C / Cupper). Each figure stands for
 * itself and carries the uncertainty of what it was made from.
 *
 * Throws OutsideDomainError unless every value is above zero, every uncertainty zero or above, and
 * the reading below the initial voltage.
 */
export function scaledVoltages(scaling: VoltageScaling): {
  readonly atUpperSupply?: Measured;
  readonly atUpperCapacitance?: Measured;
  readonly atBoth?: Measured;
} {
  const { voltage, supply, capacitance } = scaling;
  const named = [
    ["voltage", voltage],
    ...(supply === undefined ? [] : [["supply", supply.tested] as const]),
    ...(capacitance === undefined
      ? []
      : [["capacitance", capacitance.tested] as const, ["initial", capacitance.initial] as const]),
  ] as const;
  for (const [quantity, { value, standardUncertainty }] of named) {
    requirePositive([{ quantity, value, unit: "" }]);
    requireNotNegative([
      { quantity: `standard uncertainty of ${quantity}`, value: standardUncertainty, unit: "" },
    ]);
  }
  if (capacitance !== undefined && voltage.value >= capacitance.initial.value) {
    throw new OutsideDomainError({
      path: "",
      quantity: "voltage",
      permitted: `below the initial voltage ${capacitance.initial.value} V`,
      received: `${voltage.value} V`,
    });
  }
  const exactly = (value: number): Measured => ({ value, standardUncertainty: 0 });
  const up = "(upper / tested)";
  const fall = "initial * exp(log(voltage / initial) * own / largest)";
  const ofSupply = supply && { tested: supply.tested, upper: exactly(supply.upper) };
  const ofFall = capacitance && {
    own: capacitance.tested,
    largest: exactly(capacitance.upper),
    initial: capacitance.initial,
  };
  return {
    ...(ofSupply && {
      atUpperSupply: evaluated({ equation: `voltage * ${up}`, known: { voltage, ...ofSupply } }),
    }),
    ...(ofFall && {
      atUpperCapacitance: evaluated({ equation: fall, known: { voltage, ...ofFall } }),
    }),
    ...(ofSupply &&
      ofFall && {
        atBoth: evaluated({
          equation: `${up} * ${fall}`,
          known: { voltage, ...ofSupply, ...ofFall },
        }),
      }),
  };
}
