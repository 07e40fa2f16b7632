import { brokenRule, refused } from "../../sim/firmware/port-rules.ts";
import { FLAGS } from "../../sim/firmware/port.ts";
import type {
  BlockOutcome,
  Configuration,
  Crossing,
  Firmware,
  FirmwareSource,
  Flag,
  Phase,
  PortReading,
  Report,
  ReportOutcome,
  SampleBlock,
  StartOutcome,
  TraceEntry,
} from "../../sim/firmware/port.ts";

const TWO_32 = 2 ** 32;

/** s, shares of the crest: the method's constants. */
const SYNCHRONISE = 0.08;
const HOLD = 0.0095;
const DIVERGENCE = 0.1;
const AGREEMENT = 0.006;
const RISE = 0.02;
const LEAST_MAINS = 40;

/** A mistake that can be put in on purpose. */
export type Mistake =
  "late" | "noHold" | "alwaysFlags" | "neverAnswers" | "traps" | "offByTwoVolts" | "remembers";

/** Tester firmware in the fewest lines that keep the promises: a double for tests of the harness. */
class PlainFirmware implements Firmware {
  private readonly mistake: Mistake | undefined;
  trace: TraceEntry[] = [];
  private configuration!: Configuration;
  private volts: number[] = [];
  private trusted: boolean[] = [];
  private phase: Phase = "synchronising";
  private flags = new Set<Flag>();
  private begin = 0;
  private period = 0;
  private crest = 0;
  private referenceEnd = 0;
  private divergence: number | undefined;
  private heldSince: number | undefined;
  private least = 0;
  private lowSince: number | undefined;
  private opening: number | undefined;
  private candidate: number | undefined;
  private confirmation: number | undefined;
  private readings: PortReading[] = [];
  private crossings: { earliest?: number; latest?: number }[] = [];
  private gap = false;

  constructor(mistake: Mistake | undefined) {
    this.mistake = mistake;
  }

  start(configuration: Configuration): StartOutcome {
    const reason = brokenRule(configuration);
    if (reason !== undefined) return refused(reason);
    if (configuration.channels.length > 1) return refused("channels");
    if (configuration.moments.length > 1) return refused("moments");
    if (configuration.windowPosition !== "centred") return refused("window");
    this.configuration = configuration;
    this.volts = [];
    this.trusted = [];
    this.trace = [];
    this.flags = new Set(this.mistake === "alwaysFlags" ? ["notSettled"] : []);
    this.begin = -1;
    this.heldSince = this.lowSince = this.divergence = undefined;
    this.opening = this.candidate = this.confirmation = undefined;
    this.readings = [];
    this.crossings = configuration.lines.map(() => ({}));
    this.gap = false;
    this.enter("synchronising", 0);
    return { kind: "started" };
  }

  rearm(configuration: Configuration): StartOutcome {
    if (this.mistake === "remembers") return { kind: "started" };
    return this.start(configuration);
  }

  private samplesIn(seconds: number): number {
    const { tickRate, ticksPerSample } = this.configuration;
    return Math.round((seconds * tickRate) / ticksPerSample);
  }

  private ticks(sample: number): number {
    const ticks = this.begin + Math.round(sample * this.configuration.ticksPerSample);
    return ((ticks % TWO_32) + TWO_32) % TWO_32;
  }

  private enter(phase: Phase, sample: number): void {
    this.phase = phase;
    const value = ["synchronising", "watching", "candidate", "timing", "finished"].indexOf(phase);
    this.trace.push({ instant: this.ticks(sample), lane: 0, value });
  }

  private synchronise(k: number): void {
    if (k + 1 < this.samplesIn(SYNCHRONISE)) return;
    const recent = this.volts.slice(-this.samplesIn(SYNCHRONISE));
    const first = this.volts.length - recent.length;
    this.crest = Math.max(...recent.map(Math.abs));
    const rising: number[] = [];
    let wasLow = false;
    recent.forEach((volt, index) => {
      if (volt < -0.1 * this.crest) wasLow = true;
      if (!wasLow || volt < 0) return;
      const before = recent[index - 1] ?? 0;
      rising.push(first + index - volt / (volt - before));
      wasLow = false;
    });
    if (this.crest < LEAST_MAINS || rising.length < 2) {
      this.flags.add("inputNotAlive");
      this.enter("finished", k);
      return;
    }
    this.period = (rising.at(-1)! - rising[0]!) / (rising.length - 1);
    this.referenceEnd = k;
    this.enter("watching", k);
  }

