import { readFile } from "node:fs/promises";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { BudgetSubject, Particulars } from "../uncertainty/particulars.ts";
import { readParticulars } from "../uncertainty/read-particulars.ts";

/** For what the uncertainty budget speaks, and the words for it. */
export interface LoadedParticulars {
  readonly particulars: Particulars;
  readonly words: string;
}

const SUBJECTS: readonly BudgetSubject[] = ["type", "unit", "result"];

function refuse(path: string, permitted: string, received: string): InvalidInputError {
  const fault: Fault = { path, quantity: "option", permitted, received };
  return new InvalidInputError("options", [fault]);
}

async function documentOf(path: string): Promise<unknown> {
  let text: string;
  try {
    text = await readFile(path, "utf8");
  } catch (error) {
    const received = (error as NodeJS.ErrnoException).code ?? "no file";
    throw refuse(path, "a readable .json file", received);
  }
  try {
    return JSON.parse(text) as unknown;
  } catch (error) {
    throw refuse(path, "JSON", `text that is none: ${(error as Error).message}`);
  }
}

/**
 * Reads the options `--for` and `--particulars`. Throws InvalidInputError for a subject that is
 * none of the three, for particulars that are missing, left over or faulty.
 */
export async function loadParticulars(flags: {
  readonly for?: string;
  readonly particulars?: string;
}): Promise<LoadedParticulars> {
  const subject = SUBJECTS.find((one) => one === (flags.for ?? "type"));
  if (subject === undefined)
    throw refuse("--for", "type, unit or result", JSON.stringify(flags.for));
  const { particulars: path } = flags;
  if (subject === "type") {
    if (path !== undefined) throw refuse("--particulars", "given with --for unit or result", path);
    return { particulars: {}, words: "any unit made to the drawing" };
  }
  if (path === undefined) throw refuse("--particulars", `given for a ${subject}`, "nothing");
  const particulars = readParticulars(await documentOf(path), subject);
  const { certificate } = particulars;
  const unit = certificate === undefined ? "any unit" : `the unit of ${certificate.document}`;
  return {
    particulars,
    words: subject === "unit" ? `${unit}, as calibrated` : `one result in use of ${unit}`,
  };
}
