import { readDeclaredPromises } from "../../sim/firmware/declared-promises.ts";
import type { DeclaredPromises } from "../../sim/firmware/declared-promises.ts";
import { jsonDocument } from "./json-document.ts";

/**
 * Loads a document of what a firmware promises and confirms it; it stays as written. Throws
 * InvalidInputError where it cannot be read, and with every fault in it.
 */
export function loadPromises(path: string): DeclaredPromises {
  const document = jsonDocument(path, "promises");
  readDeclaredPromises(document);
  return document as DeclaredPromises;
}
