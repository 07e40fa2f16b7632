import { EDITION_ADVICE } from "./published-limit.ts";
import type {
  CapacitanceThreshold,
  InstrumentDemand,
  LimitLine,
  LimitValue,
  Pins,
  PublishedLimit,
  SourceStatus,
} from "./published-limit.ts";

/** Conductors between which "the pins of the plug" can be read. */
const PLUG: readonly Pins[] = ["L-N", "L-PE", "N-PE"];

/** Only capacitances above 0.1 uF are tested. */
export const ABOVE_100_NF: CapacitanceThreshold = { capacitance: 0.1e-6, tested: "above" };

/** The line most plug tests share. */
export const SIXTY_VOLTS: LimitValue = { kind: "voltage", voltage: 60, form: "notStated" };

/** What laboratories use where the product standard names no instrument. */
export const LABORATORY_PROBE: InstrumentDemand = {
  leastResistance: 100e6,
  greatestCapacitance: 25e-12,
  words: "at least 100 Mohm in parallel with at most 25 pF, unless the standard says otherwise",
  source: "certification laboratories' decision sheet DSH 716 (2008)",
  status: "confirmed",
};

/** A line as a table writes it: what is not said is usual. */
export type LineEntry = Pick<LimitLine, "id" | "limit" | "status"> & Partial<LimitLine>;

/** A publication as a table writes it: what is not said is usual or follows from the rest. */
export type LimitEntry = Pick<PublishedLimit, "id" | "standard" | "source"> &
  Partial<Omit<PublishedLimit, "status" | "advice" | "lines">> & {
    readonly lines: readonly LineEntry[];
  };

/** A line between the pins of the plug in normal operation, unless the entry says otherwise. */
function limitLine(entry: LineEntry): LimitLine {
  return {
    place: "between the pins of the plug",
    pins: PLUG,
    alternatives: [],
    applicability: { capacitance: [] },
    operation: "normal",
    ...entry,
  };
}

function statusesOf(entry: PublishedLimit): readonly SourceStatus[] {
  const { measurand, instrument } = entry;
  const ofMeasurand = measurand.definition === "notStated" ? [] : [measurand.status];
  return [entry.status, ...ofMeasurand, ...instrument.map((demand) => demand.status)];
}

/** Fills in what an entry leaves out: a clause without number is never certain. */
export function publishedLimit(entry: LimitEntry): PublishedLimit {
  const lines = entry.lines.map(limitLine);
  const isRecalled = lines.some((line) => line.status === "fromMemory");
  const limit: PublishedLimit = {
    clause: "not known",
    isClauseCertain: entry.clause !== undefined,
    measurand: { definition: "notStated" },
    instrument: [],
    disconnection: { instant: "notStated" },
    notes: [],
    ...entry,
    lines,
    status: isRecalled ? "fromMemory" : "confirmed",
  };
  const needsAdvice = statusesOf(limit).includes("fromMemory") || !limit.isClauseCertain;
  return needsAdvice ? { ...limit, advice: EDITION_ADVICE } : limit;
}
