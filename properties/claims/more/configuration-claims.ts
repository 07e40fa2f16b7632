import type { ChannelScale, Configuration, Refusal } from "../../../sim/firmware/port.ts";
import { MOST_LINES, MOST_MOMENTS } from "../../../sim/firmware/port.ts";
import type { Draw } from "../../arbitraries/parameter.ts";
import type { Handling } from "../../arbitraries/handling.ts";
import type { Episode } from "../episode.ts";
import { judged, notApplicable } from "../claim.ts";
import type { Claim, Judgement } from "../claim.ts";
import { codesOf } from "./held-codes.ts";
import { judgedAlike, judgedFault } from "./episode-views.ts";
import { handled, oneOf, openings } from "./spaces.ts";

/** One rule of the port, broken. */
interface Breach {
  readonly what: string;
  readonly refusal: Refusal;
  readonly broken: (usual: Configuration) => Configuration;
}

function withLastScale(usual: Configuration, scale: Partial<ChannelScale>): Configuration {
  const last = { ...usual.channels.at(-1)!, ...scale };
  return { ...usual, channels: [...usual.channels.slice(0, -1), last] };
}

/** With one limit line more, or another one in the place of the last. */
function withLine(usual: Configuration, level: number, margin: number): Configuration {
  const lines = [...usual.lines.slice(0, MOST_LINES - 1), { level, margin }];
  return { ...usual, lines };
}

function latest({ moments }: Configuration): number {
  return moments.at(-1)!;
}

/** Each is wrong in one place alone. */
const BREACHES: readonly Breach[] = [
  {
    what: "a caller of the next major version",
    refusal: "portVersion",
    broken: (usual) => ({ ...usual, port: { ...usual.port, major: usual.port.major + 1 } }),
  },
  {
    what: "a caller of the major version before",
    refusal: "portVersion",
    broken: (usual) => ({ ...usual, port: { ...usual.port, major: usual.port.major - 1 } }),
  },
  {
    what: "no ticks from one sample to the next",
    refusal: "sampleRate",
    broken: (usual) => ({ ...usual, ticksPerSample: 0 }),
  },
  {
    what: "no ticks in a second",
    refusal: "sampleRate",
    broken: (usual) => ({ ...usual, tickRate: 0 }),
  },
  {
    what: "codes without a bit",
    refusal: "codeWidth",
    broken: (usual) => ({ ...usual, codeBits: 0 }),
  },
  {
    what: "no code that may be trusted",
    refusal: "codeWidth",
    broken: (usual) => {
      const [least] = usual.trustedCodes;
      return { ...usual, trustedCodes: [least, least - 1] };
    },
  },
  {
    what: "two channels where the role has one",
    refusal: "channels",
    broken: (usual) => ({
      ...usual,
      role: "single",
      channels: [usual.channels[0]!, usual.channels[0]!],
    }),
  },
  ...(["perPin", "ranges"] as const).map((role): Breach => ({
    what: `one channel where the role ${role === "perPin" ? "of a pin each" : "of ranges"} has two`,
    refusal: "channels",
    broken: (usual) => ({ ...usual, role, channels: usual.channels.slice(0, 1) }),
  })),
  {
    what: "a multiplier of nought",
    refusal: "scale",
    broken: (usual) => withLastScale(usual, { multiplier: 0 }),
  },
  {
    what: "a multiplier below nought",
    refusal: "scale",
    broken: (usual) => withLastScale(usual, { multiplier: -usual.channels.at(-1)!.multiplier }),
  },
  {
    what: "a trigger level of nought",
    refusal: "triggerLevel",
    broken: (usual) => ({ ...usual, triggerLevel: 0 }),
  },
  {
    what: "a trigger level below nought",
    refusal: "triggerLevel",
    broken: (usual) => ({ ...usual, triggerLevel: -usual.triggerLevel }),
  },
  {
    what: "a limit line at nought",
    refusal: "lines",
    broken: (usual) => withLine(usual, 0, 0),
  },
  {
    what: "a limit line with a margin below nought",
    refusal: "lines",
    broken: (usual) => withLine(usual, 2 * usual.triggerLevel, -1),
  },
  {
    what: "more limit lines than there are in the port",
    refusal: "lines",
    broken: (usual) => {
      const line = { level: 2 * usual.triggerLevel, margin: 0 };
      return { ...usual, lines: Array.from({ length: MOST_LINES + 1 }, () => line) };
    },
  },
  {
    what: "more moments of reading than there are in the port",
    refusal: "moments",
    broken: (usual) => {
      const moments = Array.from({ length: MOST_MOMENTS + 1 }, (_, place) => latest(usual) + place);
      return { ...usual, moments };
    },
  },
  {
    what: "no moment of reading",
    refusal: "moments",
    broken: (usual) => ({ ...usual, moments: [] }),
  },
  {
    what: "the same moment of reading twice",
    refusal: "moments",
    broken: (usual) => ({ ...usual, moments: [latest(usual), latest(usual)] }),
  },
  {
    what: "moments of reading that fall",
    refusal: "moments",
    broken: (usual) => ({ ...usual, moments: [latest(usual), latest(usual) - 1] }),
  },
];

