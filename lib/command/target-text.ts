import type { FirmwareManifest } from "../../sim/firmware/firmware-manifest.ts";

/**
 * The declared data model of a target and what is not shown of it: lines to print. Lint is told as
 * lint, apart from any verdict.
 */
export function targetLines(
  { target, lint }: Pick<FirmwareManifest, "target" | "lint">,
  origin: "declared" | "assumed" = "declared",
): readonly string[] {
  const how =
    origin === "declared"
      ? "as declared"
      : "assumed: a manifest by `plumbvolt compile --int --char` declares another";
  const model = `target: int of ${target.int} bits, ${target.char} char, ${how}`;
  if (target.int === 32) return [`${model}; the simulation has the same`];
  const head = `${model}; the simulation has an int of 32 bits, so products and shifts are not shown`;
  if (lint === undefined) return [head, "lint: none was made"];
  if (lint.length === 0) return [head, "lint for an int of 16 bits: no remark"];
  const remarks = lint.map(({ file, line, says }) => `lint, no verdict: ${file}:${line}: ${says}`);
  return [head, ...remarks];
}
