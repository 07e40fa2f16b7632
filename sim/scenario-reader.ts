import type { InferOutput } from "valibot";
import type { Design } from "../lib/design/design.ts";
import { FaultList } from "../lib/design/fault-list.ts";
import type { Written } from "../lib/design/fault-list.ts";
import type { Dimension } from "../lib/quantity/dimension.ts";
import type { scenarioDocumentSchema } from "./scenario-schema.ts";
import type {
  Disconnection,
  Disturbance,
  Mains,
  Noise,
  PoleOpening,
  Product,
  Sampling,
  Scenario,
  TesterSetup,
} from "./scenario.ts";

/** A scenario document whose shape has been checked. */
export type ShapedScenario = InferOutput<typeof scenarioDocumentSchema>;

type WrittenPole = NonNullable<NonNullable<ShapedScenario["disconnection"]>["L"]>;
type WrittenArc = NonNullable<WrittenPole["arc"]>;

/** Sines of a burst where a document does not say how many: close to a normal distribution. */
const USUAL_TONES = 24;

/** Reads the parts of a scenario; every fault goes to the list. */
export class ScenarioReader {
  readonly faults = new FaultList();

  private value(written: Written | undefined, path: string, dimension: Dimension): number {
    return written === undefined ? 0 : this.faults.value(written, path, dimension).toNumber();
  }

  tester(written: ShapedScenario["tester"]): TesterSetup {
    return {
      ground: written?.ground ?? "N",
      channels: written?.channels ?? ["L"],
      inputCapacitance: this.value(
        written?.inputCapacitance,
        "tester.inputCapacitance",
        "capacitance",
      ),
      earthCapacitance: this.value(
        written?.earthCapacitance,
        "tester.earthCapacitance",
        "capacitance",
      ),
    };
  }

  private disturbance(
    written: NonNullable<NonNullable<ShapedScenario["mains"]>["disturbances"]>[number],
    index: number,
  ): Disturbance {
    const path = `mains.disturbances[${index}]`;
    if (written.kind === "phaseJump") {
      const at = this.value(written.at, `${path}.at`, "time");
      return { kind: "phaseJump", at, turns: written.turns };
    }
    const from = this.value(written.from, `${path}.from`, "time");
    const to = this.value(written.to, `${path}.to`, "time");
    if (written.kind === "burst") {
      const { seed, tones } = written;
      return {
        kind: "burst",
        from,
        to,
        voltage: this.value(written.voltage, `${path}.voltage`, "voltage"),
        lowest: this.value(written.lowest, `${path}.lowest`, "frequency"),
        highest: this.value(written.highest, `${path}.highest`, "frequency"),
        tones: tones ?? USUAL_TONES,
        seed,
      };
    }
    if (written.kind === "level") {
      const factor = this.value(written.factor, `${path}.factor`, "ratio");
      return { kind: "level", from, to, factor };
    }
    const impedance = this.value(written.impedance, `${path}.impedance`, "resistance");
    return { kind: "interruption", from, to, impedance };
  }

  mains(written: NonNullable<ShapedScenario["mains"]>): Mains {
    return {
      voltage: this.value(written.voltage, "mains.voltage", "voltage"),
      frequency: this.value(written.frequency, "mains.frequency", "frequency"),
      phaseTurns: written.phaseTurns ?? 0,
      harmonics: (written.harmonics ?? []).map(({ order, share, phaseTurns }, index) => ({
        order,
        share: this.value(share, `mains.harmonics[${index}].share`, "ratio"),
        phaseTurns: phaseTurns ?? 0,
      })),
      resistance: this.value(written.resistance, "mains.resistance", "resistance"),
      inductance: this.value(written.inductance, "mains.inductance", "inductance"),
      capacitance: this.value(written.capacitance, "mains.capacitance", "capacitance"),
      reversed: written.reversed ?? false,
      disturbances: (written.disturbances ?? []).map((one, index) => this.disturbance(one, index)),
    };
  }

  private arc(written: WrittenArc, path: string): NonNullable<PoleOpening["arc"]> {
    return {
      leastCurrent: this.value(written.leastCurrent, `${path}.leastCurrent`, "current"),
      voltage: this.value(written.voltage, `${path}.voltage`, "voltage"),
      resistance: this.value(written.resistance, `${path}.resistance`, "resistance"),
      leastDuration: this.value(written.leastDuration, `${path}.leastDuration`, "time"),
    };
  }

  private pole(written: NonNullable<ShapedScenario["disconnection"]>["L"], path: string) {
    if (written === undefined) return undefined;
    const opening: PoleOpening = {
      instant: this.value(written.instant, `${path}.instant`, "time"),
      bounces: (written.bounces ?? []).map((one, index) =>
        this.value(one, `${path}.bounces[${index}]`, "time"),
      ),
      ...(written.arc === undefined ? {} : { arc: this.arc(written.arc, `${path}.arc`) }),
    };
    return opening;
  }

  disconnection(written: ShapedScenario["disconnection"]): Disconnection {
    const L = this.pole(written?.L, "disconnection.L");
    const N = this.pole(written?.N, "disconnection.N");
    const ohm = (key: "closedResistance" | "openResistance"): number =>
      this.value(written?.[key], `disconnection.${key}`, "resistance");
    return {
      ...(L === undefined ? {} : { L }),
      ...(N === undefined ? {} : { N }),
      closedResistance: ohm("closedResistance"),
      openResistance: ohm("openResistance"),
      openCapacitance: this.value(
        written?.openCapacitance,
        "disconnection.openCapacitance",
        "capacitance",
      ),
    };
  }