const broken = oneOf(
  "breach",
  "configuration",
  BREACHES.map(({ what }) => what),
);

/** A configuration that is refused is never given any code. */
const NO_CODES = new Int32Array(0);

const refusal: Claim = {
  id: "refusal",
  says: "A configuration that breaks a rule of the port is refused for that rule.",
  over: (subject) => {
    const usual = openings(subject);
    // No sample is taken: every scenario is the plainest one.
    const plainest = Object.fromEntries(
      usual.parameters.map(({ name, strata }) => [name, strata[0]!.least]),
    );
    return {
      parameters: [broken],
      classed: [broken],
      scenarioOf: () => usual.scenarioOf(plainest),
      quantitiesOf: () => usual.quantitiesOf(plainest),
      handling: ({ breach }) => ({ configured: BREACHES[breach!]!.broken, codes: NO_CODES }),
    };
  },
  enumeration: {
    of: "rules of the port, broken",
    by: "breach",
    members: () => BREACHES.map((_, index) => index),
  },
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const expected = BREACHES[episode.draw["breach"]!]!;
    const isRight = episode.refusal === expected.refusal;
    const found = episode.refusal === undefined ? "accepted" : `refused for ${episode.refusal}`;
    return judged(isRight ? 1 : -1, `${expected.what}: ${found}`);
  },
  mustCatch: ["rule-unchecked"],
};

/** Share of the codes to each side of zero from which on the fine range clips. */
const CLIPPED = 0.25;

/** One way to take the voltage of one channel in by two. */
interface Wiring {
  readonly name: string;
  readonly configured: (usual: Configuration) => Configuration;
  readonly wired: (codes: Int32Array) => readonly Int32Array[];
}

/** The codes of one converter, its own code of zero volts, and its ends. */
interface Span {
  readonly lowest: number;
  readonly highest: number;
  readonly zero: number;
}

function wiringsOf({ lowest, highest, zero }: Span): readonly Wiring[] {
  const clips = CLIPPED * Math.min(highest - zero, zero - lowest);
  return [
    {
      name: "a pin each, both lifted alike",
      configured: (usual) => {
        const [scale] = usual.channels;
        const lift = usual.triggerLevel * 2 ** usual.fractionBits;
        const first = { ...scale!, addend: scale!.addend + lift };
        // Reads the lift at its code of zero, exactly.
        const addend = lift - zero * scale!.multiplier;
        const second = { ...scale!, zeroCode256: 256 * zero, addend };
        return { ...usual, role: "perPin", channels: [first, second] };
      },
      wired: (codes) => [codes, new Int32Array(codes.length).fill(zero)],
    },
    {
      // As fine as the coarse one, so that both tell the same to the last digit.
      name: "a fine range that clips at a quarter of the coarse one",
      configured: (usual) => {
        const [scale] = usual.channels;
        return { ...usual, role: "ranges", channels: [scale!, scale!] };
      },
      wired: (codes) => [
        codes.map((code) => {
          if (Math.abs(code - zero) <= clips) return code;
          return code > zero ? highest : lowest;
        }),
        codes,
      ],
    },
  ];
}

/** What neither the episode nor its twin was refused for, or why there is nothing to judge. */
function refusedOrWrong(episode: Episode): Judgement | undefined {
  const refused = episode.refusal ?? episode.twin!.refusal;
  if (refused !== undefined) return notApplicable(`the firmware refuses it: ${refused}`);
  return judgedFault(episode) ?? judgedFault(episode.twin!);
}

