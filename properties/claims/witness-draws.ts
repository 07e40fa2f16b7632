import { measurementModel } from "../../lib/chain/measurement-model.ts";
import type { Design, ResistorGroup } from "../../lib/design/design.ts";
import { ErrorBrackets } from "../../lib/guarantee/error-brackets.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import { HELD_NOISE, partValue } from "../arbitraries/parts.ts";
import { PRODUCT_KINDS } from "../arbitraries/product.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import { BOUND_OPTIONS, promptDesign } from "./voltage-bounds.ts";

/** V, both polarities: ends of the bands on which the bound is proven, where it is tightest. */
const VOLTAGES = [5, 34, 60, 126, 250, 350];

/** A witness stands so far inside its band that the whole numbers of a draw keep it there. */
const INSIDE = 0.996;

/** Share of the highest crest above which a product can no longer be after its instant. */
const HELD = 0.95;

/** F, 0.1 nF each: the product of a witness. */
const CAPACITANCE = 10_000;

const ohm = (groups: readonly ResistorGroup[]): number =>
  groups.reduce((sum, { count, resistance }) => sum + count * resistance.toNumber(), 0);

/** The highest mains of a design: which one, per mille of it, and its crest, V. */
function highestMains({ conditions }: Design) {
  const { voltages, tolerance } = conditions.mains;
  const volts = voltages.map((voltage) => voltage.toNumber());
  const highest = Math.max(...volts);
  const level = 1_000 + Math.round(1_000 * tolerance.toNumber());
  const crest = (highest * level * Math.SQRT2) / 1_000;
  return { mains: volts.indexOf(highest), level, crest };
}

/** ms: time constant of the bleeder with which the voltage falls from the crest at the instant. */
function decayTo(voltage: number, crest: number, { conditions, divider }: Design): number {
  const rate = Math.log(crest / Math.abs(voltage)) / conditions.instant.toNumber();
  const byTester = 1 / ((ohm(divider.upper) + ohm(divider.lower)) * CAPACITANCE * 1e-10);
  const least = 1 / 20;
  return Math.max(50, Math.round(1_000 / Math.max(rate - byTester, least)));
}

type Witness = Readonly<Record<string, number>>;

function drawOf(space: ScenarioSpace, design: Design, witness: Witness): Draw {
  const { mains, level, crest } = highestMains(design);
  const voltage = witness["V"]!;
  const parts = space.parameters.flatMap((parameter) => {
    const value = witness[parameter.name.slice("part ".length)];
    const whole = value === undefined ? undefined : partValue(design, parameter, value);
    return whole === undefined ? [] : [[parameter.name, whole] as const];
  });
  return {
    ...Object.fromEntries(space.parameters.map(({ name, strata }) => [name, strata[0]!.least])),
    ...Object.fromEntries(parts),
    [HELD_NOISE.name]: 1,
    product: PRODUCT_KINDS.indexOf("passive with bleeder"),
    capacitance: CAPACITANCE,
    decay: decayTo(voltage, crest, design),
    mains,
    level,
    phase: voltage < 0 ? 5_000 : 0,
  };
}

const made = new WeakMap<ScenarioSpace, readonly Draw[]>();

/**
 * The budget's witnesses as draws of a space of openings: parts and noise nearest to what the
 * witness says, unplugged at the crest of the highest mains, with a bleeder that brings the voltage
 * down in time. Everything else, the trigger and the window included, is up to the firmware.
 */
export function witnessDraws(space: ScenarioSpace, design: Design): readonly Draw[] {
  const known = made.get(space);
  if (known !== undefined) return known;
  const brackets = new ErrorBrackets(measurementModel(promptDesign(design)), BOUND_OPTIONS);
  const { names } = brackets.domain;
  const [least, most] = [design.measuringInterval.lower, design.measuringInterval.upper];
  const { crest } = highestMains(design);
  const voltages = VOLTAGES.flatMap((voltage) => [INSIDE * voltage, -INSIDE * voltage]).filter(
    (voltage) =>
      Math.abs(voltage) < HELD * crest && voltage > least.toNumber() && voltage < most.toNumber(),
  );
  const draws = voltages.flatMap((voltage) => {
    const { high, low } = brackets.bracket({ lower: voltage, upper: voltage });
    return [high, low].map(({ witness }) =>
      drawOf(space, design, Object.fromEntries(names.map((name, slot) => [name, witness[slot]!]))),
    );
  });
  made.set(space, draws);
  return draws;
}
