import type { Scenario } from "../../../sim/index.ts";
import { judged, notApplicable } from "../claim.ts";
import type { Claim } from "../claim.ts";
import { trueVoltage } from "../episode.ts";
import type { Episode } from "../episode.ts";
import {
  judgedFault,
  magnitudes,
  OUTSIDE,
  provenError,
  readingIn,
  rightOrFlagged,
} from "./episode-views.ts";
import type { DeliveryFault } from "../../arbitraries/handling.ts";
import type { Parameter } from "../../arbitraries/parameter.ts";
import { PRODUCT_KINDS } from "../../arbitraries/product.ts";
import type { Subject } from "../episode.ts";
import { LEARNING } from "../../arbitraries/scenario-space.ts";
import { AFTERWARDS, changed, oneOf, openings, statedInstant } from "./spaces.ts";

/** V by which a reading of a product that does not only fall may be off beside its proven error. */
const MOVING = 2;

const availability: Claim = {
  id: "availability",
  says: "Every ordinary disconnection ends in one finite reading without a flag.",
  over: (subject) => openings(subject),
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const { promises, design } = episode.subject;
    const since = episode.simulation.lastOpening;
    if (since === undefined) return notApplicable("nothing opened");
    const { least, most } = magnitudes(episode, since, since + 2 * promises.latency);
    // Near the trigger level "below trigger" is right as well.
    if (least < 1.5 * promises.triggerLevel) return notApplicable("too little is left");
    // Harmonics raise the crest of a high mains past what the instrument is made for.
    if (most > design.measuringInterval.upper.toNumber()) return notApplicable(OUTSIDE);
    const reading = readingIn(episode);
    const flags = [...(episode.report?.flags ?? [])];
    const isRight = reading !== undefined && Number.isFinite(reading.voltage) && flags.length === 0;
    const found = reading === undefined ? "no reading" : `${reading.voltage.toFixed(3)} V`;
    return judged(isRight ? 1 : -1, `${found}, ${flags.join(", ") || "no flag"}`, since);
  },
  mustCatch: ["always-flags"],
};

/** s after the opening of a limit line, by bisection between two instants. */
function crossingOf(episode: Episode, level: number, from: number): number | undefined {
  const end = episode.simulation.scenario.duration;
  if (Math.abs(trueVoltage(episode, end)) > level) return undefined;
  let [before, after] = [from, end];
  for (let halving = 0; halving < 50; halving += 1) {
    const middle = (before + after) / 2;
    if (Math.abs(trueVoltage(episode, middle)) > level) before = middle;
    else after = middle;
  }
  return after - from;
}

/** s within which firmware has seen what the voltage did: some samples, and the filter. */
const SEEN_WITHIN = 5e-3;

/**
 * s after the opening at which the voltage is certain to be seen above the ends of a line's crossing
 * no longer, and below them: infinity where it never is.
 */
function crossingSpan(episode: Episode, line: number, since: number): readonly [number, number] {
  const { lines, resultUnit } = episode.configuration;
  const [level, margin] = [lines[line]!.level, lines[line]!.margin].map(
    (units) => units * resultUnit * 1e-6,
  ) as [number, number];
  const off = margin + (provenError(episode, level) ?? margin);
  const isAbove = Math.abs(trueVoltage(episode, since)) > level + off;
  return [
    isAbove ? (crossingOf(episode, level + off, since) ?? 0) : 0,
    level > off ? (crossingOf(episode, level - off, since) ?? Infinity) : Infinity,
  ];
}

const crossing: Claim = {
  id: "crossing",
  says:
    "The reported interval contains the time from the opening at which the voltage passes a limit " +
    "line, and no more than the error about the line accounts for; never is an answer.",
  over: (subject) => openings(subject, { products: ["passive with bleeder"] }),
  judge: (episode) => {
    const { report, subject, simulation, configuration } = episode;
    const since = simulation.lastOpening;
    if (report === undefined || since === undefined || report.readings.length === 0)
      return judgedFault(episode) ?? notApplicable("no reading");
    const { upper, lower } = subject.promises.instant;
    // The report ends with the reading: what passes the line later cannot be in it.
    const played = statedInstant(subject.design) - Math.max(upper, -lower);
    let worst = judged(1, "no line is passed");
    for (const [index, line] of configuration.lines.entries()) {
      const level = line.level * configuration.resultUnit * 1e-6;
      if (Math.abs(trueVoltage(episode, since)) <= level) continue;
      const truth = crossingOf(episode, level, since);
      const { earliest, latest } = report.crossings[index]!;
      const [from, to] = [earliest, latest].map((ticks) =>
        ticks === undefined ? Infinity : ticks / configuration.tickRate,
      ) as [number, number];
      if (truth === undefined || truth > played) {
        // It may be seen to come near the line, not to have passed it.
        if (to === Infinity || (truth !== undefined && to >= truth)) continue;
        return judged(-1, `passes ${level} V by ${to} s, which it does not`, since + to);
      }
      const [soonest, last] = crossingSpan(episode, index, since);
      const spare = Math.min(
        truth - from - lower,
        to + upper - truth,
        from - (soonest + lower - SEEN_WITHIN),
        last < played - SEEN_WITHIN ? last + upper + SEEN_WITHIN - to : Infinity,
      );
      const margin = spare / statedInstant(subject.design);
      if (worst.kind === "judged" && margin < worst.margin)
        worst = judged(
          margin,
          `passes ${level} V after ${truth.toFixed(4)} s, reported ${from} s to ${to} s`,
          since + truth,
        );
    }
    return worst;
  },
  mustCatch: ["crossing-late"],
};