const channels: Claim = {
  id: "two-channels",
  says:
    "Two channels that take in the voltage of one, a pin each or a fine range over a coarse one, " +
    "give its report.",
  over: (subject) => {
    const wirings = wiringsOf(codesOf(subject.design));
    const names = wirings.map(({ name }) => name);
    return {
      ...handled(
        openings(subject),
        [oneOf("wiring", "channels", names)],
        ({ wiring }) => wirings[wiring!]!,
      ),
      twin: () => ({}),
    };
  },
  judge: (episode) => refusedOrWrong(episode) ?? judgedAlike(episode),
  mustCatch: ["second-pin-ignored"],
};

/** What is asked of the firmware, and what has to give the same reading. */
interface Request {
  readonly name: string;
  readonly asked: (usual: Configuration, apart: number) => Configuration;
  readonly alike: (usual: Configuration, apart: number) => Configuration;
  /** Which of the readings that are asked for has to be that of the other. */
  readonly place: number;
}

const earlierToo = (usual: Configuration, apart: number): Configuration => ({
  ...usual,
  moments: [latest(usual) - apart, latest(usual)],
});

function at(usual: Configuration, moment: number, position: Configuration["windowPosition"]) {
  return { ...usual, moments: [moment], windowPosition: position } as const;
}

const REQUESTS: readonly Request[] = [
  {
    name: "the later one of two readings",
    asked: earlierToo,
    alike: (usual) => usual,
    place: 1,
  },
  {
    name: "the earlier one of two readings",
    asked: earlierToo,
    alike: (usual, apart) => ({ ...usual, moments: [latest(usual) - apart] }),
    place: 0,
  },
  {
    name: "a window that ends at the moment",
    asked: (usual) => at(usual, latest(usual), "trailing"),
    alike: (usual) => at(usual, latest(usual) - usual.window / 2, "centred"),
    place: 0,
  },
  {
    name: "a window that begins at the moment",
    asked: (usual) => at(usual, latest(usual) - usual.window, "leading"),
    alike: (usual) => at(usual, latest(usual) - usual.window / 2, "centred"),
    place: 0,
  },
];

/** The two requests of a draw. */
function requested(draw: Draw): { readonly asked: Handling; readonly alike: Handling } {
  const { asked, alike } = REQUESTS[draw["request"]!]!;
  const apartOf = (usual: Configuration): number =>
    Math.round((latest(usual) * draw["apart"]!) / 1_000);
  return {
    asked: { configured: (usual) => asked(usual, apartOf(usual)) },
    alike: { configured: (usual) => alike(usual, apartOf(usual)) },
  };
}

const moments: Claim = {
  id: "moments",
  says:
    "A reading is the same whether another one is asked for as well, and wherever its moment lies in " +
    "its window.",
  over: (subject) => ({
    ...handled(
      openings(subject),
      [
        oneOf(
          "request",
          "asked for",
          REQUESTS.map(({ name }) => name),
        ),
        {
          name: "apart",
          meaning: "the earlier moment lies before the later one by",
          strata: [
            { name: "some per cent", least: 30, most: 200 },
            { name: "up to three quarters", least: 201, most: 750 },
          ],
          words: (value) => `${value / 10} % of it`,
          matters: ({ request }) => REQUESTS[request!]!.asked === earlierToo,
        },
      ],
      (draw) => requested(draw).asked,
    ),
    twin: (draw) => requested(draw).alike,
  }),
  covers: {
    "both are read": ({ report, twin }) =>
      report?.readings.length !== 0 && twin!.report?.readings.length !== 0,
  },
  judge: (episode) => {
    const open = refusedOrWrong(episode);
    if (open !== undefined) return open;
    const { report, twin, draw } = episode;
    const reading = report!.readings[REQUESTS[draw["request"]!]!.place];
    const [alike] = twin!.report!.readings;
    if (reading === undefined && alike === undefined) return notApplicable("no reading");
    const [said, other] = [JSON.stringify(reading), JSON.stringify(alike)];
    return said === other
      ? judged(1, "reads the same")
      : judged(-1, `reads ${said ?? "nothing"}, otherwise ${other ?? "nothing"}`);
  },
  mustCatch: ["second-moment-early"],
};

/** Claims on what a firmware is asked for at its start. */
export const CONFIGURATION_CLAIMS: readonly Claim[] = [refusal, channels, moments];
