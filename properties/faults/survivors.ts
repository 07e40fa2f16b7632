import { array, description, literal, minLength, pipe, safeParse, strictObject } from "valibot";
import { string, title } from "valibot";
import type { InferOutput } from "valibot";
import { shapeFaults } from "../../lib/design/shape-faults.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import type { GeneratedFault } from "./generated-faults.ts";

const filled = pipe(string(), minLength(1));

const survivorSchema = strictObject({
  file: pipe(filled, description("Last part of the path of a source.")),
  within: pipe(filled, description("Function that the line is in, or what is defined in it.")),
  line: pipe(filled, description("Text of the line, without the blanks around it.")),
  becomes: pipe(
    string(),
    description("What stands in the place of what was replaced; blanks and line ends are alike."),
  ),
  because: pipe(filled, description("Why no claim has to notice it, in one sentence.")),
});

/** Shape of a document of generated faults that need not be noticed. */
export const survivorsSchema = pipe(
  strictObject({ format: literal("plumbvolt.survivors/1"), survivors: array(survivorSchema) }),
  title("plumbvolt survivors"),
  description("Generated faults of C sources that no claim has to notice, each with its reason."),
);

/** A generated fault that need not be noticed: known by its text, so that lines may move. */
export type Survivor = InferOutput<typeof survivorSchema>;

/** Reads a document of survivors. Throws InvalidInputError with every fault of its shape. */
export function readSurvivors(document: unknown): readonly Survivor[] {
  const shaped = safeParse(survivorsSchema, document);
  if (!shaped.success) throw new InvalidInputError("survivors", shapeFaults(shaped.issues));
  return shaped.output.survivors;
}

function plain(text: string): string {
  return text.replaceAll(/\s+/g, " ");
}

/** True where an entry is about a fault. */
export function isAbout(
  entry: Survivor,
  fault: Pick<GeneratedFault, "file" | "within" | "text" | "becomes">,
): boolean {
  return (
    entry.file === fault.file &&
    entry.within === fault.within &&
    plain(entry.line) === plain(fault.text) &&
    plain(entry.becomes) === plain(fault.becomes)
  );
}
