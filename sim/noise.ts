import { invariant } from "../lib/errors.ts";
import { codeNoise } from "../lib/design/converter-quantities.ts";
import type { Design } from "../lib/design/design.ts";
import { CutNormals } from "./cut-normals.ts";
import type { NoisePlace } from "./cut-normals.ts";
import { FlickerNoise, flickerShare } from "./flicker-noise.ts";
import type { RandomWords } from "./random-words.ts";
import type { Noise } from "./scenario.ts";

/** Streams of one channel: noise, jitter, and noise of the two adjustment readings. */
export const STREAMS_PER_CHANNEL = 4;

/** Adds noise to code positions. */
export interface NoiseAdder {
  /** Adds noise to the values of samples from index `first` on. */
  (target: Float64Array, place: NoisePlace): void;
}

function silence(): void {}

/** What random noise needs. */
export interface NoiseParts {
  readonly design: Design;
  readonly words: RandomWords | undefined;
}

/** The noise of a scenario. */
export function noiseOf(noise: Noise, parts?: NoiseParts): NoiseAdder {
  if (noise.kind === "none") return silence;
  if (noise.kind === "sequence") {
    const { first, values } = noise;
    return (target, place) => {
      if (place.stream % STREAMS_PER_CHANNEL !== 0) return;
      for (let k = 0; k < target.length; k += 1)
        target[k]! += place.scale * (values[place.first + k - first] ?? 0);
    };
  }
  invariant(parts?.words !== undefined, "random noise has a source of words");
  const normals = new CutNormals(parts.words, noise.cut);
  const sigma = codeNoise(parts.design).toNumber();
  const white: NoiseAdder = (target, { stream, first, scale }) =>
    normals.add(target, { stream, first, scale: scale * sigma });
  const rate = parts.design.timing?.sampleRate.toNumber() ?? 1;
  const share = flickerShare(noise.corner ?? 0, 1 / rate);
  if (share === 0) return white;
  const flicker = new FlickerNoise({ words: parts.words, cut: noise.cut });
  return (target, place) => {
    white(target, place);
    const { stream, first, scale } = place;
    flicker.add(target, { stream, first, scale: scale * sigma * share });
  };
}
