import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { Dimension } from "../quantity/dimension.ts";
import { parseQuantity } from "../quantity/unit-text.ts";
import type { AccuracyStatement } from "./accuracy-statement.ts";
import type { Requirement } from "./requirement.ts";

/** What the surroundings of a requirement's text supply. */
export interface RequirementContext {
  /** Place in the document, for the error. */
  readonly path?: string;
  /** V, taken for "of span" where the text names no value. */
  readonly span?: Decimal;
  /** V, taken for "of upper limit" where the text names no value. */
  readonly upperLimit?: Decimal;
}

const EXAMPLES =
  'text such as "5 % at 34 V", "2 % + 0.8 V from 30 V to 400 V" or "1.5 % of span 800 V at 126 V"';

const LEAD = /^(?:\+\/-|±|<=|≤|within)\s*/;
const PLACE = /^(.*?)(?:\s+at\s+(?<at>.+)|\s+from\s+(?<from>.+?)\s+to\s+(?<to>.+))?$/s;
const VALUE = String.raw`[\d.][^+]*?`;
const FIDUCIAL = new RegExp(
  `^(?<share>${VALUE})\\s+of\\s+(?<fiducial>span|upper limit)(?:\\s+(?<value>${VALUE}))?$`,
);
const INDICATION = new RegExp(
  `^(?<share>${VALUE})(?:\\s+of\\s+(?:reading|indication))?(?:\\s*\\+\\s*(?<volts>${VALUE}))?$`,
);
const LONGEST_TEXT = 200;

/** Named groups of a pattern that matched. */
type Parts = Readonly<Record<string, string | undefined>>;

/** Reads the parts of one text and gathers what is wrong with them. */
class Reading {
  readonly faults: Fault[] = [];
  readonly text: string;
  private readonly path: string;

  constructor(text: string, path: string) {
    this.text = text;
    this.path = path;
  }

  fault(fault: Omit<Fault, "path">): void {
    this.faults.push({ path: this.path, ...fault });
  }

  quantity(quantity: string, written: string, dimension: Dimension): Decimal | undefined {
    const parsed = parseQuantity(written, dimension);
    if (parsed.ok) return parsed.value;
    const hint = parsed.hint === undefined ? {} : { hint: parsed.hint };
    const received = JSON.stringify(written);
    this.fault({ quantity, permitted: parsed.permitted, received, ...hint });
    return undefined;
  }

  /** A share always carries its unit: a bare "5" could be five times or five per cent. */
  share(written: string, below?: Decimal): Decimal | undefined {
    const permitted = "a share with its unit from 0 % to less than 100 %";
    const received = JSON.stringify(written);
    if (!/(?:%|ppm)$/.test(written)) {
      this.fault({ quantity: "share", permitted, received, hint: 'write "5 %" or "100 ppm"' });
      return undefined;
    }
    const share = this.quantity("share", written, "ratio");
    if (share === undefined || below === undefined || share.compare(below) < 0) return share;
    this.fault({ quantity: "share", permitted, received });
    return undefined;
  }
}

/** The statement without its sign in front and without its place, as its name. */
function statementText(text: string): string {
  return (PLACE.exec(text)?.[1] ?? text).replace(LEAD, "");
}

function fiducialStatement(
  reading: Reading,
  parts: Parts,
  context: RequirementContext,
): AccuracyStatement | undefined {
  const fiducial = parts["fiducial"] === "span" ? "span" : "upperLimit";
  const share = reading.share(parts["share"] ?? "");
  const written = parts["value"];
  const supplied = fiducial === "span" ? context.span : context.upperLimit;
  const value =
    written === undefined ? supplied : reading.quantity("fiducial value", written, "voltage");
  if (written === undefined && supplied === undefined) {
    reading.fault({
      quantity: "fiducial value",
      permitted: "stated in volts",
      received: JSON.stringify(reading.text),
      hint: 'write it behind its name, as in "1.5 % of span 800 V"',
    });
  } else if (value !== undefined && value.sign() <= 0) {
    const received = `${value.toString()} V`;
    reading.fault({ quantity: "fiducial value", permitted: "greater than zero", received });
  }
  if (share === undefined || value === undefined) return undefined;
  return { kind: "fiducial", name: statementText(reading.text), share, fiducial, value };
}

