import type { Scenario } from "../../sim/index.ts";
import type { Handling } from "../arbitraries/handling.ts";

/** A fault of the tester's hardware: the scenario as the faulty unit lives through it. */
export interface FrontEndFault {
  readonly id: string;
  /** What is broken, in one sentence. */
  readonly says: string;
  readonly change: (scenario: Scenario) => Scenario;
  /** How samples reach the firmware in the faulty unit. */
  readonly handle?: (handling: Handling, scenario: Scenario) => Handling;
}

/** A scenario with quantities away from what was drawn, outside their limits where need be. */
function withQuantities(scenario: Scenario, values: Readonly<Record<string, number>>): Scenario {
  const quantities = { ...scenario.quantities, ...values };
  return { ...scenario, outsideLimits: true, quantities };
}

function upperOf({ design }: Scenario): string {
  return design.divider.upper[0]!.id;
}

function lowerOf({ design }: Scenario): string {
  return design.divider.lower[0]!.id;
}

/** Code of zero volts, and number of codes, of a scenario's converter. */
function codesOf({ design }: Scenario): { readonly zero: number; readonly count: number } {
  const count = 2 ** design.adc.bits;
  return { count, zero: design.adc.input === "unipolar" ? count / 2 : 0 };
}

type Handle = NonNullable<FrontEndFault["handle"]>;

function recoded(recode: (code: number, scenario: Scenario) => number): Handle {
  return (handling, scenario) => ({ ...handling, recode: (code) => recode(code, scenario) });
}

const same = (scenario: Scenario): Scenario => scenario;

/** s by which the second pole opens too late. */
const LATE_POLE = 0.04;

/** Faults of front end and hardware. The changes come after the adjustment: units that broke in use. */
export const FRONT_END_FAULTS: readonly FrontEndFault[] = [
  {
    id: "upper-leg-open",
    says: "A resistor of the upper leg is open.",
    change: (scenario) => withQuantities(scenario, { [`${upperOf(scenario)}_drift_use`]: 1e6 }),
  },
  {
    id: "upper-leg-drifted",
    says: "A resistor of the upper leg has drifted by 5 %.",
    change: (scenario) => withQuantities(scenario, { [`${upperOf(scenario)}_drift_use`]: 0.05 }),
  },
  {
    id: "lower-leg-shorted",
    says: "The lower leg is shorted.",
    change: (scenario) =>
      withQuantities(scenario, { [`${lowerOf(scenario)}_drift_use`]: -0.99999 }),
  },
  {
    id: "reference-lost",
    says: "The reference has fallen to nothing.",
    change: (scenario) => withQuantities(scenario, { reference_drift_use: -0.9999 }),
  },
  {
    id: "reference-high",
    says: "The reference has risen by 4 %.",
    change: (scenario) => withQuantities(scenario, { reference_drift_use: 0.04 }),
  },
  {
    id: "converter-stuck",
    says: "The converter gives its first code for good.",
    change: same,
    handle: (handling) => ({
      ...handling,
      faults: [...(handling.faults ?? []), { kind: "stuck", first: 0, count: 10_000_000 }],
    }),
  },
  {
    id: "poles-swapped",
    says: "The two poles are swapped at the input.",
    change: same,
    handle: recoded((code, scenario) => {
      const { zero, count } = codesOf(scenario);
      return Math.min(2 * zero - code, zero + count / 2 - 1);
    }),
  },
  {
    id: "second-pole-late",
    says: "The second pole opens 40 ms after the first.",
    change: (scenario) => {
      const { L } = scenario.disconnection;
      if (L === undefined) return scenario;
      const opened = L.instant + L.bounces.reduce((sum, duration) => sum + duration, 0);
      const N = { instant: opened + LATE_POLE, bounces: [] };
      return { ...scenario, disconnection: { ...scenario.disconnection, N } };
    },
  },
  {
    id: "bit-stuck",
    says: "A bit of the converter, an eighth of its codes, is always set.",
    change: same,
    handle: recoded((code, scenario) => {
      const { zero, count } = codesOf(scenario);
      const raw = code - zero + count / 2;
      const bit = count / 8;
      return code + (Math.floor(raw / bit) % 2 === 0 ? bit : 0);
    }),
  },
  {
    id: "codes-missing",
    says: "Above zero the converter leaves out a fortieth of its codes.",
    change: same,
    handle: recoded((code, scenario) => {
      const { zero, count } = codesOf(scenario);
      return code <= zero ? code : Math.min(code + Math.ceil(count / 40), zero + count / 2 - 1);
    }),
  },
  {
    id: "input-clipped",
    says: "The input stage swings to a quarter of the range only and does not report it.",
    change: same,
    handle: recoded((code, scenario) => {
      const { zero, count } = codesOf(scenario);
      const most = Math.floor(count / 8);
      return Math.max(zero - most, Math.min(zero + most, code));
    }),
  },
  {
    id: "sampling-slow",
    says: "The sampling clock runs 2 % slow, and nobody tells the firmware.",
    change: (scenario) => withQuantities(scenario, { clock_tolerance: 0.02 }),
  },
];
