import type { Design } from "../../lib/design/design.ts";
import { quantitiesOf } from "../../lib/design/quantities.ts";
import type { Disturbance, Harmonic, Mains, Product, Scenario } from "../../sim/index.ts";
import { UNIT_PREFIX, shareOfWay } from "../arbitraries/stock-dimensions.ts";
import type { Point } from "../arbitraries/space.ts";
import type { CampaignContext, Situation } from "./situation.ts";

/** s from the start to the turn in which a contact opens: enough for firmware to synchronise. */
export const BEFORE_OPENING = 0.25;

/** s after the reading that are played as well. */
const AFTERWARDS = 0.04;

/** Harmonics inside the limits of EN 50160 (from memory), by the number of the shape. */
const SHAPES: readonly (readonly Harmonic[])[] = [
  [],
  [
    { order: 3, share: 0.04, phaseTurns: 0.5 },
    { order: 5, share: 0.03, phaseTurns: 0 },
  ],
  [
    { order: 3, share: 0.045, phaseTurns: 0 },
    { order: 5, share: 0.04, phaseTurns: 0 },
    { order: 7, share: 0.035, phaseTurns: 0 },
  ],
  [
    { order: 5, share: 0.05, phaseTurns: 0.25 },
    { order: 7, share: 0.045, phaseTurns: 0.5 },
    { order: 11, share: 0.03, phaseTurns: 0.1 },
  ],
];

const unitNames = new WeakMap<Design, ReadonlyMap<string, readonly [number, number]>>();

function limitsOf(design: Design): ReadonlyMap<string, readonly [number, number]> {
  const known = unitNames.get(design);
  if (known !== undefined) return known;
  const made = new Map(
    quantitiesOf(design).map(({ name, lower, upper }): [string, readonly [number, number]] => [
      name,
      [lower.toNumber(), upper.toNumber()],
    ]),
  );
  unitNames.set(design, made);
  return made;
}

/** Values of the unit's quantities; nominal where the point does not say. */
function quantitiesAt(design: Design, point: Point): Record<string, number> {
  const limits = limitsOf(design);
  const values: Record<string, number> = {};
  const noiseIsDrawn = (point["noise"] ?? 1) > 0;
  for (const [key, number] of Object.entries(point)) {
    if (number < 0 || !key.startsWith(UNIT_PREFIX)) continue;
    const name = key.slice(UNIT_PREFIX.length);
    // Noise drawn for each sample would be counted twice.
    if (noiseIsDrawn && name.startsWith("noise_")) continue;
    const [lower, upper] = limits.get(name)!;
    const share = shareOfWay(number);
    values[name] = share === 1 ? upper : lower + (upper - lower) * share;
  }
  return values;
}

function disturbanceAt(point: Point, at: number): Disturbance[] {
  const size = (point["disturbance size"] ?? 500) / 1000;
  const to = at + (point["disturbance duration"] ?? 100) / 1000;
  switch (point["disturbance"] ?? 0) {
    case 1:
      return [{ kind: "level", from: at, to, factor: 1 - 0.95 * size }];
    case 2:
      return [{ kind: "level", from: at, to, factor: 0 }];
    case 3:
      return [{ kind: "level", from: at, to, factor: 1 + 0.1 * size }];
    case 4:
      return [{ kind: "phaseJump", at, turns: 0.5 * size }];
    default:
      return [];
  }
}

/** Mains of a point, with its crest `opening phase` turns before a whole turn at the opening. */
export function mainsAt(point: Point, disturbedAt?: number): Mains {
  return {
    voltage: (point["mains voltage"] ?? 2300) / 10,
    frequency: (point["frequency"] ?? 50_000) / 1000,
    phaseTurns: 0,
    harmonics: SHAPES[point["shape"] ?? 0]!,
    resistance: 0.4,
    inductance: 0,
    capacitance: 0,
    reversed: (point["plug"] ?? 0) === 1,
    disturbances: disturbedAt === undefined ? [] : disturbanceAt(point, disturbedAt),
  };
}

/** s of the opening: the phase asked for, in the first turn after the time to synchronise. */
export function openingInstant(point: Point): number {
  const frequency = (point["frequency"] ?? 50_000) / 1000;
  const whole = Math.ceil(BEFORE_OPENING * frequency);
  return (whole + (point["opening phase"] ?? 1000) / 1000) / frequency;
}