  private reference(k: number): number {
    const turns = Math.ceil((k - this.referenceEnd + 1) / this.period);
    const at = k - Math.max(1, turns) * this.period;
    const low = Math.floor(at);
    const share = at - low;
    return this.volts[low]! * (1 - share) + this.volts[low + 1]! * share;
  }

  private backDate(from: number): number {
    const earliest = Math.max(1, from - this.samplesIn(0.006));
    let quiet = 0;
    let found = from;
    for (let j = from; j >= earliest; j -= 1) {
      if (Math.abs(this.volts[j]! - this.reference(j)) > AGREEMENT * this.crest) {
        found = j;
        quiet = 0;
      } else quiet += 1;
      if (quiet > this.samplesIn(0.002)) break;
    }
    return found - this.configuration.inputLag / this.configuration.ticksPerSample;
  }

  private watch(k: number): void {
    const volt = this.volts[k]!;
    const differs = Math.abs(volt - this.reference(k)) > DIVERGENCE * this.crest;
    if (this.divergence === undefined) {
      if (!differs) {
        this.referenceEnd = k;
        return;
      }
      this.divergence = k;
      this.candidate = this.ticks(k);
      this.heldSince = undefined;
      this.enter("candidate", k);
    }
    const level = (this.configuration.triggerLevel * this.configuration.resultUnit) / 1e6;
    const size = Math.abs(volt);
    const before = this.volts[k - 1]!;
    const isHeld =
      size >= level &&
      Math.sign(volt) === Math.sign(before) &&
      size <= this.least + RISE * this.crest;
    if (isHeld && this.heldSince !== undefined) this.least = Math.min(this.least, size);
    else {
      this.heldSince = size >= level ? k : undefined;
      this.least = size;
    }
    if (size >= level) this.lowSince = undefined;
    else this.lowSince ??= k;
    const hold = this.mistake === "noHold" ? 2 : this.samplesIn(HOLD);
    if (this.heldSince !== undefined && k - this.heldSince >= hold) this.confirm(k);
    else if (this.lowSince !== undefined && k - this.lowSince >= this.period + hold) {
      this.flags.add("belowTrigger");
      this.enter("finished", k);
    } else if (k - this.divergence > 6 * this.period) {
      this.divergence = undefined;
      this.candidate = undefined;
      this.volts = this.volts.slice(0, k + 1);
      this.enter("synchronising", k);
    } else if (this.heldSince === undefined && k - this.divergence > this.period) {
      // Connected again where a whole period agrees.
      let agrees = true;
      for (let j = k - Math.floor(this.period); j <= k && agrees; j += 1)
        agrees = Math.abs(this.volts[j]! - this.reference(j)) <= DIVERGENCE * this.crest;
      if (!agrees) return;
      this.divergence = undefined;
      this.candidate = undefined;
      this.referenceEnd = k;
      this.enter("watching", k);
    }
  }

  private confirm(k: number): void {
    this.confirmation = this.ticks(k);
    const late = this.mistake === "late" ? this.samplesIn(0.004) : 0;
    const from = Math.max(this.divergence!, this.heldSince! - this.samplesIn(0.005));
    this.opening = this.backDate(Math.max(from, 1)) + late;
    this.enter("timing", k);
    for (let j = Math.ceil(this.opening); j <= k; j += 1) this.time(j);
  }

  /** Whether the means of the window's thirds do not lie on a straight line. */
  private bends(middle: number, half: number): boolean {
    const third = Math.floor((2 * half + 1) / 3);
    const [first, second, last] = [0, 1, 2].map((part) => {
      const from = middle - half + part * third;
      return this.volts.slice(from, from + third).reduce((sum, volt) => sum + volt, 0) / third;
    }) as [number, number, number];
    return Math.abs(first + last - 2 * second) > Math.abs(second) / 64 + 1;
  }

