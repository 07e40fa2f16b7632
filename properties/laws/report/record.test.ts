// Falsified by: a record that its own schema refuses, a digest that an altered digit leaves as it
// was, a canonical form that depends on the order of names, a matrix that hides what nothing covers,
// verdicts that another parser cannot read, or a user's text that becomes mark-up.
import { Ajv2020 } from "ajv/dist/2020.js";
import * as fc from "fast-check";
import { SaxesParser } from "saxes";
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { canonicalText } from "../../../lib/report/record-canonical.ts";
import { documentDifferences } from "../../../lib/report/document-difference.ts";
import { readRecordRequirements } from "../../../lib/report/read-record-requirements.ts";
import { readRecord, recordJsonSchema } from "../../../lib/report/record-schema.ts";
import { verdictsXml } from "../../../lib/report/verdicts-xml.ts";
import { html } from "../../../lib/report/page-markup.ts";
import { evidenceFixture } from "../../support/record-fixture.ts";
import { HOSTILE_TEXTS } from "./budget-arbitrary.ts";

const isRecord = new Ajv2020({ strict: true, allowUnionTypes: true }).compile(recordJsonSchema());

describe("the record", () => {
  test("is what its schema says, before and after a journey through text", () => {
    const { record } = evidenceFixture();
    expect(isRecord(record), JSON.stringify(isRecord.errors)).toBe(true);
    expect(readRecord(JSON.parse(JSON.stringify(record)))).toEqual(record);
  });

  test("leads to no file outside its folder", () => {
    const { record } = evidenceFixture();
    for (const path of ["../x", "/x", "a/../../x", "a//b", "", "a/..", "./a"]) {
      const files = [{ path, role: "input", bytes: 0, sha256: "0".repeat(64) }];
      expect(isRecord({ ...record, files }), path).toBe(false);
      expect(() => readRecord({ ...record, files })).toThrow(InvalidInputError);
    }
  });

  test("has one content digest for every date, and another for every other content", () => {
    const first = evidenceFixture({ date: "2026-11-25" }).record;
    const later = evidenceFixture({ date: "2027-01-31" }).record;
    expect(later.digest.content).toBe(first.digest.content);
    expect(later.digest.record).not.toBe(first.digest.record);
    const other = evidenceFixture({ seed: 2 }).record;
    expect(other.digest.content).not.toBe(first.digest.content);
  });
});

/** Values that JSON can hold. */
const values = fc.jsonValue().map((value) => JSON.parse(JSON.stringify(value)) as unknown);

function reversed(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(reversed);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .reverse()
      .map(([name, inner]) => [name, reversed(inner)]),
  );
}

describe("the canonical form", () => {
  test("does not depend on the order of names and loses nothing", () => {
    fc.assert(
      fc.property(values, (value) => {
        expect(canonicalText(reversed(value))).toBe(canonicalText(value));
        expect(JSON.parse(canonicalText(value))).toEqual(value);
      }),
    );
  });

  // Source: RFC 8785, 3.2.2 and 3.2.3, from memory.
  test("sorts names by code units and prints numbers as ECMAScript does", () => {
    const value = { "\u20ac": 1, "\r": 2, "1": 3, "\u00f6": 4, a: [333333333.3333333, 1e30, 4.5] };
    expect(canonicalText(value)).toBe(
      '{"\\r":2,"1":3,"a":[333333333.3333333,1e+30,4.5],"\u00f6":4,"\u20ac":1}',
    );
  });
});

describe("the verification matrix", () => {
  test("shows first what nothing covers, and takes the weakest of several verdicts", () => {
    const users = readRecordRequirements({
      requirements: [
        { id: "S-1", text: "both", source: "S", coveredBy: ["accuracy/R-34", "accuracy/R-60"] },
        { id: "S-2", text: "nothing", source: "S" },
        { id: "S-3", text: "absent", source: "S", coveredBy: ["accuracy/R-34", "claim/none"] },
        { id: "R-126", text: "by its own name", source: "S" },
      ],
    });
    const { requirements, results } = evidenceFixture({ users }).record;
    const found = new Map(requirements.map((one) => [one.id, one]));
    expect(requirements.slice(0, 2).map(({ id }) => id)).toEqual(["S-2", "S-3"]);
    expect(found.get("S-3")).toMatchObject({ verdict: "notCovered", absent: ["claim/none"] });
    const verdictOf = (id: string) => results.find((result) => result.id === id)!.verdict;
    expect([verdictOf("accuracy/R-34"), verdictOf("accuracy/R-60")]).toContain("holds");
    expect(found.get("S-1")!.verdict).toBe(
      [verdictOf("accuracy/R-34"), verdictOf("accuracy/R-60")].find((one) => one !== "holds"),
    );
    expect(requirements.filter(({ id }) => id === "R-126")).toHaveLength(1);
    expect(found.get("R-126")!.origin).toBe("user");
    expect(found.get("R-126")!.coveredBy).toEqual(["accuracy/R-126"]);
  });

  test("refuses requirements without source, with a repeated id, and tells every fault", () => {
    const faultsOf = (document: unknown): readonly string[] => {
      try {
        readRecordRequirements(document);
        return [];
      } catch (error) {
        return (error as InvalidInputError).faults.map(({ path }) => path);
      }
    };
    expect(faultsOf({ requirements: [{ id: "", text: "x" }] })).toEqual([
      "requirements.0.id",
      "requirements.0.source",
    ]);
    const twice = { id: "S-1", text: "x", source: "y" };
    expect(faultsOf({ requirements: [twice, twice] })).toEqual(["requirements[1].id"]);
  });

  test("certifies nothing where the certificate was not confirmed", () => {
    const { record } = evidenceFixture({ confirmed: false });
    const proven = record.results.filter(({ kind }) => kind === "accuracy" || kind === "statement");
    expect(new Set(proven.map(({ verdict }) => verdict))).toEqual(new Set(["noVerdict"]));
    expect(record.shown.join(" ")).toMatch(/did NOT confirm/);
  });
});

