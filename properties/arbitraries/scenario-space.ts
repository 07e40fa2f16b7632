import type { Design } from "../../lib/design/design.ts";
import type { Scenario } from "../../sim/scenario.ts";
import { disturbanceParameters, disturbancesOf, mainsOf, mainsParameters } from "./mains.ts";
import { disconnectionOf, openingParameters } from "./opening.ts";
import { wordsOf, valueOf } from "./parameter.ts";
import type { Handling } from "./handling.ts";
import type { Draw, Parameter } from "./parameter.ts";
import {
  HELD_NOISE,
  heldNoiseParameters,
  isNoiseHeld,
  partParameters,
  quantitiesOfDraw,
} from "./parts.ts";
import { mattersFor, productOf, productParameters } from "./product.ts";
import type { ProductKind } from "./product.ts";

/** Scenarios a claim quantifies over: whole numbers, and what they mean. */
export interface ScenarioSpace {
  readonly parameters: readonly Parameter[];
  /** Parameters whose classes are counted. */
  readonly classed: readonly Parameter[];
  readonly scenarioOf: (draw: Draw) => Scenario;
  /** Values of the tester's parts alone, by the names of the design's quantities. */
  readonly quantitiesOf: (draw: Draw) => Readonly<Record<string, number>>;
  /** How the samples are handled on their way; as they come where absent. */
  readonly handling?: (draw: Draw) => Handling;
  /** The handling of a twin that is played beside it, to be compared with; none where undefined. */
  readonly twin?: (draw: Draw) => Handling | undefined;
}

/** Which scenarios are meant. */
export interface SpaceOptions {
  /** `opening`: the contact opens; `connected`: it does not, and the mains is disturbed. */
  readonly kind: "opening" | "connected";
  readonly products: readonly ProductKind[];
  /** s after the opening, or of a connected mains after the learning time, that are simulated. */
  readonly after: number;
  /** Whether poles bounce and open one after the other. */
  readonly contact: "ideal" | "real";
  /** F between the pins from which on products are in scope. */
  readonly smallestCapacitance: number;
}

/** s of connected mains before anything happens: firmware learns it. */
export const LEARNING = 0.2;

const samplingParameters: readonly Parameter[] = [
  {
    name: "sampling",
    meaning: "phase of the sampling clock",
    strata: [{ name: "any", least: 0, most: 999 }],
    words: (value) => `${value / 1000} of a sample`,
  },
  {
    name: "noise",
    meaning: "seed of the noise",
    strata: [{ name: "any", least: 0, most: 65_535 }],
    words: String,
    matters: (draw) => !isNoiseHeld(draw),
  },
];

/** What a draw need not say: openings without bounce, with both poles; noise of each sample. */
const IDEAL: Draw = { heldNoise: 0, bounces: 0, bounceOpen: 50, bounceClosed: 50, secondPole: 0 };

function makeSpace(design: Design, options: SpaceOptions): ScenarioSpace {
  const { kind, contact } = options;
  const opening = openingParameters.filter(({ name }) => contact === "real" || !(name in IDEAL));
  const product = productParameters(options.products, options.smallestCapacitance);
  const others = [
    ...mainsParameters(design),
    ...(kind === "opening" ? opening : [openingParameters[0]!, ...disturbanceParameters]),
  ];
  const classed = [...product.filter((one) => mattersFor(options.products, one)), ...others];
  const parameters = [
    ...product,
    ...others,
    ...samplingParameters,
    ...partParameters(design, { noise: "samples" }),
    HELD_NOISE,
    ...heldNoiseParameters(design),
  ];
  const quantitiesOf = (draw: Draw) =>
    quantitiesOfDraw(design, { noise: isNoiseHeld(draw) ? "quantity" : "samples" }, draw);
  const period = 1 / design.timing!.sampleRate.toNumber();
  const scenarioOf = (drawn: Draw): Scenario => {
    const draw = { ...IDEAL, ...drawn };
    const opens = kind === "opening";
    return {
      name: wordsOf(classed, draw).slice(0, 2).join(", "),
      design,
      quantities: quantitiesOf(draw),
      outsideLimits: false,
      transitions: {},
      tester: { ground: "N", channels: ["L"], inputCapacitance: 25e-12, earthCapacitance: 60e-12 },
      mains: mainsOf(design, draw, {
        at: LEARNING,
        turns: valueOf(draw, "phase") / 10_000,
        disturbances: opens ? [] : disturbancesOf(draw, LEARNING),
      }),
      disconnection: opens
        ? disconnectionOf(draw, LEARNING)
        : { closedResistance: 0, openResistance: 0, openCapacitance: 0 },
      product: productOf(draw),
      interference: false,
      sampling: { phase: (valueOf(draw, "sampling") / 1000) * period, jitter: 0 },
      noise: isNoiseHeld(draw)
        ? { kind: "none" }
        : {
            kind: "random",
            seed: valueOf(draw, "noise"),
            cut: design.conditions.noiseCut.toNumber(),
          },
      duration: LEARNING + options.after,
    };
  };
  return { parameters, classed, scenarioOf, quantitiesOf };
}

const made = new WeakMap<Design, Map<string, ScenarioSpace>>();

/**
 * Scenarios of a design in classes: mains, product, contact, parts, sampling and noise. The same
 * design and options give the same space, whose claims are judged on the same episodes.
 */
export function scenarioSpace(design: Design, options: SpaceOptions): ScenarioSpace {
  const { kind, products, after, contact, smallestCapacitance } = options;
  const key = JSON.stringify([kind, products, after, contact, smallestCapacitance]);
  const spaces = made.get(design) ?? new Map<string, ScenarioSpace>();
  made.set(design, spaces);
  const space = spaces.get(key) ?? makeSpace(design, options);
  spaces.set(key, space);
  return space;
}
