import { safeParse } from "valibot";
import { InvalidInputError } from "../errors.ts";
import type { AccuracyStatement } from "./accuracy-statement.ts";
import { checkRelations } from "./check-relations.ts";
import type { Design } from "./design.ts";
import { designDocumentSchema } from "./document-schema.ts";
import type { DesignDocument } from "./document-schema.ts";
import { FaultList } from "./fault-list.ts";
import { PartReader } from "./read-parts.ts";
import type { ShapedDocument } from "./read-parts.ts";
import { readRequirements, readStatement } from "./read-requirements.ts";
import { shapeFaults } from "./shape-faults.ts";

function readParts(document: ShapedDocument, faults: FaultList): Design {
  const parts = new PartReader(faults);
  const { divider } = document;
  const requirements = readRequirements(document.requirements ?? [], faults);
  const comparisons = (document.compareWith ?? []).map(
    ({ name, statement }, index): AccuracyStatement =>
      readStatement(name, statement, { path: `compareWith[${index}].statement`, faults }),
  );
  return {
    name: document.name,
    ...(document.revision === undefined ? {} : { revision: document.revision }),
    notes: document.notes === undefined ? [] : [document.notes].flat(),
    measuringInterval: parts.range(document.measuringInterval, "measuringInterval", "voltage"),
    conditions: parts.conditions(document.conditions),
    divider: {
      upper: divider.upper.map((part, index) =>
        parts.resistor(part, `divider.upper[${index}]`, `upper${index + 1}`),
      ),
      lower: divider.lower.map((part, index) =>
        parts.resistor(part, `divider.lower[${index}]`, `lower${index + 1}`),
      ),
      networks: parts.networks(divider.networks),
      bias: parts.bias(divider.bias),
      ...(divider.strayCapacitance === undefined
        ? {}
        : {
            strayCapacitance: faults.limit(
              divider.strayCapacitance,
              "divider.strayCapacitance",
              "capacitance",
            ),
          }),
    },
    currents: (document.currents ?? []).map((current, index) => parts.current(current, index)),
    ...(document.board === undefined ? {} : { board: parts.board(document.board) }),
    ...(document.interference === undefined
      ? {}
      : { interference: parts.interference(document.interference)! }),
    ...(document.buffer === undefined ? {} : { buffer: parts.buffer(document.buffer) }),
    ...(document.filter === undefined ? {} : { filter: parts.filter(document.filter) }),
    reference: parts.reference(document.reference),
    adc: parts.adc(document.adc),
    ...(document.timing === undefined ? {} : { timing: parts.timing(document.timing) }),
    scaling: {
      resultUnit: faults.positive(document.scaling.resultUnit, "scaling.resultUnit", "voltage"),
      fractionBits: document.scaling.fractionBits,
      intermediateBits: document.scaling.intermediateBits ?? 32,
      rounding: document.scaling.rounding,
      ...(document.scaling.displayResolution === undefined
        ? {}
        : {
            displayResolution: faults.positive(
              document.scaling.displayResolution,
              "scaling.displayResolution",
              "voltage",
            ),
          }),
    },
    adjustment: parts.adjustment(document.adjustment),
    requirements,
    comparisons,
    inexactFigures: faults.inexact,
  };
}

/**
 * Reads a design document: shape first, then every figure with its unit, then the relations
 * between them. Numbers in the document are SI values; text carries its unit and is read exactly.
 *
 * Throws {@link InvalidInputError} with every fault of the stage that failed, each with path,
 * value, what is permitted and why. Nothing is replaced by a default silently.
 */
export function readDesign(document: unknown): Design {
  const shaped = safeParse(designDocumentSchema, document);
  if (!shaped.success) {
    throw new InvalidInputError("design", shapeFaults(shaped.issues));
  }
  const faults = new FaultList();
  const design = readParts(shaped.output, faults);
  faults.throwIfAny("design");
  checkRelations(design, faults);
  faults.throwIfAny("design");
  return design;
}

/** Checks a design written in TypeScript and returns it; the same names as in JSON. */
export function defineDesign(document: DesignDocument): DesignDocument {
  readDesign(document);
  return document;
}
