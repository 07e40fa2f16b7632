import { InvalidInputError, OutsideDomainError } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { AccuracyStatement } from "./accuracy-statement.ts";
import type { FaultList, Written } from "./fault-list.ts";
import type { ShapedDocument } from "./read-parts.ts";
import type { Requirement } from "./requirement.ts";
import { parseRequirementText } from "./requirement-text.ts";

type WrittenStatement = NonNullable<ShapedDocument["compareWith"]>[number]["statement"];
type WrittenRequirement = NonNullable<ShapedDocument["requirements"]>[number];

interface Place {
  readonly path: string;
  readonly faults: FaultList;
}

/** Reads an accuracy statement; faults go to the list. */
export function readStatement(
  name: string,
  written: WrittenStatement,
  { path, faults }: Place,
): AccuracyStatement {
  switch (written.kind) {
    case "indication":
      return {
        kind: "indication",
        name,
        share: faults.limit(written.share, `${path}.share`, "ratio"),
        volts:
          written.volts === undefined
            ? Decimal.zero
            : faults.limit(written.volts, `${path}.volts`, "voltage"),
      };
    case "fiducial":
      return {
        kind: "fiducial",
        name,
        share: faults.limit(written.share, `${path}.share`, "ratio"),
        fiducial: written.fiducial,
        value: faults.positive(written.value, `${path}.value`, "voltage"),
      };
    case "resolution":
      return {
        kind: "resolution",
        name,
        bits: written.bits,
        span: faults.positive(written.span, `${path}.span`, "voltage"),
        codes: "half",
      };
  }
}

function readText(text: string, { path, faults }: Place): Requirement[] {
  try {
    return [parseRequirementText(text)];
  } catch (error) {
    if (error instanceof InvalidInputError)
      for (const fault of error.faults) faults.add({ ...fault, path });
    else if (error instanceof OutsideDomainError) faults.add({ ...error.fault, path });
    else throw error;
    return [];
  }
}

function readOne(written: Exclude<WrittenRequirement, string>, place: Place): Requirement {
  const { path, faults } = place;
  const statement = readStatement(written.text ?? written.id, written.statement, {
    path: `${path}.statement`,
    faults,
  });
  const voltage = (value: Written, key: string): Decimal =>
    faults.value(value, `${path}.${key}`, "voltage");
  const at =
    written.at === undefined
      ? undefined
      : [written.at].flat().map((value, index) => voltage(value, `at[${index}]`));
  const from = written.from === undefined ? undefined : voltage(written.from, "from");
  const to = written.to === undefined ? undefined : voltage(written.to, "to");
  const oneEnd = (from === undefined) !== (to === undefined);
  if (oneEnd || (at !== undefined && from !== undefined)) {
    faults.add({
      path,
      quantity: "place of a requirement",
      permitted: 'either "at", or "from" and "to" together, or neither',
      received: Object.keys(written).join(", "),
    });
  }
  if (from !== undefined && to !== undefined && from.compare(to) > 0) {
    faults.add({
      path: `${path}.from`,
      quantity: "lower end",
      permitted: "at most the upper end",
      received: `${from.toString()} V`,
    });
  }
  if (statement.kind === "indication" && statement.share.compare(Decimal.one) >= 0) {
    faults.add({
      path: `${path}.statement.share`,
      quantity: "share of indication",
      permitted: "from 0 to less than 1",
      received: statement.share.toString(),
    });
  }
  return {
    id: written.id,
    text: written.text ?? written.id,
    statement,
    ...(at === undefined ? {} : { at }),
    ...(from === undefined || to === undefined ? {} : { from, to }),
    ...(written.source === undefined ? {} : { source: written.source }),
  };
}

/** Reads the requirements of a document, each as text or in full. */
export function readRequirements(
  written: readonly WrittenRequirement[],
  faults: FaultList,
): Requirement[] {
  const requirements = written.flatMap((requirement, index) => {
    const place = { path: `requirements[${index}]`, faults };
    return typeof requirement === "string"
      ? readText(requirement, place)
      : [readOne(requirement, place)];
  });
  const ids = new Set<string>();
  for (const [index, { id }] of requirements.entries()) {
    if (ids.has(id)) {
      faults.add({
        path: `requirements[${index}].id`,
        quantity: "identifier of a requirement",
        permitted: "used once",
        received: JSON.stringify(id),
      });
    }
    ids.add(id);
  }
  return requirements;
}