/** Samples about the reading for which the input stage reports saturation. */
function saturatedAbout({ design }: Subject): DeliveryFault {
  const rate = design.timing!.sampleRate.toNumber();
  const opening = LEARNING * rate;
  const first = Math.round(opening + (statedInstant(design) - AFTERWARDS) * rate);
  return { kind: "saturated", first, count: Math.round(2 * AFTERWARDS * rate) };
}

const range: Claim = {
  id: "range",
  says:
    "A reading that rests on codes outside the trusted ones, or on samples that the input stage " +
    "reports as saturated, is flagged.",
  over: (subject) => {
    const space = changed(
      openings(subject, { products: ["passive, switch off"] }),
      [
        {
          name: "excess",
          meaning: "mains above the measuring range",
          strata: [
            { name: "status of the input stage only", least: 0, most: 0 },
            { name: "a little", least: 1_300, most: 1_600 },
            { name: "far", least: 1_601, most: 2_500 },
          ],
          words: (value) => (value === 0 ? "no, saturation is reported" : `times ${value / 1000}`),
        },
      ],
      (scenario, draw) => {
        const { mains, design } = scenario;
        const crest = design.measuringInterval.upper.toNumber();
        const voltage = ((crest / Math.SQRT2) * draw["excess"]!) / 1000;
        return voltage === 0 ? scenario : { ...scenario, mains: { ...mains!, voltage } };
      },
    );
    return {
      ...space,
      handling: ({ excess }) => (excess === 0 ? { faults: [saturatedAbout(subject)] } : {}),
    };
  },
  judge: (episode) => {
    const reading = readingIn(episode);
    if (reading === undefined) return judgedFault(episode) ?? notApplicable("no reading");
    const { trustedCodes } = episode.configuration;
    const { clock } = episode.simulation;
    const sample = Math.round((reading.instant - clock.phase) / clock.period);
    const code = new Int32Array(1);
    episode.simulation.fillCodes(0, sample, code);
    const isTrusted = code[0]! >= trustedCodes[0] && code[0]! <= trustedCodes[1];
    const isReported = episode.draw["excess"] === 0;
    if (isTrusted && !isReported) return notApplicable("the code is trusted");
    const said = [...reading.flags].join(", ") || "no flag";
    return judged(
      reading.flags.has("overRange") ? 1 : -1,
      isReported
        ? `the input stage reports saturation, ${said}`
        : `code ${code[0]}, trusted ${trustedCodes.join(" to ")}, ${said}`,
      reading.instant,
    );
  },
  mustCatch: ["no-range-flag", "saturation-ignored"],
};

/** us about the middle of a reading within which a discharge may begin. */
const WITHIN_READING = 12_000;

/** The delay of a discharge that begins where the draw says, beside the usual ones. */
const discharges: Parameter = {
  name: "begins",
  meaning: "an active discharge begins",
  strata: [
    { name: "soon after the opening", least: WITHIN_READING + 1, most: WITHIN_READING + 1 },
    { name: "within the reading", least: -WITHIN_READING, most: WITHIN_READING },
  ],
  words: (value) =>
    value > WITHIN_READING ? "soon after the opening" : `${value / 1000} ms from the reading`,
  matters: ({ product }) => PRODUCT_KINDS[product!] === "active discharge",
};

const products: Claim = {
  id: "products",
  says:
    "Products that discharge actively, hold a bulk capacitor, ring or run down are read right or " +
    "flagged.",
  over: (subject) =>
    changed(
      openings(subject, {
        products: ["active discharge", "rectifier", "line filter", "running down"],
      }),
      [discharges],
      (scenario, { begins }) => {
        const { product, design } = scenario;
        if (product.kind !== "activeDischarge" || begins! > WITHIN_READING) return scenario;
        return {
          ...scenario,
          product: { ...product, delay: statedInstant(design) + begins! * 1e-6 },
        };
      },
    ),
  covers: {
    "a reading without a flag": (episode) => readingIn(episode)?.flags.size === 0,
  },
  judge: (episode) => rightOrFlagged(episode, MOVING),
  mustCatch: ["bend-unnoticed"],
};

