/**
 * Tester firmware in TypeScript, to try an idea before it is written in C: it keeps every sample,
 * computes in volts with fractions, and runs under `plumbvolt verify --firmware` as it stands.
 *
 * Meant for these claims: voltage, together, no-false-trigger, interruption, above-trigger,
 * below-trigger, latency, availability, crossing, range, products, reconnection, dead-input,
 * power-up, counter-wrap, re-arming, automatic, conversion, monotone, polarity, line-rounding,
 * refusal, moments, report, soundness. It has one channel, does not look for a converter that
 * sticks, and dates some openings too early, those of bouncing contacts and those near lost samples:
 * two-channels, time, opening, sampling and stuck-converter are left to the C firmware beside it.
 */
import type {
  BlockOutcome,
  Configuration,
  Firmware,
  FirmwareSource,
  Flag,
  Phase,
  PortReading,
  Refusal,
  ReportOutcome,
  SampleBlock,
  StartOutcome,
  TraceEntry,
} from "../../sim/index.ts";
import { brokenRule, refused } from "../../sim/index.ts";
import { learnMains } from "./mains.ts";
import type { LearnedMains } from "./mains.ts";
import { Trigger, USUAL_METHOD } from "./trigger.ts";
import type { Method } from "./trigger.ts";

/** s of mains that are learned first, and s after which a contact that stays closed is reported. */
const LEARNING = 0.08;
const LONGEST_WAIT = 0.3;

/** Share of the crest by which a disconnected voltage may rise again. */
const RETURN = 0.06;

/** s by which the instant of a crossing is uncertain to either side. */
const CROSSING_DOUBT = 2e-3;

/** Phases by the numbers that the trace shows. */
const PHASE_NUMBERS = { synchronising: 0, watching: 1, candidate: 2, timing: 3, finished: 4 };

/** Share of the window by which its middle lies after the moment of reading. */
const MIDDLES = { centred: 0, trailing: -0.5, leading: 0.5 } as const;

/** What this tester does not do, though the port has it. */
function beyondLimits({ channels, moments }: Configuration): Refusal | undefined {
  if (channels.length > 1) return "channels";
  return moments.length > 1 ? "moments" : undefined;
}

/** When the voltage was last above a line, and first below it for good, in samples. */
interface LinePassed {
  earliest?: number | undefined;
  latest?: number | undefined;
}

/** Half of a quotient, rounded towards minus infinity; the division of integers cuts towards zero. */
function flooredQuotient(doubled: bigint, divisor: bigint): number {
  const whole = doubled / (2n * divisor);
  return Number(whole * 2n * divisor > doubled ? whole - 1n : whole);
}

/** Whether the thirds of a window do not lie on a straight line: something moved within it. */
function bends(window: readonly number[]): boolean {
  const third = Math.floor(window.length / 3);
  const [first, second, last] = [0, 1, 2].map((part) => {
    const volts = window.slice(part * third, (part + 1) * third);
    return volts.reduce((sum, volt) => sum + volt, 0) / third;
  }) as [number, number, number];
  return Math.abs(first + last - 2 * second) > Math.abs(second) / 64 + 1;
}

class TypeScriptTester implements Firmware {
  private readonly method: Method;
  trace: TraceEntry[] = [];
  private configuration!: Configuration;
  /** Every sample since the start: what the scale makes of it, V, and whether it is trusted. */
  private raws: number[] = [];
  private volts: number[] = [];
  private trusted: boolean[] = [];
  private firstTick: number | undefined;
  private phase: Phase = "synchronising";
  private flags = new Set<Flag>();
  private mains: LearnedMains | undefined;
  private trigger: Trigger | undefined;
  private watchedSince = 0;
  private opening: number | undefined;
  private candidate: number | undefined;
  private confirmation: number | undefined;
  private leastSince = Infinity;
  private reading: PortReading | undefined;
  private lines: LinePassed[] = [];
  private hasGap = false;
  private wantsOpen = false;

  constructor(method: Method) {
    this.method = method;
  }

  start(configuration: Configuration): StartOutcome {
    const reason = brokenRule(configuration) ?? beyondLimits(configuration);
    if (reason !== undefined) return refused(reason);
    // A measurement begins from nothing: whatever is forgotten here would leak into the next one.
    Object.assign(this, new TypeScriptTester(this.method), { configuration });
    this.lines = configuration.lines.map(() => ({}));
    return { kind: "started" };
  }