/** Open and closed durations, s: openings of equal length with closings between them. */
function bouncesAt(point: Point): number[] {
  const count = point["bounces"] ?? 0;
  if (count === 0) return [];
  const each = (point["bounce duration"] ?? 20) / 10_000 / (2 * count);
  return Array.from({ length: 2 * count }, () => each);
}

/** Ohm of the tester's own input, nominal. */
function inputResistance({ divider }: Design): number {
  return [...divider.upper, ...divider.lower].reduce(
    (sum, { count, resistance }) => sum + count * resistance.toNumber(),
    0,
  );
}

const STRAYS = {
  earthCapacitance: { L: 1e-10, N: 1e-10 },
  earthResistance: { L: 0, N: 0 },
} as const;

/** A capacitor with the bleeder that leaves the voltage asked for at the stated instant. */
function passiveAt(point: Point, design: Design, held: number): Product {
  const capacitance = (point["capacitance"] ?? 1000) * 1e-10;
  const target = (point["residual voltage"] ?? 3400) / 100;
  const plain = { kind: "passive", capacitance, ...STRAYS } as const;
  if (target >= 999 || held <= 1.05 * target) return { ...plain, bleeder: 0 };
  const timeConstant = design.conditions.instant.toNumber() / Math.log(held / target);
  const siemens = capacitance / timeConstant - 1 / inputResistance(design);
  return { ...plain, bleeder: siemens > 1e-12 ? 1 / siemens : 0 };
}

/** V on the pins at the opening, as the source has it. */
function heldVoltage(mains: Mains, opening: number): number {
  const turns = mains.frequency * opening;
  const wave = mains.harmonics.reduce(
    (sum, { order, share, phaseTurns }) =>
      sum + share * Math.cos(2 * Math.PI * (order * turns + phaseTurns)),
    Math.cos(2 * Math.PI * turns),
  );
  return Math.abs(mains.voltage * Math.SQRT2 * wave);
}

/** What a claim changes in the scenario of a point. */
export interface WorldOptions {
  readonly name: string;
  /** In place of the passive product. */
  readonly product?: Product;
  /** False: the mains stay connected. */
  readonly opens?: boolean;
  /** s after the start at which a disturbance begins. */
  readonly disturbedAt?: number;
  /** s after the stated instant that are played; the usual ones where absent. */
  readonly longer?: number;
  readonly change?: (scenario: Scenario) => Scenario;
}

/** The scenario of a point: mains, a passive product, an opening, one unit of the design. */
export function worldOf(point: Point, context: CampaignContext, options: WorldOptions): Scenario {
  const { design } = context;
  const mains = mainsAt(point, options.disturbedAt);
  const opening = openingInstant(point);
  const held = heldVoltage(mains, opening);
  const neutral = point["neutral pole"] ?? -1;
  const opens = options.opens ?? true;
  const bounces = bouncesAt(point);
  const pole = { instant: opening, bounces };
  const later = { instant: opening + Math.max(0, neutral) * 1e-5, bounces: [] };
  const seed = point["noise"] ?? 1;
  const cut = design.conditions.noiseCut.toNumber();
  const rate = design.timing?.sampleRate.toNumber() ?? 1;
  const scenario: Scenario = {
    name: options.name,
    design,
    quantities: quantitiesAt(design, point),
    outsideLimits: false,
    transitions: {},
    tester: { ground: "N", channels: ["L"], inputCapacitance: 2e-11, earthCapacitance: 1e-11 },
    mains,
    disconnection: {
      ...(opens ? { L: pole } : {}),
      ...(opens && neutral >= 0 ? { N: later } : {}),
      closedResistance: 0,
      openResistance: 0,
      openCapacitance: 0,
    },
    product: options.product ?? passiveAt(point, design, held),
    interference: false,
    sampling: { phase: (point["sampling phase"] ?? 0) / 1000 / rate, jitter: 0 },
    noise: seed === 0 ? { kind: "none" } : { kind: "random", seed, cut },
    duration: opening + design.conditions.instant.toNumber() + AFTERWARDS + (options.longer ?? 0),
  };
  return options.change === undefined ? scenario : options.change(scenario);
}

/** A situation with nothing unusual round its scenario. */
export function plainSituation(scenario: Scenario, { promises }: CampaignContext): Situation {
  return {
    scenario,
    promises,
    mode: "watch",
    faults: [],
    counterStart: 0,
    blockSize: 4096,
    measurements: 1,
    contactDelay: 0.005,
  };
}