  private pinParts(written: ShapedScenario["product"]) {
    const both = (
      key: "earthCapacitance" | "earthResistance",
      dimension: Dimension,
    ): { L: number; N: number } => ({
      L: this.value(written[key]?.L, `product.${key}.L`, dimension),
      N: this.value(written[key]?.N, `product.${key}.N`, dimension),
    });
    return {
      earthCapacitance: both("earthCapacitance", "capacitance"),
      earthResistance: both("earthResistance", "resistance"),
    };
  }

  private discharge(written: { resistance: Written } | { current: Written }) {
    const path = "product.discharge";
    return "resistance" in written
      ? { resistance: this.value(written.resistance, `${path}.resistance`, "resistance") }
      : { current: this.value(written.current, `${path}.current`, "current") };
  }

  product(written: ShapedScenario["product"]): Product {
    const parts = this.pinParts(written);
    const read = (value: Written | undefined, key: string, dimension: Dimension): number =>
      this.value(value, `product.${key}`, dimension);
    if (written.kind === "open") return { kind: "open", ...parts };
    if (written.kind === "imposed") {
      const terms = written.terms.map(({ amplitude, rate, frequency, phaseTurns }, index) => ({
        amplitude: read(amplitude, `terms[${index}].amplitude`, "voltage"),
        rate,
        frequency: read(frequency, `terms[${index}].frequency`, "frequency"),
        phaseTurns: phaseTurns ?? 0,
      }));
      return { kind: "imposed", terms, ...parts };
    }
    const common = {
      capacitance: read(written.capacitance, "capacitance", "capacitance"),
      bleeder: read(written.bleeder, "bleeder", "resistance"),
      ...parts,
    };
    switch (written.kind) {
      case "passive":
        return { kind: "passive", ...common };
      case "rectifier":
        return {
          kind: "rectifier",
          bulk: read(written.bulk, "bulk", "capacitance"),
          load: read(written.load, "load", "resistance"),
          forwardVoltage: read(written.forwardVoltage, "forwardVoltage", "voltage"),
          resistance: read(written.resistance, "resistance", "resistance"),
          ...(written.bulkEarthCapacitance === undefined
            ? {}
            : {
                bulkEarthCapacitance: read(
                  written.bulkEarthCapacitance,
                  "bulkEarthCapacitance",
                  "capacitance",
                ),
              }),
          ...common,
        };
      case "activeDischarge":
        return {
          kind: "activeDischarge",
          delay: read(written.delay, "delay", "time"),
          discharge: this.discharge(written.discharge),
          ...common,
        };
      case "lineFilter":
        return {
          kind: "lineFilter",
          inductance: read(written.inductance, "inductance", "inductance"),
          resistance: read(written.resistance, "resistance", "resistance"),
          innerCapacitance: read(written.innerCapacitance, "innerCapacitance", "capacitance"),
          ...common,
        };
      case "runDown":
        return {
          kind: "runDown",
          share: read(written.share, "share", "ratio"),
          resistance: read(written.resistance, "resistance", "resistance"),
          timeConstant: read(written.timeConstant, "timeConstant", "time"),
          frequencyRatio: read(written.frequencyRatio, "frequencyRatio", "ratio"),
          ...common,
        };
    }
  }

  noise(written: ShapedScenario["noise"], design: Design): Noise {
    if (written === undefined) return { kind: "none" };
    if (written.kind !== "random") return written;
    const { seed, cut, corner } = written;
    return {
      kind: "random",
      seed,
      cut: cut ?? design.conditions.noiseCut.toNumber(),
      ...(corner === undefined ? {} : { corner: this.value(corner, "noise.corner", "frequency") }),
    };
  }

  private sampling(written: ShapedScenario["sampling"]): Sampling {
    const read = (value: Written | undefined, key: string): number =>
      this.value(value, `sampling.${key}`, "time");
    const { phase, jitter, charge } = written ?? {};
    return {
      phase: read(phase, "phase"),
      jitter: read(jitter, "jitter"),
      ...(charge === undefined
        ? {}
        : {
            charge: {
              acquisition: read(charge.acquisition, "charge.acquisition"),
              startsFrom: charge.startsFrom ?? "reference",
            },
          }),
    };
  }

  scenario(document: ShapedScenario, design: Design): Scenario {
    const { transitions } = document;
    return {
      name: document.name,
      design,
      quantities: document.quantities ?? {},
      outsideLimits: document.outsideLimits ?? false,
      transitions: {
        ...(transitions?.use === undefined ? {} : { use: transitions.use }),
        ...(transitions?.adjustLow === undefined ? {} : { adjustLow: transitions.adjustLow }),
        ...(transitions?.adjustHigh === undefined ? {} : { adjustHigh: transitions.adjustHigh }),
      },
      tester: this.tester(document.tester),
      ...(document.mains === undefined ? {} : { mains: this.mains(document.mains) }),
      disconnection: this.disconnection(document.disconnection),
      product: this.product(document.product),
      interference: document.interference ?? false,
      sampling: this.sampling(document.sampling),
      noise: this.noise(document.noise, design),
      duration: this.value(document.duration, "duration", "time"),
      ...(document.limit === undefined
        ? {}
        : { limit: this.value(document.limit, "limit", "voltage") }),
      ...(document.view === undefined
        ? {}
        : {
            view: [
              this.value(document.view[0], "view[0]", "time"),
              this.value(document.view[1], "view[1]", "time"),
            ],
          }),
    };
  }
}