  rearm(configuration: Configuration): StartOutcome {
    return this.start(configuration);
  }

  /** Samples per second. */
  private get rate(): number {
    return this.configuration.tickRate / this.configuration.ticksPerSample;
  }

  /** Ticks of the time stamp for a place among the samples; the port counts modulo 2^32. */
  private ticks(sample: number): number {
    return (this.firstTick! + Math.round(sample * this.configuration.ticksPerSample)) >>> 0;
  }

  private enter(phase: Phase): void {
    this.phase = phase;
    const instant = this.ticks(this.volts.length - 1);
    this.trace.push({ instant, lane: 0, value: PHASE_NUMBERS[phase] });
  }

  private end(flag?: Flag): void {
    if (flag !== undefined) this.flags.add(flag);
    this.enter("finished");
  }

  private learn(): void {
    const count = Math.round(LEARNING * this.rate);
    if (this.volts.length < count) return;
    this.mains = learnMains(this.volts.slice(-count));
    if (this.mains === undefined) {
      this.end("inputNotAlive");
      return;
    }
    const { triggerLevel, resultUnit, mode } = this.configuration;
    const level = (triggerLevel * resultUnit) / 1e6;
    const setup = { method: this.method, level, rate: this.rate };
    this.trigger = new Trigger(this.volts, this.mains, setup);
    this.watchedSince = this.volts.length;
    this.wantsOpen = mode === "automatic";
    this.enter("watching");
  }

  private watch(): void {
    const k = this.volts.length - 1;
    const finding = this.trigger!.next();
    this.candidate =
      this.trigger!.divergence === undefined ? undefined : this.ticks(this.trigger!.divergence);
    switch (finding.kind) {
      case "watching":
      case "candidate":
        if (finding.kind !== this.phase) this.enter(finding.kind);
        this.requireOpened();
        break;
      case "belowTrigger":
        this.end("belowTrigger");
        break;
      case "lost":
        this.enter("synchronising");
        break;
      case "confirmed":
        this.confirmation = this.ticks(k);
        this.opening = finding.opening - this.lag;
        this.enter("timing");
        for (let j = Math.ceil(this.opening); j <= k; j += 1) this.passLines(j);
    }
  }

  /** A contact of the tester's own that stays closed is no reason to wait for ever. */
  private requireOpened(): void {
    const isLate = this.volts.length - this.watchedSince > LONGEST_WAIT * this.rate;
    if (this.configuration.mode === "automatic" && isLate) this.end("noDisconnectionSeen");
  }

  /** Samples by which the filter ahead of the converter lags. */
  private get lag(): number {
    return this.configuration.inputLag / this.configuration.ticksPerSample;
  }

  private passLines(sample: number): void {
    const size = (Math.abs(this.volts[sample]!) * 1e6) / this.configuration.resultUnit;
    for (const [index, { level, margin }] of this.configuration.lines.entries()) {
      const line = this.lines[index]!;
      // A contact that bounces takes the voltage past the line and back.
      if (size > level + margin) line.earliest = undefined;
      else line.earliest ??= sample;
      if (size > level - margin) line.latest = undefined;
      else line.latest ??= sample;
    }
  }

  private time(): void {
    const k = this.volts.length - 1;
    const size = Math.abs(this.volts[k]!);
    this.passLines(k);
    this.leastSince = Math.min(this.leastSince, size);
    if (size > this.leastSince + RETURN * this.mains!.crest) this.flags.add("reconnected");
    const { moments, window, windowPosition, ticksPerSample } = this.configuration;
    const half = Math.round(window / ticksPerSample / 2);
    const stated = moments[0]! + MIDDLES[windowPosition] * window;
    const middle = Math.round(this.opening! + stated / ticksPerSample + this.lag);
    if (k >= middle + half) this.read(middle, half);
  }

