import { readFileSync } from "node:fs";
import type { PinPart } from "../decision/pin-impedance.ts";
import { readPinParts } from "../decision/read-pin-parts.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";

/** Reads the parts between the pins from a JSON file. Throws {@link InvalidInputError}. */
export function loadPinParts(path: string): readonly PinPart[] {
  try {
    return readPinParts(JSON.parse(readFileSync(path, "utf8")) as unknown);
  } catch (error) {
    if (error instanceof InvalidInputError) throw error;
    const fault: Fault = {
      path,
      quantity: "file of parts between the pins",
      permitted: "a readable .json file",
      received: (error as Error).message,
    };
    throw new InvalidInputError("decision", [fault]);
  }
}
