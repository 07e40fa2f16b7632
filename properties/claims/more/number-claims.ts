import type { Parameter } from "../../arbitraries/parameter.ts";
import { judged, notApplicable } from "../claim.ts";
import type { Claim } from "../claim.ts";
import { voltsOf } from "../episode.ts";
import type { Episode } from "../episode.ts";
import { judgedFault } from "./episode-views.ts";
import { handled, openings } from "./spaces.ts";

/** Result units of a wrong reading that count as failing altogether. */
const TRIALS = 4_096;

/** A mains of codes, an opening at its crest, and then one code for good. */
function heldCodes(code: number, span: readonly [number, number], zero: number): Int32Array {
  const codes = new Int32Array(12_600);
  const upper = span[1] - zero;
  const crest = Math.max(1, Math.min(upper, zero - span[0]));
  const side = code >= zero ? 1 : -1;
  for (let k = 0; k < codes.length; k += 1) {
    const turns = (k - 2_000) / 200;
    const wave = Math.round(zero + side * crest * Math.cos(2 * Math.PI * turns));
    codes[k] = k < 2_000 ? wave : k < 2_400 ? zero + side * crest : code;
  }
  return codes;
}

/** The trusted codes of a design and its code of zero, as the configuration has them. */
function codesOf({ design }: { readonly design: Episode["subject"]["design"] }) {
  const { adc } = design;
  const count = 2 ** adc.bits;
  const lowest = adc.input === "unipolar" ? 0 : -count / 2;
  return { lowest, count, zero: lowest + count / 2 };
}

const conversion: Claim = {
  id: "conversion",
  says:
    "Every code that is held is read as the stored constants give it in exact integer arithmetic, " +
    "so that the conversion neither overflows nor turns round.",
  over: (subject) => {
    const { lowest, count, zero } = codesOf(subject);
    const inner = Math.floor(count / 20);
    const away = Math.ceil(count / 50);
    const space = openings(subject, { products: ["passive, switch off"] });
    const code: Parameter = {
      name: "code",
      meaning: "code that is held",
      strata: [
        { name: "about zero", least: zero - inner, most: zero + inner },
        { name: "below", least: lowest + away, most: zero - inner - 1 },
        { name: "above", least: zero + inner + 1, most: lowest + count - 1 - away },
      ],
      words: String,
    };
    return handled(space, [code], (draw) => ({
      codes: heldCodes(draw["code"]!, [lowest + away, lowest + count - 1 - away], zero),
    }));
  },
  judge: (episode) => {
    const wrong = judgedFault(episode);
    if (wrong !== undefined) return wrong;
    const { report, configuration, draw } = episode;
    const [first] = report?.readings ?? [];
    if (first === undefined) return notApplicable("no reading");
    const { multiplier, addend } = configuration.channels[0]!;
    const scale = 2n ** BigInt(configuration.fractionBits);
    const half = configuration.rounding === "nearest" ? scale / 2n : 0n;
    const sum = BigInt(draw["code"]!) * BigInt(multiplier) + BigInt(addend) + half;
    const floored = sum >= 0n ? sum / scale : -((-sum + scale - 1n) / scale);
    const expected = Number(floored);
    const found = first.voltages[0]!;
    return judged(
      found === expected ? 1 : -Math.min(1, Math.abs(found - expected) / TRIALS),
      `code ${draw["code"]} reads ${voltsOf(episode, found)} V, exactly ${voltsOf(episode, expected)} V`,
    );
  },
  mustCatch: ["product-16-bit", "signed-shift", "wrong-rounding"],
};

/** Claims on the numbers that the firmware computes. */
export const NUMBER_CLAIMS: readonly Claim[] = [conversion];