  private time(k: number): void {
    const unit = this.configuration.resultUnit / 1e6;
    const since = k - this.opening!;
    this.configuration.lines.forEach(({ level, margin }, line) => {
      const size = Math.abs(this.volts[k]!) / unit;
      const crossing = this.crossings[line]!;
      const ticks = Math.round(since * this.configuration.ticksPerSample);
      if (size <= level + margin) crossing.earliest ??= Math.max(0, ticks - 2000);
      if (size <= level - margin) crossing.latest ??= ticks + 2000;
    });
    if (Math.abs(this.volts[k]!) > Math.abs(this.volts[k - 1]!) + 3 * RISE * this.crest)
      this.flags.add("reconnected");
    const { moments, window, ticksPerSample, inputLag } = this.configuration;
    const half = Math.round(window / ticksPerSample / 2);
    const lag = inputLag / ticksPerSample;
    const middle = Math.round(this.opening! + moments[0]! / ticksPerSample + lag);
    if (k < middle + half) return;
    let sum = 0;
    for (let j = middle - half; j <= middle + half; j += 1) {
      sum += this.volts[j]!;
      if (!this.trusted[j]!) this.flags.add("overRange");
    }
    if (this.gap || this.bends(middle, half)) this.flags.add("notSettled");
    const more = this.mistake === "offByTwoVolts" ? 2 : 0;
    const voltage = Math.floor(sum / (2 * half + 1) / unit + 0.5 + more / unit);
    this.readings.push({ instant: this.ticks(middle - lag), voltages: [voltage] });
    this.enter("finished", k);
  }

  private one(code: number, saturated: boolean): boolean {
    const { channels, fractionBits, resultUnit, trustedCodes, codeBits } = this.configuration;
    const { multiplier, addend } = channels[0]!;
    const k = this.volts.length;
    this.volts.push(((code * multiplier + addend) / 2 ** fractionBits) * (resultUnit / 1e6));
    this.trusted.push(code >= trustedCodes[0] && code <= trustedCodes[1] && !saturated);
    if (this.mistake !== "neverAnswers" && code >= 2 ** codeBits) {
      this.flags.add("inputNotAlive");
      this.enter("finished", k);
      return true;
    }
    if (this.mistake === "neverAnswers") return false;
    if (this.phase === "synchronising") this.synchronise(k);
    else if (this.phase === "timing") this.time(k);
    else if (this.phase !== "finished") this.watch(k);
    return this.phase === "finished";
  }

  samples({ timeStamp, missed, saturated, codes }: SampleBlock): BlockOutcome {
    if (this.mistake === "traps" && this.volts.length > 100)
      return { kind: "trap", reason: "signed overflow", at: { file: "plain.c", line: 12 } };
    if (this.begin < 0) this.begin = timeStamp;
    const last = this.volts.at(-1) ?? 0;
    const { ticksPerSample } = this.configuration;
    const due = this.begin + this.volts.length * ticksPerSample;
    const jump = Math.round(((timeStamp - due) | 0) / ticksPerSample);
    // Samples that come again take the place of the earlier ones.
    if (jump < 0) {
      this.volts.length += jump;
      this.trusted.length += jump;
      this.gap = true;
    }
    for (let lost = 0; lost < Math.max(missed, jump); lost += 1) {
      this.volts.push(last);
      this.trusted.push(true);
      if (this.phase !== "synchronising") this.gap = true;
    }
    const block = codes[0]!;
    for (let index = 0; index < block.length; index += 1)
      if (this.one(block[index]!, saturated !== 0))
        return { kind: "used", used: index + 1, action: { kind: "endOfMeasurement" } };
    return { kind: "used", used: block.length };
  }

  report(): ReportOutcome {
    const flags = new Set(this.flags);
    if (this.phase !== "finished" && this.mistake !== "neverAnswers")
      flags.add("noDisconnectionSeen");
    const crossings: Crossing[] = this.crossings.map(({ earliest, latest }) => ({
      earliest,
      latest,
    }));
    const report: Report = {
      phase: this.phase,
      flags: new Set(FLAGS.filter((flag) => flags.has(flag))),
      candidate: this.candidate,
      confirmation: this.confirmation,
      opening: this.opening === undefined ? undefined : this.ticks(this.opening),
      readings: [...this.readings],
      crossings,
    };
    return { kind: "report", report };
  }
}

/** The double, with one mistake where one is asked for. */
export function plainFirmware(mistake?: Mistake): FirmwareSource {
  return {
    identity: { name: `plain${mistake ?? ""}`, language: "typescript", hash: "none" },
    open: () => new PlainFirmware(mistake),
  };
}