describe("the sentences", () => {
  test("state no conformity, name what is missing and defer to people", () => {
    const { record } = evidenceFixture();
    const text = record.notShown.join(" ");
    expect(text).toMatch(/states no conformity/);
    expect(text).toMatch(/licensed or competent person/);
    for (const { part } of record.parts.filter(({ state }) => state === "missing"))
      expect(text).toContain(part);
    expect(record.shown.join(" ")).toMatch(/conditional on/);
  });
});

/** Reads XML with a conforming parser; throws at the first fault. */
function parsedXml(text: string) {
  const elements: { name: string; attributes: Record<string, string> }[] = [];
  const parser = new SaxesParser();
  parser.on("error", (error) => {
    throw error;
  });
  parser.on("opentag", ({ name, attributes }) => {
    elements.push({ name, attributes: { ...attributes } });
  });
  parser.write(text).close();
  return elements;
}

describe("verdicts.xml", () => {
  test("is read by another parser, with counts that agree and without host or time", () => {
    const users = HOSTILE_TEXTS.map((text, place) => ({
      id: `H-${place}`,
      text,
      source: text,
      coveredBy: [],
    }));
    const { record } = evidenceFixture({ users });
    const elements = parsedXml(verdictsXml(record));
    const cases = elements.filter(({ name }) => name === "testcase");
    expect(cases.length).toBe(record.requirements.length + record.results.length);
    const suites = elements.filter(({ name }) => name === "testsuite");
    const total = (field: string): number =>
      suites.reduce((sum, { attributes }) => sum + Number(attributes[field]), 0);
    expect(total("tests")).toBe(cases.length);
    expect(total("failures")).toBe(elements.filter(({ name }) => name === "failure").length);
    expect(total("skipped")).toBe(elements.filter(({ name }) => name === "skipped").length);
    expect(total("failures")).toBeGreaterThan(0);
    expect(total("skipped")).toBeGreaterThanOrEqual(users.length);
    const names = new Set(elements.flatMap(({ attributes }) => Object.keys(attributes)));
    expect([...names].filter((name) => /host|time/.test(name))).toEqual([]);
  });
});

describe("the mark-up", () => {
  test("takes no text of a user as mark-up, wherever it stands", () => {
    const tags = (text: string): number => [...text.matchAll(/</g)].length;
    for (const text of HOSTILE_TEXTS) {
      const made = html`<p title="${text}">${text}</p>`.text;
      expect(tags(made), made).toBe(2);
      expect([...made.matchAll(/"/g)]).toHaveLength(2);
    }
  });

  test("shows no hostile text of a record as anything but text on the page", () => {
    const users = HOSTILE_TEXTS.map((text, place) => ({
      id: `H-${place}`,
      text,
      source: text,
      coveredBy: [],
    }));
    const { page } = evidenceFixture({ users });
    expect(page).not.toMatch(/<script|onload="|<b /);
    expect(page).toContain("&lt;script&gt;");
    expect(page).not.toMatch(/\b(?:src|href)="(?!#|data:)/);
    expect(page).not.toMatch(/url\((?!#)|@import/);
  });

  test("puts assumptions and what is not modelled before the first verdict", () => {
    const { page } = evidenceFixture();
    const first = page.indexOf('class="verdict ');
    for (const id of ["conditional", "recalled", "assumed", "unmodelled"]) {
      const place = page.indexOf(`id="${id}"`);
      expect(place).toBeGreaterThan(0);
      expect(place).toBeLessThan(first);
    }
    for (const role of ["prepared", "reviewed", "approved"]) expect(page).toContain(role);
  });
});

test("a difference of documents names the place and both values", () => {
  const expected = { a: [1, { b: "x" }], c: 2 };
  expect(documentDifferences(expected, { a: [1, { b: "y" }], c: 2 }, "d")).toEqual([
    'd.a.1.b: "y" in place of "x"',
  ]);
  expect(documentDifferences(expected, { a: [1] }, "d")).toEqual([
    'd.a.1: nothing in place of {"b":"x"}',
    "d.c: nothing in place of 2",
  ]);
  expect(documentDifferences(expected, structuredClone(expected), "d")).toEqual([]);
});
