import { readFileSync } from "node:fs";
import { InvalidInputError } from "../errors.ts";

/** Reads a file of JSON. Throws InvalidInputError naming what it should be where that fails. */
export function jsonDocument(path: string, quantity: string): unknown {
  try {
    return JSON.parse(readFileSync(path, "utf8"));
  } catch (error) {
    const permitted = "a readable JSON document";
    const received = (error as Error).message;
    throw new InvalidInputError(quantity, [{ path, quantity, permitted, received }]);
  }
}
