import * as v from "valibot";
import { shapeFaults } from "../../lib/design/shape-faults.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import { declaredPromisesSchema } from "./declared-promises.ts";

/** Format of the document that stands beside built firmware. */
export const MANIFEST_FORMAT = "plumbvolt.firmware/1";

const Sha256 = v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/, "must be 64 hexadecimal digits"));

const BuiltFile = v.strictObject({ file: v.string(), sha256: Sha256, flags: v.string() });

const ManifestSchema = v.strictObject({
  format: v.literal(MANIFEST_FORMAT),
  name: v.string(),
  /** Port that the header of the build declares. */
  port: v.string(),
  /** Data model of the product's compiler, as declared. */
  target: v.strictObject({
    int: v.picklist([16, 32]),
    char: v.picklist(["signed", "unsigned"]),
  }),
  compiler: v.strictObject({ name: v.string(), version: v.string() }),
  /** Sources, beside or below the manifest or above it; paths from the manifest. */
  sources: v.pipe(
    v.array(v.strictObject({ file: v.string(), sha256: Sha256 })),
    v.minLength(1, "must hold one source or more"),
  ),
  /** Files of this package that were compiled in. */
  package: v.array(v.strictObject({ file: v.string(), sha256: Sha256 })),
  builds: v.strictObject({ trapping: BuiltFile, plain: BuiltFile }),
  lines: v.strictObject({ file: v.string(), sha256: Sha256 }),
  /** Lint for an int of 16 bits, where the target has one: what the text alone tells. */
  lint: v.optional(
    v.array(v.strictObject({ file: v.string(), line: v.number(), says: v.string() })),
  ),
  /** What the firmware promises, as declared when it was compiled; absent: nothing of its own. */
  promises: v.optional(declaredPromisesSchema),
  /** SHA-256 of sources, flags, target and compiler: what names this firmware in a record. */
  hash: Sha256,
});

/** What was compiled from what, with which flags and tools. */
export type FirmwareManifest = v.InferOutput<typeof ManifestSchema>;

/** Reads a manifest; throws InvalidInputError with all faults, which names the file. */
export function readManifest(document: unknown, file: string): FirmwareManifest {
  const result = v.safeParse(ManifestSchema, document);
  if (result.success) return result.output;
  throw new InvalidInputError(`firmware manifest ${file}`, shapeFaults(result.issues));
}
