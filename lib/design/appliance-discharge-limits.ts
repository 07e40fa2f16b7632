import { ABOVE_100_NF, LABORATORY_PROBE, publishedLimit } from "./limit-entry.ts";
import type { Pins, PublishedLimit } from "./published-limit.ts";

const CONNECTOR: readonly Pins[] = ["L-N", "L-L", "L-PE", "N-PE"];

const HOUSEHOLD: readonly PublishedLimit[] = [
  publishedLimit({
    id: "iec-60335-1-22.5",
    standard: "IEC 60335-1",
    clause: "22.5",
    source: "clause text, public quotation",
    checkedOn: "2026-11-25",
    lines: [
      {
        id: "iec-60335-1-22.5/plug",
        duration: 1,
        limit: { kind: "voltage", voltage: 34, form: "notStated" },
        applicability: {
          capacitance: [
            { ...ABOVE_100_NF, where: "text without Amendments 1 and 2 of Edition 5" },
            { capacitance: 0.1e-6, tested: "atOrAbove", where: "Amendments 1 and 2 of Edition 5" },
          ],
        },
        status: "confirmed",
      },
    ],
    measurand: { definition: "unloaded", status: "confirmed" },
    instrument: [
      {
        words: "must not appreciably affect the value to be measured",
        source: "IEC 60335-1, 22.5",
        status: "confirmed",
      },
      LABORATORY_PROBE,
    ],
    disconnection: {
      instant: "voltagePeak",
      words: "supplied at rated voltage, any switch then placed in the off position",
    },
  }),
  publishedLimit({
    id: "iec-60335-1-22.5-electronic",
    standard: "IEC 60335-1",
    clause: "22.5",
    edition: "5.2 and 6",
    source: "recalled",
    lines: [
      {
        id: "iec-60335-1-22.5-electronic/plug",
        duration: 1,
        limit: { kind: "voltage", voltage: 34, form: "notStated" },
        applicability: {
          capacitance: [{ capacitance: 0.1e-6, tested: "atOrAbove" }],
          condition: "the discharge depends on an electronic circuit",
        },
        status: "fromMemory",
      },
    ],
    measurand: { definition: "unloaded", status: "fromMemory" },
    instrument: [LABORATORY_PROBE],
    disconnection: {
      instant: "voltagePeak",
      repetitions: 3,
      words: "after the electromagnetic stresses of 19.11.4; each of the three meets the limit",
    },
  }),
  publishedLimit({
    id: "jp-60335-1-22.5",
    standard: "IEC 60335-1, Japanese deviation",
    clause: "22.5",
    source: "clause digest",
    checkedOn: "2026-11-25",
    nationalDeviation: "Japan, law on electrical appliances",
    lines: [
      {
        id: "jp-60335-1-22.5/plug",
        duration: 1,
        limit: { kind: "voltage", voltage: 45, form: "notStated" },
        applicability: { capacitance: [ABOVE_100_NF] },
        status: "confirmed",
      },
    ],
    measurand: { definition: "unloaded", status: "confirmed" },
    instrument: [LABORATORY_PROBE],
    disconnection: { instant: "voltagePeak", words: "the same test as IEC 60335-1, 22.5" },
  }),
  publishedLimit({
    id: "iec-60598-1-8.2.7",
    standard: "IEC 60598-1",
    clause: "8.2.7",
    isClauseCertain: false,
    source: "recalled",
    lines: [
      {
        id: "iec-60598-1-8.2.7/plug",
        duration: 1,
        limit: { kind: "voltage", voltage: 34, form: "peak" },
        applicability: {
          capacitance: [
            { ...ABOVE_100_NF, where: "supply of 150 V or more" },
            { capacitance: 0.25e-6, tested: "above", where: "supply below 150 V" },
          ],
          condition: "connected by a plug",
        },
        status: "fromMemory",
      },
      {
        id: "iec-60598-1-8.2.7/other-connection",
        place: "at the supply terminals",
        pins: ["externalTerminals"],
        duration: 60,
        limit: { kind: "voltage", voltage: 50, form: "notStated" },
        applicability: {
          capacitance: [{ capacitance: 0.5e-6, tested: "above" }],
          condition: "not connected by a plug",
        },
        status: "fromMemory",
      },
    ],
  }),
  publishedLimit({
    id: "iec-62841-1-plug",
    standard: "IEC 62841-1 and IEC 60745-1",
    source: "recalled",
    lines: [
      {
        id: "iec-62841-1-plug/plug",
        duration: 1,
        limit: { kind: "voltage", voltage: 34, form: "peak" },
        applicability: { capacitance: [ABOVE_100_NF] },
        status: "fromMemory",
      },
    ],
  }),
  publishedLimit({
    id: "iec-61558-1-plug",
    standard: "IEC 61558-1",
    source: "recalled",
    lines: [
      {
        id: "iec-61558-1-plug/plug",
        duration: 1,
        limit: { kind: "voltage", voltage: 60, form: "dc" },
        applicability: { capacitance: [ABOVE_100_NF] },
        status: "fromMemory",
      },
    ],
    disconnection: { instant: "worstOfRepetitions", repetitions: 10 },
  }),
];

