import { readFileSync } from "node:fs";
import type { Design } from "../../../lib/design/design.ts";
import { readDesign } from "../../../lib/design/read-design.ts";
import type { Mains, Product, Scenario } from "../../../sim/scenario.ts";

/** A committed demo design. */
export function demoDesign(folder: string): Design {
  const path = new URL(`../../../examples/${folder}/design.json`, import.meta.url);
  return readDesign(JSON.parse(readFileSync(path, "utf8")));
}

type Fields = Record<string, unknown>;

/** The parts of a design document that tests change. */
export interface EditableDesign extends Fields {
  divider: { upper: [Fields]; lower: [Fields]; bias: Fields } & Fields;
  board: Fields;
  buffer: Fields;
  adc: Fields;
  timing: Fields;
  adjustment: Fields;
}

/** A two-point adjusted tester as a document, to be changed by a test. */
export function demoDocument(): EditableDesign {
  const path = new URL("tester.json", import.meta.url);
  return JSON.parse(readFileSync(path, "utf8"));
}

export const TWO_POINT = readDesign(demoDocument());

/** 230 V, 50 Hz, crest at instant zero, no impedance. */
export const MAINS: Mains = {
  voltage: 230,
  frequency: 50,
  phaseTurns: 0,
  harmonics: [],
  resistance: 0,
  inductance: 0,
  capacitance: 0,
  reversed: false,
  disturbances: [],
};

export const NO_STRAYS = {
  earthCapacitance: { L: 0, N: 0 },
  earthResistance: { L: 0, N: 0 },
} as const;

/** 0.1 uF with or without a bleeder, no capacitance to earth. */
export function passive(bleeder: number, capacitance = 1e-7): Product {
  return { kind: "passive", capacitance, bleeder, ...NO_STRAYS };
}

/** Opens pole L at the crest at 0.1 s; N stays on the earthed neutral. */
export const AT_CREST: Scenario = {
  name: "opening at the crest",
  design: TWO_POINT,
  quantities: {},
  outsideLimits: false,
  transitions: {},
  tester: { ground: "N", channels: ["L"], inputCapacitance: 0, earthCapacitance: 0 },
  mains: MAINS,
  disconnection: {
    L: { instant: 0.1, bounces: [] },
    closedResistance: 0,
    openResistance: 0,
    openCapacitance: 0,
  },
  product: passive(4.35e6),
  interference: false,
  sampling: { phase: 0, jitter: 0 },
  noise: { kind: "none" },
  duration: 1.2,
};
