import { invariant } from "../../lib/errors.ts";

/** A fault put into C sources on purpose: one replacement in one file. */
export interface FirmwareFault {
  /** Name by which claims ask for it in `mustCatch`. */
  readonly id: string;
  /** What the firmware does wrong, in one sentence. */
  readonly says: string;
  /** Last part of the source's path. */
  readonly file: string;
  /** Text that occurs exactly once in that file, and what stands there instead. */
  readonly find: string;
  readonly replace: string;
  /** Claims of which one or more are expected to fail. */
  readonly caughtBy: readonly string[];
}

/** A source as it is handed to the compiler. */
interface SourceText {
  readonly file: string;
  readonly text: string;
}

/**
 * The sources with a fault in them. Throws InvariantBrokenError where the text to replace does not
 * occur exactly once: then the sources have moved on and the fault has to follow them.
 */
export function withFault(
  sources: readonly SourceText[],
  fault: FirmwareFault,
): readonly SourceText[] {
  let replaced = 0;
  const faulty = sources.map(({ file, text }) => {
    if (file.split("/").at(-1) !== fault.file) return { file, text };
    const parts = text.split(fault.find);
    replaced += parts.length - 1;
    return { file, text: parts.join(fault.replace) };
  });
  invariant(replaced === 1, `the text of fault ${fault.id} occurs once, not ${replaced} times`);
  return faulty;
}