const reconnection: Claim = {
  id: "reconnection",
  says: "Mains that returns before the reading leaves no reading but one that is flagged for it.",
  over: (subject) =>
    changed(
      openings(subject),
      [
        {
          name: "returns",
          meaning: "mains returns after",
          strata: [
            { name: "some tens of ms", least: 25, most: 100 },
            { name: "later", least: 101, most: 900 },
            { name: "just before the reading", least: 901, most: 980 },
          ],
          words: (value) => `${value / 10} % of the time to the reading`,
        },
      ],
      (scenario, draw) => {
        const { disconnection, design, duration } = scenario;
        const { L } = disconnection;
        const returns = (draw["returns"]! / 1000) * statedInstant(design);
        // It opens again only after the end.
        const opened = { ...L!, bounces: [returns, duration + 1] };
        const { closedResistance, openResistance, openCapacitance } = disconnection;
        const contacts = { closedResistance, openResistance, openCapacitance };
        return { ...scenario, disconnection: { ...contacts, L: opened } };
      },
    ),
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const reading = readingIn(episode);
    const at = episode.simulation.events.find(({ kind }) => kind === "poleCloses")?.instant;
    if (at === undefined) return notApplicable("the mains does not return");
    const { phase, flags } = episode.report!;
    const said = [...flags].join(", ") || "no flag";
    if (reading === undefined)
      return judged(phase !== "finished" || flags.size > 0 ? 1 : -1, `no reading, ${said}`, at);
    const shown = `reads ${reading.voltage.toFixed(3)} V, ${said}`;
    return judged(flags.has("reconnected") ? 1 : -1, shown, at);
  },
  mustCatch: ["reconnection-ignored"],
};

/** F of a contact that does not close: what passes it is no measured voltage. */
const GAP_CAPACITANCE = 20e-12;

/** A pole that was open before anything was measured, so that nothing was charged. */
function withoutContact(scenario: Scenario): Scenario {
  const { mains } = scenario;
  const { closedResistance, openResistance } = scenario.disconnection;
  const L = { instant: 0, bounces: [] };
  const disconnection = { L, closedResistance, openResistance, openCapacitance: GAP_CAPACITANCE };
  // It opens at instant 0, where the mains passes zero.
  return { ...scenario, mains: { ...mains!, phaseTurns: 0.25 }, disconnection };
}

/** Kinds of input that is dead, with the change that stands for it. */
const DEAD = [
  "product never energised",
  "open upper leg",
  "shorted lower leg",
  "lost reference",
  "pole without contact",
];

const dead: Claim = {
  id: "dead-input",
  says:
    "An open upper leg, a shorted lower leg, a lost reference, a pole without contact or a product " +
    "that was never energised is flagged and never shown as a low voltage.",
  over: (subject) =>
    changed(openings(subject), [oneOf("defect", "defect", DEAD)], (scenario, draw) => {
      const { mains, design, quantities } = scenario;
      const [upper] = design.divider.upper;
      const [lower] = design.divider.lower;
      const defect = draw["defect"]!;
      if (defect === 0) return { ...scenario, mains: { ...mains!, voltage: 0 } };
      if (defect === 4) return withoutContact(scenario);
      // Changes since the adjustment: a defect of the tester in use.
      const name = [`${upper!.id}_drift_use`, `${lower!.id}_drift_use`, "reference_drift_use"][
        defect - 1
      ]!;
      const value = [1e6, -0.99999, -0.9999][defect - 1]!;
      return { ...scenario, outsideLimits: true, quantities: { ...quantities, [name]: value } };
    }),
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const { report } = episode;
    const flags = [...(report?.flags ?? [])];
    const reading = readingIn(episode);
    return judged(
      flags.length > 0 ? 1 : -1,
      `${reading === undefined ? "no reading" : `${reading.voltage.toFixed(3)} V`}, ${flags.join(", ") || "no flag"}`,
      episode.simulation.lastOpening,
    );
  },
  mustCatch: ["dead-while-still"],
};

function withoutMains({ mains, ...rest }: Scenario): Scenario {
  return mains === undefined ? rest : { ...rest };
}

const powerUp: Claim = {
  id: "power-up",
  says: "Power-up on a charged product that is already disconnected gives no reading without a flag.",
  over: (subject) =>
    changed(
      openings(subject),
      [
        {
          name: "charge",
          meaning: "voltage on the pins at power-up",
          strata: [
            { name: "low", least: -60, most: 60 },
            { name: "positive", least: 61, most: 400 },
            { name: "negative", least: -400, most: -61 },
          ],
          words: (value) => `${value} V`,
        },
      ],
      (scenario, draw) => ({
        ...withoutMains(scenario),
        disconnection: { closedResistance: 0, openResistance: 0, openCapacitance: 0 },
        product: {
          kind: "imposed",
          terms: [{ amplitude: draw["charge"]!, rate: 0.5, frequency: 0, phaseTurns: 0 }],
          earthCapacitance: { L: 0, N: 0 },
          earthResistance: { L: 0, N: 0 },
        },
      }),
    ),
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const reading = readingIn(episode);
    if (reading === undefined || reading.flags.size > 0) return judged(1, "no reading, or flagged");
    return judged(-1, `reads ${reading.voltage.toFixed(3)} V without a flag`, reading.instant);
  },
  mustCatch: ["decay-at-power-up"],
};

/** Claims on readings and flags. */
export const READING_CLAIMS: readonly Claim[] = [
  availability,
  crossing,
  range,
  products,
  reconnection,
  dead,
  powerUp,
];
