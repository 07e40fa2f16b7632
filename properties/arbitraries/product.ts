import type { Product } from "../../sim/scenario.ts";
import { perMille, steps } from "./number-words.ts";
import { valueOf } from "./parameter.ts";
import type { Draw, Parameter, Stratum } from "./parameter.ts";

/** Kinds of product in the order of the parameter. */
export const PRODUCT_KINDS = [
  "passive, switch off",
  "passive with bleeder",
  "line filter",
  "rectifier",
  "active discharge",
  "running down",
  "open circuit",
] as const;

/** A kind of product that may be drawn. */
export type ProductKind = (typeof PRODUCT_KINDS)[number];

function isKind(...kinds: readonly ProductKind[]): (draw: Draw) => boolean {
  return (draw) => kinds.includes(PRODUCT_KINDS[valueOf(draw, "product")]!);
}

const hasCapacitance = (draw: Draw): boolean => !isKind("open circuit")(draw);

/** Whether a parameter can matter for any of the kinds. */
export function mattersFor(kinds: readonly ProductKind[], { matters }: Parameter): boolean {
  return kinds.some((kind) => matters?.({ product: PRODUCT_KINDS.indexOf(kind) }) ?? true);
}

const tenthsOfNanofarads = steps("capacitance", "0.0000000001");

/** Classes of capacitances in steps of 0.1 nF, the plainest first. */
const CAPACITANCES = [
  { from: "100 nF", to: "1 uF", least: 1_000, most: 10_000 },
  { from: "0.1 nF", to: "10 nF", least: 1, most: 99 },
  { from: "10 nF", to: "100 nF", least: 100, most: 999 },
  { from: "1 uF", to: "10 uF", least: 10_001, most: 100_000 },
] as const;

/** Those from the smallest in scope on, F; where that is above all, one class of its own. */
function capacitanceStrata(smallest: number): Stratum[] {
  const least = Math.max(1, Math.ceil(smallest * 1e10 * (1 - 1e-9)));
  const words = tenthsOfNanofarads(least);
  const inScope = CAPACITANCES.filter(({ most }) => most >= least);
  if (inScope.length === 0) return [{ name: `${words} and more`, least, most: 10 * least }];
  return inScope.map((one) => ({
    name: `${least > one.least ? words : one.from} to ${one.to}`,
    least: Math.max(least, one.least),
    most: one.most,
  }));
}

/** Parameters of the equipment under test, of products not below a smallest capacitance, F. */
export function productParameters(
  kinds: readonly ProductKind[],
  smallestCapacitance: number,
): readonly Parameter[] {
  return [
    {
      name: "product",
      meaning: "product",
      strata: kinds.map((name) => {
        const index = PRODUCT_KINDS.indexOf(name);
        return { name, least: index, most: index };
      }),
      words: (value) => PRODUCT_KINDS[value]!,
    },
    {
      name: "capacitance",
      meaning: "capacitance between the pins",
      strata: capacitanceStrata(smallestCapacitance),
      words: tenthsOfNanofarads,
      matters: hasCapacitance,
    },
    {
      name: "decay",
      meaning: "time constant of its bleeder",
      strata: [
        { name: "0.4 s to 1 s", least: 400, most: 1_000 },
        { name: "50 ms to 0.4 s", least: 50, most: 399 },
        { name: "1 s to 20 s", least: 1_001, most: 20_000 },
      ],
      words: steps("time", "0.001"),
      matters: isKind("passive with bleeder", "line filter"),
    },
    {
      name: "delay",
      meaning: "delay of its discharge",
      strata: [{ name: "any", least: 60, most: 300 }],
      words: steps("time", "0.001"),
      matters: isKind("active discharge"),
    },
    {
      name: "discharge",
      meaning: "time constant of its discharge or running down",
      strata: [
        { name: "slow", least: 201, most: 1_000 },
        { name: "fast", least: 20, most: 200 },
      ],
      words: steps("time", "0.001"),
      matters: isKind("active discharge", "running down"),
    },
    {
      name: "bulk",
      meaning: "bulk capacitor",
      strata: [{ name: "any", least: 10, most: 470 }],
      words: steps("capacitance", "0.000001"),
      matters: isKind("rectifier"),
    },
    {
      name: "inductance",
      meaning: "inductance of its choke",
      strata: [{ name: "any", least: 1, most: 30 }],
      words: steps("inductance", "0.0001"),
      matters: isKind("line filter"),
    },
    {
      name: "share",
      meaning: "share of the mains it generates",
      strata: [{ name: "any", least: 300, most: 950 }],
      words: perMille,
      matters: isKind("running down"),
    },
  ];
}

/** F from each pin to earth: the stray capacitance of a class II enclosure. */
const STRAY = 100e-12;

/** ohm ahead of a bulk capacitor: a cold inrush limiter. Common practice, no source. */
const INRUSH_RESISTANCE = 10;

/** The product of a draw. */
export function productOf(draw: Draw): Product {
  const pins = {
    earthCapacitance: { L: STRAY, N: STRAY },
    earthResistance: { L: 0, N: 0 },
  };
  const capacitance = valueOf(draw, "capacitance") * 1e-10;
  const bleeder = (valueOf(draw, "decay") * 1e-3) / capacitance;
  const discharge = valueOf(draw, "discharge") * 1e-3;
  switch (PRODUCT_KINDS[valueOf(draw, "product")]!) {
    case "passive, switch off":
      return { ...pins, kind: "passive", capacitance, bleeder: 0 };
    case "passive with bleeder":
      return { ...pins, kind: "passive", capacitance, bleeder };
    case "line filter": {
      const inductance = valueOf(draw, "inductance") * 1e-4;
      const resistance = 0.5;
      return {
        ...pins,
        kind: "lineFilter",
        capacitance,
        bleeder: bleeder / 2,
        inductance,
        resistance,
        innerCapacitance: capacitance,
      };
    }
    case "rectifier":
      return {
        ...pins,
        kind: "rectifier",
        capacitance,
        bleeder: 0,
        bulk: valueOf(draw, "bulk") * 1e-6,
        load: 20e3,
        forwardVoltage: 1.4,
        resistance: INRUSH_RESISTANCE,
      };
    case "active discharge":
      return {
        ...pins,
        kind: "activeDischarge",
        capacitance,
        bleeder: 0,
        delay: valueOf(draw, "delay") * 1e-3,
        discharge: { resistance: discharge / capacitance },
      };
    case "running down":
      return {
        ...pins,
        kind: "runDown",
        capacitance,
        bleeder: 0,
        share: valueOf(draw, "share") / 1000,
        resistance: 50,
        timeConstant: discharge,
        frequencyRatio: 0.97,
      };
    case "open circuit":
      return { ...pins, kind: "open" };
  }
}
