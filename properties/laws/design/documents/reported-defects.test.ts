// Defects that were found once, each with its smallest case. Falsified by any of them coming back.
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../../../lib/errors.ts";
import { readDesign } from "../../../../lib/design/read-design.ts";
import { budgetAt, exampleDocument } from "../../../support/example-designs.ts";
import type { Document } from "../../../support/document-faults.ts";

function faultsOf(change: (document: Document) => void) {
  const document = exampleDocument("02-two-point");
  change(document);
  try {
    readDesign(document);
  } catch (error) {
    if (error instanceof InvalidInputError) return error.faults;
    throw error;
  }
  return [];
}

describe("a fault inside one of several forms", () => {
  test("17. is reported at its whole path and alone (9 faults)", () => {
    const faults = faultsOf((d) =>
      Object.assign((d.requirements![0] as { statement: object }).statement, { shar: "5 %" }),
    );
    expect(faults.map(({ path }) => path)).toEqual(["requirements[0].statement.shar"]);
  });
});

describe("a fault of shape", () => {
  test("18. is told in the words of the schema, not as >=1 or a pattern", () => {
    const faults = faultsOf((d) => {
      d.divider.upper = [];
      d.divider.lower[0]!.count = 0;
      d.currents![0]!.name = "a b";
    });
    expect(faults.map(({ permitted }) => permitted)).toEqual([
      "one resistor or more",
      "1 or more",
      "a letter followed by letters and digits",
    ]);
  });
});

describe("numbers beyond reason", () => {
  test.each([1e5, 2e9])("19. adc.bits %d is a fault at adc.bits (RangeError)", (bits) => {
    expect(faultsOf((d) => (d.adc.bits = bits)).map(({ path }) => path)).toEqual(["adc.bits"]);
  });

  test("20. scaling.fractionBits 2e9 is a fault at its place (RangeError)", () => {
    expect(faultsOf((d) => (d.scaling.fractionBits = 2e9)).map(({ path }) => path)).toEqual([
      "scaling.fractionBits",
    ]);
  });

  test("21. a statement of 64 bits is a fault of the document (OutsideDomainError in budgetOf)", () => {
    const faults = faultsOf((d) => {
      d.compareWith = [{ name: "x", statement: { kind: "resolution", bits: 64, span: "800 V" } }];
    });
    expect(faults.map(({ path }) => path)).toEqual(["compareWith[0].statement.bits"]);
  });

  test("22. a share of 100 % or more is a fault of the document (OutsideDomainError in budgetOf)", () => {
    const faults = faultsOf((d) => {
      d.requirements = [{ id: "a", statement: { kind: "indication", share: "150 %" }, at: "34 V" }];
    });
    expect(faults.map(({ path }) => path)).toEqual(["requirements[0].statement.share"]);
  });

  test("23. an infinite coverage factor is refused: it becomes null in the JSON", () => {
    const document = exampleDocument("01-no-adjustment");
    document.requirements = [];
    document.reference.initial = {
      limit: "0.1 %",
      distribution: { shape: "normal", coverageFactor: Infinity },
    };
    let text = "refused";
    try {
      text = JSON.stringify(budgetAt(readDesign(document), ["34"]).symbols);
    } catch (error) {
      expect(error).toBeInstanceOf(InvalidInputError);
    }
    expect(text).not.toContain('"coverageFactor":null');
  });
});
