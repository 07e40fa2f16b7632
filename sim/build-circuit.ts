import { addBridge, isBridge } from "./bridge.ts";
import { EARTH, constantTerm, emptyCircuit } from "./circuit.ts";
import type { Circuit, Term } from "./circuit.ts";
import { cosineOfTurns, exponential, sineOfTurns } from "./elementary.ts";
import type { FrontEnd } from "./front-end.ts";
import { mainsAt } from "./mains-waveform.ts";
import type { ImposedTerm, Mains, Pin, Product, Scenario } from "./scenario.ts";
import { TURN } from "./signal.ts";
import { StaticTransfer } from "./static-transfer.ts";
import { supplyNode } from "./world-state.ts";
import type { WorldState } from "./world-state.ts";

/** Node of a pin. */
export function nodeOfPin(pin: Pin): string {
  return pin === "PE" ? EARTH : pin;
}

/** Node of the divider of a channel. */
export function dividerNode(channel: number): string {
  return `divider${channel}`;
}

function resistor(circuit: Circuit, a: string, b: string, ohm: number): void {
  if (ohm > 0) circuit.resistors.push({ a, b, siemens: 1 / ohm });
}

function capacitor(circuit: Circuit, a: string, b: string, farad: number): void {
  if (farad > 0) circuit.capacitors.push({ a, b, farad });
}

function addSource(circuit: Circuit, mains: Mains, instant: number): void {
  const { terms, interruption } = mainsAt(mains, instant);
  const ohm = mains.resistance + (interruption ?? 0);
  if (mains.inductance > 0) {
    circuit.fixed.set("source", terms);
    const { inductance } = mains;
    circuit.inductors.push({ id: "mains", a: "source", b: "line", henry: inductance, ohm });
  } else if (ohm > 0) {
    circuit.fixed.set("source", terms);
    resistor(circuit, "source", "line", ohm);
  } else circuit.fixed.set("line", terms);
  capacitor(circuit, "line", EARTH, mains.capacitance);
}

function addContacts(circuit: Circuit, scenario: Scenario, world: WorldState): void {
  const { disconnection, mains } = scenario;
  if (mains === undefined) {
    circuit.joins.push(["N", EARTH]);
    return;
  }
  for (const pole of ["L", "N"] as const) {
    const supply = supplyNode(mains, pole);
    const arc = world.contact[pole] === "arcing" ? disconnection[pole]?.arc : undefined;
    if (arc !== undefined && arc.resistance > 0) {
      const siemens = 1 / arc.resistance;
      resistor(circuit, supply, pole, arc.resistance);
      // The arc's voltage opposes the current, whichever way that flows.
      const terms = [constantTerm(siemens * world.arcSign[pole] * arc.voltage)];
      circuit.currents.push({ from: pole, into: supply, terms });
    } else if (world.contact[pole] === "open") {
      resistor(circuit, supply, pole, disconnection.openResistance);
      capacitor(circuit, supply, pole, disconnection.openCapacitance);
    } else if (disconnection.closedResistance > 0)
      resistor(circuit, supply, pole, disconnection.closedResistance);
    else circuit.joins.push([supply, pole]);
  }
}

function addRectifier(
  circuit: Circuit,
  product: Extract<Product, { kind: "rectifier" }>,
  direction: WorldState["rectifier"],
): void {
  const [plus, minus] = direction === "reverse" ? ["N", "L"] : ["L", "N"];
  capacitor(circuit, "bulk", minus!, product.bulk);
  resistor(circuit, "bulk", minus!, product.load);
  if (direction === "off") return;
  const siemens = 1 / product.resistance;
  circuit.resistors.push({ a: plus!, b: "bulk", siemens });
  circuit.currents.push({
    from: "bulk",
    into: plus!,
    terms: [constantTerm(siemens * product.forwardVoltage)],
  });
}

function imposedTerm({ amplitude, rate, frequency, phaseTurns }: ImposedTerm): Term {
  return {
    rate: -rate,
    frequency,
    re: amplitude * cosineOfTurns(phaseTurns),
    im: amplitude * sineOfTurns(phaseTurns),
  };
}

/** What a product that runs down generates, V between L and N from the present instant on. */
function generated(
  product: Extract<Product, { kind: "runDown" }>,
  mains: Mains,
  world: WorldState,
): Term {
  const { isolatedSince, instant } = world;
  const begun = isolatedSince ?? instant;
  const gone = instant - begun;
  const sign = mains.reversed ? -1 : 1;
  const crest = sign * product.share * mains.voltage * Math.SQRT2;
  const amplitude = crest * exponential(-gone / product.timeConstant);
  const alone = mains.frequency * product.frequencyRatio;
  const turns = mains.frequency * begun + mains.phaseTurns + alone * gone;
  return {
    rate: isolatedSince === undefined ? 0 : -1 / product.timeConstant,
    frequency: isolatedSince === undefined ? mains.frequency : alone,
    re: amplitude * cosineOfTurns(turns),
    im: amplitude * sineOfTurns(turns),
  };
}

