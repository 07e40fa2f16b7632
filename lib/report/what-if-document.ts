import type { WhatIf } from "../sizing/what-if.ts";

/** Proven share of the allowed error; absent where the error has no bound. */
interface Used {
  readonly used?: number;
}

/** What `plumbvolt size --json` prints without a catalogue. */
export interface WhatIfDocument extends Used {
  readonly format: "plumbvolt.whatIf/1";
  readonly producer: { readonly name: string; readonly version: string };
  /** Name of the design. */
  readonly design: string;
  readonly require: readonly string[];
  readonly slacks: WhatIf["slacks"];
  readonly parts: readonly ({ readonly part: string } & Used)[];
  readonly resolutions: WhatIf["resolutions"];
  readonly enoughBits?: number;
}

/** JSON knows no infinity: a share without a bound is left out. */
const usedOf = (used: number): Used => (used < Infinity ? { used } : {});

/** The document of what single changes of a design do. */
export function whatIfDocument(
  found: WhatIf,
  of: { readonly design: string; readonly require: readonly string[]; readonly version: string },
): WhatIfDocument {
  const { used, slacks, parts, resolutions, enoughBits } = found;
  return {
    format: "plumbvolt.whatIf/1",
    producer: { name: "plumbvolt", version: of.version },
    design: of.design,
    require: of.require,
    ...usedOf(used),
    slacks,
    parts: parts.map(({ part, used: left }) => ({ part, ...usedOf(left) })),
    resolutions,
    ...(enoughBits === undefined ? {} : { enoughBits }),
  };
}