  private read(middle: number, half: number): void {
    const { fractionBits, rounding } = this.configuration;
    const raws = this.raws.slice(middle - half, middle + half + 1);
    // Exact: a mean of fractions would round where the limit line is.
    const sum = raws.reduce((total, raw) => total + BigInt(raw), 0n);
    const divisor = BigInt(raws.length) << BigInt(fractionBits);
    const units = flooredQuotient(rounding === "nearest" ? 2n * sum + divisor : 2n * sum, divisor);
    if (this.trusted.slice(middle - half, middle + half + 1).includes(false))
      this.flags.add("overRange");
    if (this.hasGap || bends(this.volts.slice(middle - half, middle + half + 1)))
      this.flags.add("notSettled");
    this.reading = { instant: this.ticks(middle - this.lag), voltages: [units] };
    this.end();
  }

  private take(code: number, isSaturated: boolean): void {
    const { channels, fractionBits, resultUnit, trustedCodes, codeBits } = this.configuration;
    const { multiplier, addend } = channels[0]!;
    const raw = code * multiplier + addend;
    this.raws.push(raw);
    this.volts.push(((raw / 2 ** fractionBits) * resultUnit) / 1e6);
    this.trusted.push(code >= trustedCodes[0] && code <= trustedCodes[1] && !isSaturated);
    if (code >= 2 ** codeBits) this.end("inputNotAlive");
    else if (this.phase === "synchronising") this.learn();
    else if (this.phase === "timing") this.time();
    else this.watch();
  }

  /**
   * Keeps the samples in time: the stamp says where a block belongs, whatever was lost on the way
   * or came twice. A reading over what was made up is flagged.
   */
  private place(timeStamp: number, missed: number): void {
    this.firstTick ??= timeStamp;
    const late = (timeStamp - this.ticks(this.volts.length)) | 0;
    const jump = Math.max(missed, Math.round(late / this.configuration.ticksPerSample));
    const isQuiet = this.phase === "synchronising" || this.phase === "watching";
    if (jump < 0 || (jump > 0 && !isQuiet)) this.hasGap = true;
    for (const list of [this.raws, this.volts]) {
      if (jump < 0) list.length += jump;
      for (let lost = 0; lost < jump; lost += 1) list.push(list.at(-1) ?? 0);
    }
    this.trusted.length = Math.min(this.trusted.length, this.volts.length);
    while (this.trusted.length < this.volts.length) this.trusted.push(true);
  }

  samples({ timeStamp, missed, saturated, codes }: SampleBlock): BlockOutcome {
    this.place(timeStamp, missed);
    const block = codes[0]!;
    for (let index = 0; index < block.length; index += 1) {
      this.take(block[index]!, saturated !== 0);
      const used = index + 1;
      if (this.phase === "finished")
        return { kind: "used", used, action: { kind: "endOfMeasurement" } };
      if (!this.wantsOpen) continue;
      this.wantsOpen = false;
      return { kind: "used", used, action: { kind: "openContact" } };
    }
    return { kind: "used", used: block.length };
  }

  /** Ticks from the opening to a sample, moved by the doubt about it. */
  private sinceOpening(sample: number | undefined, doubt: number): number | undefined {
    if (sample === undefined || this.opening === undefined) return undefined;
    const samples = sample - this.opening + doubt * this.rate;
    return Math.max(0, Math.round(samples * this.configuration.ticksPerSample));
  }

  report(): ReportOutcome {
    const flags = new Set(this.flags);
    if (this.phase !== "finished") flags.add("noDisconnectionSeen");
    return {
      kind: "report",
      report: {
        phase: this.phase,
        flags,
        candidate: this.candidate,
        confirmation: this.confirmation,
        opening: this.opening === undefined ? undefined : this.ticks(this.opening),
        readings: this.reading === undefined ? [] : [this.reading],
        crossings: this.lines.map(({ earliest, latest }) => ({
          earliest: this.sinceOpening(earliest, -CROSSING_DOUBT),
          latest: this.sinceOpening(latest, CROSSING_DOUBT),
        })),
      },
    };
  }
}

/** The same tester with figures of its own for the method. */
export function typeScriptFirmware(method: Partial<Method> = {}): FirmwareSource {
  return {
    identity: { name: "typescript-trigger", language: "typescript", hash: "none" },
    open: () => new TypeScriptTester({ ...USUAL_METHOD, ...method }),
  };
}

/** What `plumbvolt verify` takes from this file. */
export const firmware = typeScriptFirmware();