const ELECTRONICS: readonly PublishedLimit[] = [
  publishedLimit({
    id: "iec-60950-1-2.1.1.7",
    standard: "IEC 60950-1",
    clause: "2.1.1.7",
    source: "clause text, public quotation; the impedance also in decision sheet DSH 716",
    checkedOn: "2026-11-25",
    lines: [
      { type: "A", timeConstant: 1 },
      { type: "B", timeConstant: 10 },
    ].map(({ type, timeConstant }) => ({
      id: `iec-60950-1-2.1.1.7/type-${type.toLowerCase()}`,
      place: "at an external point of disconnection of the mains that the operator can reach",
      duration: timeConstant,
      limit: { kind: "timeConstant" as const, timeConstant, fraction: 0.37 },
      applicability: {
        capacitance: [ABOVE_100_NF],
        exemptMains: { peak: 42.4, dc: 60 },
        condition: `pluggable equipment type ${type}`,
      },
      status: "confirmed" as const,
    })),
    measurand: {
      definition: "referredToLoad",
      load: {
        resistance: { lower: 95e6, nominal: 100e6, upper: 105e6 },
        capacitance: { lower: 15e-12, nominal: 20e-12, upper: 25e-12 },
      },
      status: "confirmed",
    },
    instrument: [LABORATORY_PROBE],
    disconnection: { instant: "notStated", words: "any on/off switch in either position" },
    notes: ["the 2001 edition names permanently connected equipment beside type B"],
  }),
  publishedLimit({
    id: "iec-62368-1-5.5.2.2",
    standard: "IEC 62368-1",
    clause: "5.5.2.2",
    source: "public test-report form; Table 5 in two public transcriptions of a national adoption",
    lines: [
      { operation: "normal", name: "normal", energySource: "ES1", status: "confirmed" } as const,
      {
        operation: "singleFault",
        name: "single-fault",
        energySource: "ES2",
        status: "fromMemory",
      } as const,
    ].map(({ name, energySource, ...line }) => ({
      ...line,
      id: `iec-62368-1-5.5.2.2/${name}`,
      place: "between the conductors of the connector (L-N, L-L, L-E, N-E)",
      pins: CONNECTOR,
      duration: 2,
      limit: { kind: "chargedCapacitorTable" as const, energySource },
      applicability: { capacitance: [], condition: "accessible to an ordinary person" },
    })),
    measurand: {
      definition: "referredToLoad",
      load: {
        resistance: { lower: 95e6, nominal: 100e6, upper: 105e6 },
        capacitance: { lower: 0, upper: 25e-12 },
      },
      status: "fromMemory",
    },
    instrument: [
      {
        leastResistance: 95e6,
        greatestCapacitance: 25e-12,
        words: "100 Mohm +/-5 Mohm in parallel with at most 25 pF, or the result referred to it",
        source: "recalled",
        status: "fromMemory",
      },
    ],
    disconnection: {
      instant: "notStated",
      words: "recorded: supply voltage and frequency, location, condition, switch position",
    },
    notes: [
      "the capacitance is the rated value plus its tolerance",
      "test reports leave out the single-fault discharge test where the bleeder resistor passed " +
        "G.10.1 and G.10.2 (confirmed: public test-report form)",
    ],
  }),
  publishedLimit({
    id: "iec-60065-9.1.6",
    standard: "IEC 60065",
    clause: "9.1.6",
    source: "clause number in decision sheets DSH 716 and DSH 753; figures recalled",
    lines: [
      {
        id: "iec-60065-9.1.6/plug",
        duration: 2,
        limit: { kind: "voltage", voltage: 35, form: "peak" },
        alternatives: [{ kind: "voltage", voltage: 60, form: "dc" }],
        applicability: { capacitance: [{ ...ABOVE_100_NF, where: "across the mains poles" }] },
        status: "fromMemory",
      },
    ],
    instrument: [LABORATORY_PROBE],
    disconnection: {
      instant: "worstOfRepetitions",
      repetitions: 10,
      words: "may be repeated up to ten times, worst switch position",
    },
  }),
];

/** Clauses for household, lighting, tool and electronic products with a plug. */
export const APPLIANCE_DISCHARGE_LIMITS: readonly PublishedLimit[] = [...HOUSEHOLD, ...ELECTRONICS];
