import { createHash } from "node:crypto";
import { readFile } from "node:fs/promises";
import { limitLineIds } from "../decision/limit-question.ts";
import type { Design } from "../design/design.ts";
import { publishedLimits } from "../design/published-limits.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { readRecordRequirements } from "../report/read-record-requirements.ts";
import type { UserRequirement } from "../report/read-record-requirements.ts";
import type { RecordFirmware } from "../report/record-document.ts";
import { loadDesign } from "./load-design.ts";

/** Options of `plumbvolt evidence` as they were typed. */
export interface EvidenceFlags {
  readonly out: string;
  readonly firmware?: readonly string[];
  readonly runs?: string;
  readonly workers?: string;
  readonly requirements?: string;
  readonly limits?: string;
  readonly date?: string;
  readonly trials: string;
  readonly seed: string;
}

/** Everything that evidence is made from. */
export interface EvidenceInputs {
  readonly design: Design;
  /** SHA-256 of the design's bytes as read. */
  readonly sha256: string;
  /** Copies for the folder, by path inside it. */
  readonly copies: ReadonlyMap<string, Buffer>;
  readonly firmware?: RecordFirmware;
  readonly users: readonly UserRequirement[];
  readonly limits: readonly string[];
  readonly trials: number;
  readonly seed: number;
  readonly date: string;
}

/** SHA-256 as hexadecimal digits. */
export function sha256Of(content: string | Buffer): string {
  return createHash("sha256").update(content).digest("hex");
}

async function readBytes(option: string, path: string): Promise<Buffer> {
  try {
    return await readFile(path);
  } catch (error) {
    const received = `${path}: ${(error as NodeJS.ErrnoException).code ?? "no file"}`;
    const fault: Fault = { path: option, quantity: "file", permitted: "readable", received };
    throw new InvalidInputError("options", [fault]);
  }
}

function jsonOf(option: string, bytes: Buffer): unknown {
  try {
    return JSON.parse(bytes.toString("utf8")) as unknown;
  } catch (error) {
    const received = `text that is none: ${(error as Error).message}`;
    const fault: Fault = { path: option, quantity: "file", permitted: "JSON", received };
    throw new InvalidInputError("options", [fault]);
  }
}

/** Lines between the pins of a plug that are read at the design's own instant. */
export function usualLimits(design: Design): readonly string[] {
  const instant = design.conditions.instant.toNumber();
  return publishedLimits().flatMap(({ lines }) =>
    lines
      .filter(({ duration, pins }) => duration === instant && pins.includes("L-N"))
      .map(({ id }) => id),
  );
}

function isDate(text: string): boolean {
  const time = Date.parse(`${text}T00:00:00Z`);
  return (
    /^\d{4}-\d{2}-\d{2}$/.test(text) &&
    !Number.isNaN(time) &&
    new Date(time).toISOString().startsWith(text)
  );
}

/** Reads the options that are no files; every fault is kept. */
class PlainOptions {
  readonly faults: Fault[] = [];

  private fault(path: string, permitted: string, received: string): void {
    this.faults.push({ path, quantity: "option", permitted, received: JSON.stringify(received) });
  }

  count(path: string, text: string, limits: { readonly least: number; readonly most: number }) {
    const value = /^\d{1,15}$/.test(text.trim()) ? Number(text.trim()) : Number.NaN;
    if (value >= limits.least && value <= limits.most) return value;
    this.fault(path, `a whole number from ${limits.least} to ${limits.most}`, text);
    return limits.least;
  }

  date(text: string): string {
    if (!isDate(text)) this.fault("--date", "a date as YYYY-MM-DD", text);
    return text;
  }

  limits(text: string | undefined, design: Design): readonly string[] {
    if (text === undefined) return usualLimits(design);
    if (text.trim() === "none") return [];
    const known = new Set(limitLineIds());
    const asked = [...new Set(text.split(",").map((item) => item.trim()))];
    for (const id of asked)
      if (!known.has(id)) this.fault("--limits", 'ids of published limit lines, or "none"', id);
    return asked;
  }
}

async function copiedDesign(path: string, document: unknown): Promise<Map<string, Buffer>> {
  const bytes = await readFile(path);
  if (path.endsWith(".json")) return new Map([["inputs/design.json", bytes]]);
  // The document that the program exports is kept beside it, so that a check runs no program.
  const json = Buffer.from(`${JSON.stringify(document, undefined, 2)}\n`);
  return new Map([
    ["inputs/design.json", json],
    ["inputs/design.ts", bytes],
  ]);
}

/** Reads all that `plumbvolt evidence` was asked for. Throws InvalidInputError with every fault. */
export async function readEvidenceInputs(
  path: string,
  flags: EvidenceFlags,
): Promise<EvidenceInputs> {
  const { design, sha256, document } = await loadDesign(path);
  const plain = new PlainOptions();
  const options = {
    limits: plain.limits(flags.limits, design),
    trials: plain.count("--trials", flags.trials, { least: 10_000, most: 10_000_000 }),
    seed: plain.count("--seed", flags.seed, { least: 0, most: 999_999_999_999_999 }),
    date: plain.date(flags.date ?? new Date().toISOString().slice(0, 10)),
  };
  if (plain.faults.length > 0) throw new InvalidInputError("options", plain.faults);
  const copies = await copiedDesign(path, document);
  let users: readonly UserRequirement[] = [];
  if (flags.requirements !== undefined) {
    const bytes = await readBytes("--requirements", flags.requirements);
    users = readRecordRequirements(jsonOf("--requirements", bytes));
    copies.set("inputs/requirements.json", bytes);
  }
  return { design, sha256, copies, users, ...options };
}
