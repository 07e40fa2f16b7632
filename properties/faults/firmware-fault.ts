import {
  array,
  description,
  exactOptional,
  literal,
  minLength,
  pipe,
  safeParse,
  strictObject,
} from "valibot";
import { regex, string, title } from "valibot";
import type { InferOutput } from "valibot";
import { shapeFaults } from "../../lib/design/shape-faults.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import type { Fault } from "../../lib/errors.ts";

const filled = pipe(string(), minLength(1));

const faultSchema = strictObject({
  id: pipe(
    string(),
    regex(/^[a-z0-9-]+$/, "lower-case letters, digits and dashes"),
    description("Name by which claims ask for it."),
  ),
  says: pipe(filled, description("What the firmware does wrong, in one sentence.")),
  edits: pipe(
    array(
      strictObject({
        file: pipe(filled, description("Last part of the path of a source.")),
        find: pipe(filled, description("Text that occurs exactly once in that file.")),
        replace: pipe(string(), description("What stands there instead.")),
      }),
    ),
    minLength(1),
  ),
  caughtBy: pipe(
    array(filled),
    minLength(1),
    description("Claims of which one or more are expected to fail."),
  ),
  accepted: exactOptional(
    pipe(filled, description("Why the fault need not be noticed; absent: it has to be.")),
  ),
});

/** Shape of a document of faults that are put into a firmware on purpose. */
export const faultsSchema = pipe(
  strictObject({ format: literal("plumbvolt.faults/1"), faults: array(faultSchema) }),
  title("plumbvolt faults"),
  description("Faults put into C sources on purpose: the claims have to notice each of them."),
);

/** A fault put into C sources on purpose: replacements of text. */
export type FirmwareFault = InferOutput<typeof faultSchema>;

/**
 * Reads a document of faults. Throws InvalidInputError with every fault of its shape, and for two
 * of one name.
 */
export function readFirmwareFaults(document: unknown): readonly FirmwareFault[] {
  const shaped = safeParse(faultsSchema, document);
  if (!shaped.success) throw new InvalidInputError("faults", shapeFaults(shaped.issues));
  const { faults } = shaped.output;
  const names = faults.map(({ id }) => id);
  const twice = names.flatMap((id, index): Fault[] => {
    if (names.indexOf(id) === index) return [];
    const path = `faults[${index}].id`;
    return [{ path, quantity: "name", permitted: "different from the others", received: id }];
  });
  if (twice.length > 0) throw new InvalidInputError("faults", twice);
  return faults;
}

/** A source as it is handed to the compiler. */
interface SourceText {
  readonly file: string;
  readonly text: string;
}

/** Where the text of each edit stands in its file: a line, and the columns it begins and ends at. */
export interface EditPlace {
  readonly file: string;
  readonly offset: number;
  readonly find: string;
  readonly replace: string;
}

/**
 * The places of a fault's edits. Throws InvalidInputError with every edit whose text does not occur
 * exactly once: then the sources have moved on and the fault has to follow them.
 */
export function placesOf(
  sources: readonly SourceText[],
  { id, edits }: FirmwareFault,
): readonly EditPlace[] {
  const faults: Fault[] = [];
  const places = edits.flatMap(({ file, find, replace }, index): EditPlace[] => {
    const source = sources.find((one) => one.file.split("/").at(-1) === file);
    const parts = source?.text.split(find) ?? [];
    if (source !== undefined && parts.length === 2)
      return [{ file: source.file, offset: parts[0]!.length, find, replace }];
    const received =
      source === undefined ? `no file ${file}` : `${parts.length - 1} times in ${file}`;
    const permitted = "found once in the sources";
    faults.push({ path: `${id}.edits[${index}].find`, quantity: "text", permitted, received });
    return [];
  });
  if (faults.length > 0) throw new InvalidInputError("faults", faults);
  return places;
}

/** The sources with a fault in them. Throws as `placesOf` does. */
export function withFault<Source extends SourceText>(
  sources: readonly Source[],
  fault: FirmwareFault,
): readonly Source[] {
  const places = placesOf(sources, fault);
  return sources.map((source) => {
    const own = places
      .filter(({ file }) => file === source.file)
      .toSorted((one, other) => other.offset - one.offset);
    const text = own.reduce(
      (before, { offset, find, replace }) =>
        before.slice(0, offset) + replace + before.slice(offset + find.length),
      source.text,
    );
    return { ...source, text };
  });
}
