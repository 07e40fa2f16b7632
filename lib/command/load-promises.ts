import { readFileSync } from "node:fs";
import { InvalidInputError } from "../errors.ts";
import { readDeclaredPromises } from "../../sim/firmware/declared-promises.ts";
import type { DeclaredPromises } from "../../sim/firmware/declared-promises.ts";

/**
 * Loads a document of what a firmware promises and confirms it; it stays as written. Throws
 * InvalidInputError where it cannot be read, and with every fault in it.
 */
export function loadPromises(path: string): DeclaredPromises {
  let document: unknown;
  try {
    document = JSON.parse(readFileSync(path, "utf8"));
  } catch (error) {
    const permitted = "a readable JSON document";
    const received = (error as Error).message;
    throw new InvalidInputError("promises", [{ path, quantity: "promises", permitted, received }]);
  }
  readDeclaredPromises(document);
  return document as DeclaredPromises;
}
