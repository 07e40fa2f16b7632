import type { Flag } from "../../../sim/firmware/port.ts";
import type { Simulation } from "../../../sim/index.ts";
import { judged, notApplicable } from "../claim.ts";
import type { Judgement } from "../claim.ts";
import { instantOf, trueVoltage, voltsOf } from "../episode.ts";
import type { Episode } from "../episode.ts";

/** Why nothing is said of a voltage that the instrument is not made for. */
export const OUTSIDE = "outside the measuring interval";

/** s between two looks at the true voltage. */
const STEP = 5e-4;

/** A reading in V and s of the scenario. */
export interface SeenReading {
  readonly instant: number;
  readonly voltage: number;
  readonly flags: ReadonlySet<Flag>;
}

/** The first reading with the flags of its report; undefined where there is none. */
export function readingIn(episode: Episode): SeenReading | undefined {
  const { report } = episode;
  const reading = report?.readings[0];
  if (report === undefined || reading === undefined) return undefined;
  const [one, other = 0] = reading.voltages;
  return {
    instant: instantOf(episode, reading.instant),
    voltage: voltsOf(episode, one! - other),
    flags: report.flags,
  };
}

/** A judgement against firmware that went wrong; undefined where it did not. */
export function judgedFault({ fault, simulation, samplesTaken }: Episode): Judgement | undefined {
  if (fault === undefined) return undefined;
  const at = simulation.sampleInstant(samplesTaken);
  const place =
    "at" in fault && fault.at !== undefined ? `, ${fault.at.file}:${fault.at.line}` : "";
  const what =
    "reason" in fault
      ? fault.reason
      : "buffer" in fault
        ? `${fault.kind} (${fault.buffer})`
        : fault.kind;
  return judged(-1, `the firmware went wrong: ${what}${place}`, at);
}

/** Crest of the mains' fundamental, V; 0 without mains. */
export function crestOf({ simulation }: Episode): number {
  return (simulation.scenario.mains?.voltage ?? 0) * Math.SQRT2;
}

/** Whether a disconnection was confirmed. */
export function isConfirmed({ report }: Episode): boolean {
  return report?.confirmation !== undefined;
}

/** Least and greatest magnitude of the true voltage between two instants, V. */
export function magnitudes(
  episode: Episode,
  from: number,
  to: number,
): { readonly least: number; readonly most: number } {
  let least = Infinity;
  let most = 0;
  const steps = Math.max(1, Math.ceil((to - from) / STEP));
  for (let step = 0; step <= steps; step += 1) {
    const volts = Math.abs(trueVoltage(episode, from + ((to - from) * step) / steps));
    least = Math.min(least, volts);
    most = Math.max(most, volts);
  }
  return { least, most };
}

/** Largest proven error at a voltage and its negative, V; undefined outside all bands. */
export function provenError({ subject }: Episode, voltage: number): number | undefined {
  const errors = subject.bounds.atReading
    .filter(({ lower, upper }) =>
      [voltage, -voltage].some((volts) => volts >= lower && volts <= upper),
    )
    .flatMap(({ low, high }) => [-low, high]);
  return errors.length === 0 ? undefined : Math.max(...errors);
}

/** Judges a reading that must be right, within its proven error and some volts more, or flagged. */
export function rightOrFlagged(episode: Episode, more: number): Judgement {
  const wrong = judgedFault(episode);
  if (wrong !== undefined) return wrong;
  const reading = readingIn(episode);
  const flags = [...(episode.report?.flags ?? [])];
  if (flags.length > 0) return judged(1, `flagged: ${flags.join(", ")}`);
  if (reading === undefined) {
    // It may still be waiting; once it has finished it owes a word.
    const { phase } = episode.report!;
    return judged(phase === "finished" ? -1 : 1, `no reading, no flag, ${phase}`);
  }
  const truth = trueVoltage(episode, reading.instant);
  const proven = provenError(episode, truth);
  if (proven === undefined) return notApplicable(OUTSIDE);
  const allowed = proven + more;
  const error = reading.voltage - truth;
  return judged(
    1 - Math.abs(error) / allowed,
    `reads ${reading.voltage.toFixed(3)} V without a flag for ${truth.toFixed(3)} V on the pins`,
    reading.instant,
  );
}

/** Whether mains and pins are joined by both poles at an instant. */
export function isDriven({ events }: Simulation, instant: number): boolean {
  const open = { L: false, N: false };
  for (const event of events) {
    if (event.instant > instant) break;
    if (event.pole === undefined) continue;
    if (event.kind === "poleOpens" || event.kind === "arcEnds") open[event.pole] = true;
    if (event.kind === "poleCloses") open[event.pole] = false;
  }
  return !open.L && !open.N;
}

/** What of a report depends neither on where the counter began nor on how many channels there are. */
function saidBy(episode: Episode): string {
  const { report, firstTick, configuration } = episode;
  if (report === undefined) return "nothing";
  const since = (tick: number | undefined) =>
    tick === undefined ? null : (tick - firstTick + 2 * 2 ** 32) % 2 ** 32;
  return JSON.stringify({
    ...report,
    flags: [...report.flags],
    candidate: since(report.candidate),
    confirmation: since(report.confirmation),
    opening: since(report.opening),
    readings: report.readings.map(({ instant, voltages: [one, other = 0] }) => [
      since(instant),
      configuration.role === "perPin" ? one! - other : one,
    ]),
  });
}

/** An episode and its twin have to say the same of the same samples. */
export function judgedAlike(episode: Episode): Judgement {
  const wrong = judgedFault(episode);
  if (wrong !== undefined) return wrong;
  const [said, twin] = [saidBy(episode), saidBy(episode.twin!)];
  const since = episode.simulation.lastOpening;
  if (said === twin) return judged(1, "says the same", since);
  return judged(-1, `says ${said}, otherwise ${twin}`, since);
}