function indicationStatement(reading: Reading, parts: Parts): AccuracyStatement | undefined {
  const share = reading.share(parts["share"] ?? "", Decimal.one);
  const written = parts["volts"];
  const volts =
    written === undefined ? Decimal.zero : reading.quantity("constant part", written, "voltage");
  if (share === undefined || volts === undefined) return undefined;
  return { kind: "indication", name: statementText(reading.text), share, volts };
}

function statementOf(reading: Reading, context: RequirementContext): AccuracyStatement | undefined {
  const body = statementText(reading.text);
  const fiducial = FIDUCIAL.exec(body);
  if (fiducial?.groups !== undefined) return fiducialStatement(reading, fiducial.groups, context);
  const indication = INDICATION.exec(body);
  if (indication?.groups !== undefined) return indicationStatement(reading, indication.groups);
  const received = JSON.stringify(reading.text);
  reading.fault({ quantity: "accuracy requirement", permitted: EXAMPLES, received });
  return undefined;
}

type Place = Pick<Requirement, "at" | "from" | "to">;

function placeOf(reading: Reading, parts: Parts): Place {
  if (parts["at"] !== undefined) {
    const written = parts["at"].split(/\s*,\s*|\s+and\s+/);
    const at = written.map((text) => reading.quantity("voltage", text, "voltage"));
    return { at: at.filter((voltage) => voltage !== undefined) };
  }
  if (parts["from"] === undefined || parts["to"] === undefined) return {};
  const from = reading.quantity("lower voltage", parts["from"], "voltage");
  const to = reading.quantity("upper voltage", parts["to"], "voltage");
  if (from === undefined || to === undefined) return {};
  if (from.compare(to) > 0) {
    const permitted = `at most the upper voltage ${to.toString()} V`;
    const received = `${from.toString()} V`;
    reading.fault({ quantity: "lower voltage", permitted, received });
  }
  return { from, to };
}

/**
 * A plain identifier from the text: "2 % + 0.8 V at -34 V" becomes
 * "2-percent-plus-0.8-v-at-minus-34-v".
 */
function identifierOf(text: string): string {
  const words = text
    .toLowerCase()
    .replace(LEAD, "")
    .replaceAll("%", " percent ")
    .replaceAll(/-(?=[\d.])/g, " minus ")
    .replaceAll("+", " plus ");
  return words.replaceAll(/[^a-z0-9.]+/g, "-").replaceAll(/^-+|-+$/g, "");
}

/**
 * Reads a requirement as a person writes it. A statement, "5 %", "2 % + 0.8 V", "2 % of reading +
 * 0.8 V", "1.5 % of span 800 V" or "1.5 % of upper limit 400 V", is followed by where it is asked
 * for: "at 34 V", "at 34 V, 60 V and 126 V", "from 30 V to 400 V", or nothing for the whole
 * measuring interval. A share without "of" is a share of the indication. "+/-" may stand in front.
 * The identifier is made from the text.
 *
 * Throws InvalidInputError with every fault of the text.
 */
export function parseRequirementText(text: string, context: RequirementContext = {}): Requirement {
  const tidy = text.trim().replaceAll(/\s+/g, " ");
  const reading = new Reading(tidy, context.path ?? "");
  const match = tidy.length > LONGEST_TEXT ? null : PLACE.exec(tidy);
  if (match === null) {
    const received = JSON.stringify(`${tidy.slice(0, 60)}...`);
    reading.fault({ quantity: "accuracy requirement", permitted: EXAMPLES, received });
    throw new InvalidInputError("requirement", reading.faults);
  }
  const statement = statementOf(reading, context);
  const place = placeOf(reading, match.groups ?? {});
  if (statement === undefined || reading.faults.length > 0) {
    throw new InvalidInputError("requirement", reading.faults);
  }
  return { id: identifierOf(tidy), text: tidy, statement, ...place };
}
