import type { Design } from "../design/design.ts";
import type {
  LimitLine,
  LimitValue,
  Measurand,
  PublishedLimit,
} from "../design/published-limit.ts";
import { publishedLimits } from "../design/published-limits.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { formatQuantity } from "../quantity/format.ts";
import { parseQuantity } from "../quantity/unit-text.ts";

/** One line to decide at, published or stated by whoever asks. */
export interface LimitQuestion {
  readonly line: LimitLine;
  /** s after the disconnection. */
  readonly duration: number;
  readonly measurand: Measurand;
  /** The clause it belongs to; absent where it was stated freely. */
  readonly published?: PublishedLimit;
}

const MOST_NAMED = 60;

function refuse(text: string, permitted: string, hint?: string): never {
  const fault: Fault = {
    path: "limit",
    quantity: "limit line",
    permitted,
    received: JSON.stringify(text),
    ...(hint === undefined ? {} : { hint }),
  };
  throw new InvalidInputError("decision", [fault]);
}

/** Lines that are read at plug pins a stated time after a disconnection. */
function readableLines(): readonly { published: PublishedLimit; line: LimitLine }[] {
  return publishedLimits().flatMap((published) =>
    published.lines
      .filter(({ duration }) => duration !== undefined && duration > 0)
      .map((line) => ({ published, line })),
  );
}

/** Identifiers that a question may name. */
export function limitLineIds(): readonly string[] {
  return readableLines().map(({ line }) => line.id);
}

function publishedQuestion(text: string): LimitQuestion | undefined {
  const lines = readableLines();
  const exact = lines.filter(({ line }) => line.id === text);
  const ofClause = lines.filter(({ published }) => published.id === text);
  const found = exact.length > 0 ? exact : ofClause;
  if (found.length > 1) {
    const ids = found.map(({ line }) => line.id).join(", ");
    return refuse(text, `one line of the clause: ${ids}`);
  }
  const only = found[0];
  if (only === undefined) return undefined;
  const { published, line } = only;
  return { line, duration: line.duration!, measurand: published.measurand, published };
}

function statedLimit(text: string): LimitValue | undefined {
  const voltage = parseQuantity(text, "voltage");
  if (voltage.ok) return { kind: "voltage", voltage: voltage.value.toNumber(), form: "notStated" };
  const charge = parseQuantity(text, "charge");
  return charge.ok ? { kind: "charge", charge: charge.value.toNumber() } : undefined;
}

/**
 * Reads a question such as "iec-60335-1-22.5/plug", "iec-60335-1-22.5", "34 V at 1 s", "45 uC at 1
 * s" or "34 V", which is read at the design's own instant. Throws InvalidInputError for text that
 * is none of these, for a clause of several lines, and for a limit or time that is not above zero.
 */
export function parseLimitQuestion(text: string, design: Design): LimitQuestion {
  const tidy = text.trim().replaceAll(/\s+/g, " ");
  const published = publishedQuestion(tidy);
  if (published !== undefined) return published;
  const match = /^(?<limit>.+?)(?: (?:at|after) (?<time>.+))?$/.exec(tidy.slice(0, 200));
  const limit = statedLimit(match?.groups?.["limit"] ?? "");
  const written = match?.groups?.["time"];
  const time = written === undefined ? undefined : parseQuantity(written, "time");
  if (limit === undefined || time?.ok === false) {
    const known = limitLineIds().slice(0, MOST_NAMED).join(", ");
    const permitted = 'a published line, or text such as "34 V at 1 s" or "45 uC at 1 s"';
    return refuse(tidy, permitted, `published lines: ${known}`);
  }
  const duration = (time?.value ?? design.conditions.instant).toNumber();
  const size =
    limit.kind === "voltage" ? limit.voltage : limit.kind === "charge" ? limit.charge : 0;
  if (!(size > 0) || !(duration > 0)) refuse(tidy, "a limit and a time greater than zero");
  return {
    line: {
      id: `stated: ${tidy}`,
      place: "between the pins of the plug",
      pins: ["L-N"],
      duration,
      limit,
      alternatives: [],
      applicability: { capacitance: [] },
      operation: "normal",
      status: "confirmed",
    },
    duration,
    measurand: { definition: "notStated" },
  };
}

/** A limit in words: "34 V", "45 uC", "37 % of the initial voltage after 1 s". */
export function limitText(limit: LimitValue): string {
  switch (limit.kind) {
    case "voltage": {
      const form =
        limit.form === "notStated" ? "" : ` ${limit.form === "dc" ? "d.c." : limit.form}`;
      return `${formatQuantity(limit.voltage, "voltage")}${form}`;
    }
    case "charge":
      return formatQuantity(limit.charge, "charge");
    case "energy":
      return formatQuantity(limit.energy, "energy");
    case "capacitance":
      return formatQuantity(limit.capacitance, "capacitance");
    case "current":
      return formatQuantity(limit.current, "current");
    case "timeConstant": {
      const share = formatQuantity(limit.fraction, "ratio");
      return `${share} of the initial voltage after ${formatQuantity(limit.timeConstant, "time")}`;
    }
    case "chargedCapacitorTable":
      return `${limit.energySource} of the table of charged capacitors`;
    case "measure":
      return limit.measure;
  }
}
