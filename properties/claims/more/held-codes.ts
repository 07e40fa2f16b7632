import type { Design } from "../../../lib/design/design.ts";
import { scalingConstants } from "../../../lib/design/scaling-constants.ts";
import type { Handling } from "../../arbitraries/handling.ts";
import { LEARNING } from "../../arbitraries/scenario-space.ts";

/** The codes of a converter and the one of zero volts, nominal. */
export interface Codes {
  readonly lowest: number;
  readonly highest: number;
  readonly zero: number;
}

/** Hz of the mains before the opening. */
const FREQUENCY = 50;

/**
 * s after the opening: the crest is held, then the code, to which the filter settles; then it is
 * read. Codes go on for so long after the design's instant.
 */
const HELD = 0.02;
const SETTLED = 0.05;
const MOMENT = 0.08;
const END = 0.1;

/** Share of the codes at each end that the mains stays away from. */
const AWAY = 0.02;

/** The codes of a design's converter. */
export function codesOf(design: Design): Codes {
  const { adc } = design;
  const count = 2 ** adc.bits;
  const lowest = adc.input === "unipolar" ? 0 : -count / 2;
  const zero = Math.round(Number(scalingConstants(design).zeroCode256) / 256);
  return { lowest, highest: lowest + count - 1, zero };
}

/**
 * A mains of codes, an opening at its crest, and then one code for good, read soon after: the
 * conversion is tried without the simulation. The design's filter smooths all of it.
 */
export function holdCode(design: Design, code: number): Handling {
  const { lowest, highest, zero } = codesOf(design);
  const rate = design.timing!.sampleRate.toNumber();
  const away = Math.ceil(AWAY * (highest - lowest));
  const crest = Math.max(1, Math.min(highest - away - zero, zero - lowest - away));
  const side = code >= zero ? 1 : -1;
  const opening = Math.round(LEARNING * rate);
  const held = opening + Math.round(HELD * rate);
  // A firmware that reads at the design's instant and at no other has codes until then.
  const end = END + design.conditions.instant.toNumber();
  const codes = new Int32Array(opening + Math.round(end * rate)).fill(code);
  const moving = opening + Math.round(SETTLED * rate);
  const lag = (design.filter?.timeConstant.toNumber() ?? 0) * rate;
  let smooth = zero + side * crest;
  for (let k = 0; k < moving; k += 1) {
    const turns = (FREQUENCY * (k - opening)) / rate;
    const wave = zero + side * crest * Math.cos(2 * Math.PI * turns);
    const input = k < opening ? wave : k < held ? zero + side * crest : code;
    smooth += (input - smooth) / (1 + lag);
    codes[k] = Math.round(smooth);
  }
  return { codes, moment: MOMENT };
}
