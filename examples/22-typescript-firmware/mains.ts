/** The mains as it was learned from samples. */
export interface LearnedMains {
  /** V. */
  readonly crest: number;
  /** Length of a period in samples; not a whole number. */
  readonly period: number;
}

/** V below which there is no mains at all. */
const LEAST_CREST = 40;

/** Share of the crest that must be passed downwards before a rise through zero counts. */
const HYSTERESIS = 0.1;

/** Where the voltage rises through zero, in samples, between samples by a straight line. */
function risesOf(volts: readonly number[], crest: number): number[] {
  const rises: number[] = [];
  let wasLow = false;
  for (const [index, volt] of volts.entries()) {
    if (volt < -HYSTERESIS * crest) wasLow = true;
    if (!wasLow || volt < 0) continue;
    const before = volts[index - 1] ?? 0;
    rises.push(index - volt / (volt - before));
    wasLow = false;
  }
  return rises;
}

/** Learns crest and period from some periods of samples; undefined where there is no mains. */
export function learnMains(volts: readonly number[]): LearnedMains | undefined {
  const crest = Math.max(...volts.map(Math.abs));
  const rises = risesOf(volts, crest);
  if (crest < LEAST_CREST || rises.length < 2) return undefined;
  return { crest, period: (rises.at(-1)! - rises[0]!) / (rises.length - 1) };
}

/**
 * What a sample would be if the mains went on as in the last period before `end`: V. The reference
 * stays that period however far the sample is away, or held would be compared with held.
 */
export function expectedVolt(
  volts: readonly number[],
  { period }: LearnedMains,
  place: { readonly sample: number; readonly end: number },
): number {
  const turns = Math.max(1, Math.ceil((place.sample - place.end + 1) / period));
  const at = place.sample - turns * period;
  const low = Math.floor(at);
  return volts[low]! + (at - low) * (volts[low + 1]! - volts[low]!);
}
