import type { Simulation } from "../../sim/index.ts";

const STEP = 1e-3;
const HALVINGS = 50;

/** What is really on the pins: every answer comes from the simulation and from nothing else. */
export class Truth {
  private readonly simulation: Simulation;

  constructor(simulation: Simulation) {
    this.simulation = simulation;
  }

  /** V between the measured pin and the tester's ground; between two measured pins with two. */
  voltageAt(instant: number): number {
    const { channels, ground } = this.simulation.scenario.tester;
    return this.simulation.voltageAt([channels[0]!, channels[1] ?? ground], instant);
  }

  /** s of the last electrical opening of either pole; undefined where none opened. */
  get lastOpening(): number | undefined {
    return this.simulation.lastOpening;
  }

  /** s of the first electrical opening. */
  get firstOpening(): number | undefined {
    return this.simulation.events.find(({ kind }) => kind === "poleOpens" || kind === "arcEnds")
      ?.instant;
  }

  /** V per s at an instant. */
  slopeAt(instant: number): number {
    const half = 1e-5;
    return (this.voltageAt(instant + half) - this.voltageAt(instant - half)) / (2 * half);
  }

  /** Smallest magnitude between two instants, V, looked at every millisecond. */
  leastMagnitude(from: number, to: number): number {
    let least = Infinity;
    for (let instant = from; instant < to; instant += STEP)
      least = Math.min(least, Math.abs(this.voltageAt(instant)));
    return Math.min(least, Math.abs(this.voltageAt(to)));
  }

  /** Largest magnitude between two instants, V, looked at every millisecond. */
  largestMagnitude(from: number, to: number): number {
    let most = 0;
    for (let instant = from; instant < to; instant += STEP)
      most = Math.max(most, Math.abs(this.voltageAt(instant)));
    return Math.max(most, Math.abs(this.voltageAt(to)));
  }

  /**
   * s after the last opening at which a falling magnitude passes a level; undefined where it stays
   * above it until the end, zero where it begins below it. For products whose voltage only falls.
   */
  crossing(level: number, end: number): number | undefined {
    const opening = this.lastOpening;
    if (opening === undefined || Math.abs(this.voltageAt(end)) > level) return undefined;
    if (Math.abs(this.voltageAt(opening)) <= level) return 0;
    let [before, after] = [opening, end];
    for (let halving = 0; halving < HALVINGS; halving += 1) {
      const middle = (before + after) / 2;
      if (Math.abs(this.voltageAt(middle)) > level) before = middle;
      else after = middle;
    }
    return after - opening;
  }
}