function addProduct(circuit: Circuit, scenario: Scenario, world: WorldState): void {
  const { product, mains } = scenario;
  for (const pin of ["L", "N"] as const) {
    capacitor(circuit, pin, EARTH, product.earthCapacitance[pin]);
    resistor(circuit, pin, EARTH, product.earthResistance[pin]);
  }
  if (product.kind === "imposed") {
    circuit.fixed.set("L", product.terms.map(imposedTerm));
    return;
  }
  if (product.kind === "open") return;
  capacitor(circuit, "L", "N", product.capacitance);
  const bleederNode = product.kind === "lineFilter" ? "inner" : "L";
  resistor(circuit, bleederNode, "N", product.bleeder);
  if (product.kind === "rectifier") {
    if (isBridge(product)) addBridge(circuit, product, world.diodes);
    else addRectifier(circuit, product, world.rectifier);
  }
  if (product.kind === "lineFilter") {
    const { inductance, resistance, innerCapacitance } = product;
    circuit.inductors.push({ id: "choke", a: "L", b: "inner", henry: inductance, ohm: resistance });
    capacitor(circuit, "inner", "N", innerCapacitance);
  }
  if (product.kind === "activeDischarge" && world.discharge === "running") {
    const { discharge } = product;
    if ("resistance" in discharge) resistor(circuit, "L", "N", discharge.resistance);
    else
      circuit.currents.push({
        from: "L",
        into: "N",
        terms: [constantTerm(world.dischargeSign * discharge.current)],
      });
  }
  if (product.kind === "runDown" && mains !== undefined) {
    const siemens = 1 / product.resistance;
    resistor(circuit, "L", "N", product.resistance);
    const { re, im, ...rest } = generated(product, mains, world);
    const terms = [{ ...rest, re: siemens * re, im: siemens * im }];
    circuit.currents.push({ from: "N", into: "L", terms });
  }
}

function addChannel(circuit: Circuit, parts: ChannelParts): void {
  const { node, pin, ground, frontEnd } = parts;
  const { lower, bias, leaks, current, capacitance } = frontEnd;
  circuit.resistors.push({
    a: pin,
    b: node,
    siemens: new StaticTransfer(frontEnd).upperSiemens,
  });
  circuit.resistors.push({ a: node, b: ground, siemens: lower });
  let injected = current + lower * bias;
  for (const { siemens, volts, bySampling } of leaks) {
    // A sampling capacitor that is a part acts on the solved voltage, sample by sample.
    if (bySampling === true) continue;
    if (siemens > 0) circuit.resistors.push({ a: node, b: ground, siemens });
    injected += siemens * volts;
  }
  circuit.currents.push({ from: ground, into: node, terms: [constantTerm(injected)] });
  capacitor(circuit, pin, node, capacitance.upper);
  capacitor(circuit, node, ground, capacitance.node);
}

interface ChannelParts {
  readonly node: string;
  readonly pin: string;
  readonly ground: string;
  readonly frontEnd: FrontEnd;
}

/** Current that the live conductor couples onto a node, from the source's terms. */
function coupled(terms: readonly Term[], farad: number): Term[] {
  return terms.map(({ rate, frequency, re, im }) => ({
    rate,
    frequency,
    re: -farad * TURN * frequency * im,
    im: farad * TURN * frequency * re,
  }));
}

/** The whole network as it stands at the present instant of the world. */
export function buildCircuit(scenario: Scenario, world: WorldState, frontEnd: FrontEnd): Circuit {
  const circuit = emptyCircuit();
  const { tester, mains } = scenario;
  if (mains !== undefined) addSource(circuit, mains, world.instant);
  addContacts(circuit, scenario, world);
  addProduct(circuit, scenario, world);
  const ground = nodeOfPin(tester.ground);
  capacitor(circuit, ground, EARTH, tester.earthCapacitance);
  for (const [index, channel] of tester.channels.entries()) {
    const pin = nodeOfPin(channel);
    const node = dividerNode(index);
    capacitor(circuit, pin, ground, tester.inputCapacitance);
    addChannel(circuit, { node, pin, ground, frontEnd });
    if (!scenario.interference || mains === undefined) continue;
    const terms = coupled(mainsAt(mains, world.instant).terms, frontEnd.coupling);
    circuit.currents.push({ from: EARTH, into: node, terms });
  }
  return circuit;
}
