import { publishedLimit } from "./limit-entry.ts";
import type { LineEntry } from "./limit-entry.ts";
import type { LimitLine, LimitValue, PublishedLimit, VoltageForm } from "./published-limit.ts";

/** A line at an accessible part that is not read a stated time after a disconnection. */
function accessiblePart(line: LineEntry): LineEntry {
  return {
    place: "accessible part behind a protective impedance or in a limited circuit",
    pins: ["accessibleParts"],
    ...line,
  };
}

/** Capacitance, charge and energy, each in its own band of the peak voltage. */
function storedLimits(first: { above: number }): readonly (readonly [string, LimitValue])[] {
  return [
    [
      "capacitance",
      { kind: "capacitance", capacitance: 0.1e-6, band: { above: first.above, upTo: 450 } },
    ],
    ["charge", { kind: "charge", charge: 45e-6, band: { above: 450, upTo: 15_000 } }],
    ["energy", { kind: "energy", energy: 0.35, band: { above: 15_000 } }],
  ];
}

/** Voltages in V that are not hazardous live: root mean square, peak and direct. */
interface Levels {
  readonly name: string;
  readonly rms: number;
  readonly peak: number;
  readonly dc: number;
  readonly operation: LimitLine["operation"];
  readonly edition: string;
}

const LABORATORY_LEVELS: readonly Levels[] = [
  { name: "normal", rms: 30, peak: 42.4, dc: 60, operation: "normal", edition: "current" },
  {
    name: "single-fault",
    rms: 50,
    peak: 70,
    dc: 120,
    operation: "singleFault",
    edition: "current",
  },
  { name: "normal-older", rms: 33, peak: 46.7, dc: 70, operation: "normal", edition: "older" },
  {
    name: "single-fault-older",
    rms: 55,
    peak: 78,
    dc: 140,
    operation: "singleFault",
    edition: "older",
  },
];

function levelLines(levels: Levels): LineEntry[] {
  const forms: readonly Exclude<VoltageForm, "notStated">[] = ["rms", "peak", "dc"];
  return forms.map((form) =>
    accessiblePart({
      id: `iec-61010-1-6.3/${levels.name}-${form}`,
      place: "accessible part",
      limit: { kind: "voltage", voltage: levels[form], form },
      operation: levels.operation,
      applicability: { capacitance: [], condition: `${levels.edition} editions` },
      status: "fromMemory",
    }),
  );
}

/**
 * Clauses that say which accessible parts are no hazard. They are not read at plug pins, but
 * explain the figures of the plug tests: 0.1 uF at 450 V holds 45 uC.
 */
export const ACCESSIBLE_PART_LIMITS: readonly PublishedLimit[] = [
  publishedLimit({
    id: "iec-60335-1-8.1.4",
    standard: "IEC 60335-1",
    clause: "8.1.4",
    source: "clause text, public quotation",
    checkedOn: "2026-11-25",
    lines: [
      ...storedLimits({ above: 42.4 }).map(([name, limit]) =>
        accessiblePart({
          id: `iec-60335-1-8.1.4/${name}`,
          limit,
          status: "confirmed",
          // Charge and energy are those of a discharge right after the interruption.
          ...(name === "capacitance" ? {} : { duration: 0 }),
        }),
      ),
      accessiblePart({
        id: "iec-60335-1-8.1.4/current-dc",
        limit: { kind: "current", current: 2e-3, form: "dc" },
        status: "confirmed",
      }),
      accessiblePart({
        id: "iec-60335-1-8.1.4/current-ac",
        limit: { kind: "current", current: 0.7e-3, form: "peak" },
        status: "confirmed",
      }),
    ],
    instrument: [
      {
        words: "charge and energy of the discharge are measured through 2000 ohm, non-inductive",
        source: "IEC 60335-1, 8.1.4",
        status: "confirmed",
      },
    ],
    disconnection: {
      instant: "notStated",
      words: "supplied at rated voltage; discharges are read immediately after the interruption",
    },
  }),
  publishedLimit({
    id: "iec-60950-1-2.4",
    standard: "IEC 60950-1",
    clause: "2.4",
    source: "public quotation",
    lines: storedLimits({ above: 0 }).map(([name, limit]) =>
      accessiblePart({ id: `iec-60950-1-2.4/${name}`, limit, status: "confirmed" }),
    ),
    notes: ["limited current circuit"],
  }),
  publishedLimit({
    id: "iec-61010-1-6.3",
    standard: "IEC 61010-1",
    clause: "6.3",
    source: "recalled",
    lines: [
      ...LABORATORY_LEVELS.flatMap(levelLines),
      accessiblePart({
        id: "iec-61010-1-6.3/charge",
        limit: { kind: "charge", charge: 45e-6, band: { above: 0, upTo: 15_000 } },
        status: "fromMemory",
      }),
      accessiblePart({
        id: "iec-61010-1-6.3/energy",
        limit: { kind: "energy", energy: 0.35, band: { above: 15_000 } },
        status: "fromMemory",
      }),
    ],
  }),
];
