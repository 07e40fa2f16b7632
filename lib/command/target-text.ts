import type { FirmwareManifest } from "../../sim/firmware/firmware-manifest.ts";

/**
 * The declared data model of a target and what is not shown of it: lines to print. Lint is told as
 * lint, apart from any verdict.
 */
export function targetLines({ target, lint }: FirmwareManifest): readonly string[] {
  const model = `target: int of ${target.int} bits, ${target.char} char, as declared`;
  if (target.int === 32) return [`${model}; the simulation has the same`];
  const head = `${model}; the simulation has an int of 32 bits, so products and shifts are not shown`;
  if (lint === undefined) return [head, "lint: none was made"];
  if (lint.length === 0) return [head, "lint for an int of 16 bits: no remark"];
  const remarks = lint.map(({ file, line, says }) => `lint, no verdict: ${file}:${line}: ${says}`);
  return [head, ...remarks];
}
