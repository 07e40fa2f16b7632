import { ABOVE_100_NF, LABORATORY_PROBE, publishedLimit, SIXTY_VOLTS } from "./limit-entry.ts";
import type { Pins, PublishedLimit } from "./published-limit.ts";

const PLUG_AND_ENCLOSURE: readonly Pins[] = ["L-N", "L-enclosure", "N-enclosure"];
const PINS_AND_ENCLOSURE = "between the pins of the plug, and between any pin and the enclosure";

const MEDICAL: readonly PublishedLimit[] = [
  publishedLimit({
    id: "iec-601-1-1988-15b",
    standard: "IEC 601-1:1988 (IEC 60601-1, second edition)",
    clause: "15 b",
    edition: "2",
    source: "GOST R 50267.0-92, the adoption of IEC 601-1",
    lines: [
      {
        id: "iec-601-1-1988-15b/plug",
        place: PINS_AND_ENCLOSURE,
        pins: PLUG_AND_ENCLOSURE,
        duration: 1,
        limit: SIXTY_VOLTS,
        status: "confirmed",
      },
    ],
    measurand: { definition: "unloaded", status: "confirmed" },
    instrument: [
      {
        words: "the internal resistance must not influence the result",
        source: "IEC 601-1:1988, 15 b",
        status: "confirmed",
      },
    ],
    disconnection: {
      instant: "notStated",
      words:
        "at rated voltage or the upper limit of the range; switch on or off, the worse of both",
    },
  }),
  publishedLimit({
    id: "iec-60601-1-8.4.3",
    standard: "IEC 60601-1:2005",
    clause: "8.4.3",
    edition: "3",
    source: "recalled",
    lines: [
      {
        id: "iec-60601-1-8.4.3/plug",
        place: PINS_AND_ENCLOSURE,
        pins: PLUG_AND_ENCLOSURE,
        duration: 1,
        limit: SIXTY_VOLTS,
        alternatives: [{ kind: "charge", charge: 45e-6 }],
        applicability: { capacitance: [{ ...ABOVE_100_NF, where: "line to line" }] },
        status: "fromMemory",
      },
    ],
    measurand: { definition: "unloaded", status: "fromMemory" },
    instrument: [
      {
        words: "the internal impedance must not affect the test significantly",
        source: "IEC 60601-1:2005, 8.4.3",
        status: "fromMemory",
      },
    ],
    disconnection: {
      instant: "either",
      words: "repeated as often as needed to find the maximum, or triggered at the peak",
    },
    notes: ["ten repetitions were the practice with the second edition"],
  }),
];

const LABORATORY: readonly PublishedLimit[] = [
  publishedLimit({
    id: "iec-61010-1-6.10.3",
    standard: "IEC 61010-1",
    clause: "6.10.3 with 6.3.1 c)",
    source: "public quotation",
    checkedOn: "2026-11-25",
    lines: [
      {
        id: "iec-61010-1-6.10.3/plug",
        duration: 5,
        limit: SIXTY_VOLTS,
        alternatives: [{ kind: "charge", charge: 45e-6 }],
        status: "confirmed",
      },
    ],
    instrument: [LABORATORY_PROBE],
    notes: [
      "the clause asks for pins that are not hazardous live; laboratories use 60 V, and above it " +
        "the charge decides (line A of Figure 3)",
    ],
  }),
  publishedLimit({
    id: "iec-61010-1-external-terminals",
    standard: "IEC 61010-1",
    source: "public trade article",
    checkedOn: "2026-11-25",
    lines: [
      {
        id: "iec-61010-1-external-terminals/terminals",
        place: "at terminals for external conductors",
        pins: ["externalTerminals"],
        duration: 10,
        limit: SIXTY_VOLTS,
        status: "confirmed",
      },
    ],
  }),
];

const MACHINES: readonly PublishedLimit[] = [
  publishedLimit({
    id: "iec-60204-1-6.2.4",
    standard: "IEC 60204-1",
    clause: "6.2.4",
    source: "public clause digest",
    checkedOn: "2026-11-25",
    lines: [
      {
        id: "iec-60204-1-6.2.4/live-parts",
        place: "live parts that keep a residual voltage above 60 V after switching off",
        pins: ["liveParts"],
        duration: 5,
        limit: SIXTY_VOLTS,
        alternatives: [
          {
            kind: "measure",
            measure: "a durable warning with the delay, where discharging disturbs the function",
          },
        ],
        applicability: { capacitance: [], exemptCharge: 60e-6 },
        status: "confirmed",
      },
      {
        id: "iec-60204-1-6.2.4/plug",
        place: "conductors that withdrawing a plug or the like exposes",
        duration: 1,
        limit: SIXTY_VOLTS,
        alternatives: [
          { kind: "measure", measure: "protection to IP2X or IPXXB" },
          {
            kind: "measure",
            measure: "a further switching device or a warning; with public access IP4X or IPXXD",
          },
        ],
        applicability: { capacitance: [], exemptCharge: 60e-6 },
        status: "confirmed",
      },
    ],
  }),
  publishedLimit({
    id: "iec-61800-5-1-discharge",
    standard: "IEC 61800-5-1 and IEC 62477-1",
    source: "recalled",
    lines: [
      {
        id: "iec-61800-5-1-discharge/live-parts",
        place: "live parts",
        pins: ["liveParts"],
        duration: 5,
        limit: SIXTY_VOLTS,
        alternatives: [{ kind: "charge", charge: 50e-6 }],
        status: "fromMemory",
      },
      {
        id: "iec-61800-5-1-discharge/plug",
        duration: 1,
        limit: SIXTY_VOLTS,
        alternatives: [{ kind: "charge", charge: 50e-6 }],
        status: "fromMemory",
      },
    ],
  }),
];

/** Clauses for medical, laboratory and industrial equipment. */
export const EQUIPMENT_DISCHARGE_LIMITS: readonly PublishedLimit[] = [
  ...MEDICAL,
  ...LABORATORY,
  ...MACHINES,
];
