// Falsified by a certificate of a demo design that the checker refuses, or by one that was made
// worse and still passes.
import { beforeAll, describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import type {
  Certificate,
  CertificateSide,
  CertificateStep,
} from "../../../lib/guarantee/certificate.ts";
import { certificateOf } from "../../../lib/guarantee/certificate.ts";
import { checkCertificate } from "../../../lib/guarantee/check-certificate.ts";
import { ErrorBrackets } from "../../../lib/guarantee/error-brackets.ts";
import { exampleDesign } from "../../support/example-designs.ts";

const DEMOS = [
  "01-no-adjustment",
  "02-two-point",
  "03-good-at-34-volts",
  "04-percent-of-range",
] as const;
const VOLTAGES = [-126, 34];

function certificate(demo: (typeof DEMOS)[number]): Certificate {
  const brackets = new ErrorBrackets(measurementModel(exampleDesign(demo)));
  const bounds = VOLTAGES.map((voltage) =>
    brackets.bound({ lower: voltage - 0.5, upper: voltage + 0.5 }),
  );
  // As it is written to a file and read again.
  return JSON.parse(JSON.stringify(certificateOf(brackets, bounds, "0".repeat(64)))) as Certificate;
}

const made = new Map<string, Certificate>();

beforeAll(() => {
  for (const demo of DEMOS) made.set(demo, certificate(demo));
});

/** A copy in which one side of the last band was changed. */
function withSide(
  original: Certificate,
  change: (side: CertificateSide) => CertificateSide,
): Certificate {
  const band = original.bands.at(-1)!;
  return { ...original, bands: [{ ...band, high: change(band.high) }] };
}

function withStep(side: CertificateSide, step: CertificateStep): CertificateSide {
  if (side.by.kind !== "error") throw new Error("only an error has one step");
  return { ...side, by: { kind: "error", step } };
}

describe("the checker", () => {
  test.each(DEMOS)("confirms every step of %s", (demo) => {
    const check = checkCertificate(made.get(demo)!);
    expect(check.refusals).toEqual([]);
    expect(check).toMatchObject({ confirmed: true, bands: VOLTAGES.length });
    expect(check.steps).toBeGreaterThan(2 * VOLTAGES.length);
  });

  test.each(DEMOS)("refuses %s with a proven figure a millionth nearer to zero", (demo) => {
    const nearer = withSide(made.get(demo)!, (side) => ({
      ...side,
      proven: side.proven * (1 - 1e-6),
    }));
    const { confirmed, refusals } = checkCertificate(nearer);
    expect(confirmed).toBe(false);
    expect(refusals[0]).toMatch(/a larger error/);
  });

  test("refuses a proof whose steps were left out", () => {
    const cut = withSide(made.get("02-two-point")!, (side) => withStep(side, {}));
    expect(checkCertificate(cut).refusals[0]).toMatch(/a larger error/);
  });

  test("refuses a collapse to the end from which the error falls", () => {
    const turned = withSide(made.get("02-two-point")!, (side) => {
      if (side.by.kind !== "error") return side;
      const { step } = side.by;
      const [first = [], ...rest] = step.collapse ?? [];
      const [symbol = 0, ...others] = first;
      return withStep(side, { ...step, collapse: [[-symbol, ...others], ...rest] });
    });
    expect(checkCertificate(turned).refusals[0]).toMatch(/a collapse of symbol/);
  });

  test("refuses a code that is claimed out of reach a hundredth of a volt too far", () => {
    const moved = withSide(made.get("01-no-adjustment")!, (side) => {
      if (side.by.kind !== "codes") throw new Error("without adjustment codes are tabulated");
      const thresholds = side.by.thresholds.map((claim) => ({
        ...claim,
        voltage: claim.voltage + 0.01,
      }));
      expect(thresholds.length).toBeGreaterThan(0);
      return { ...side, by: { ...side.by, thresholds } };
    });
    expect(checkCertificate(moved).refusals[0]).toMatch(/can occur up to/);
  });

  test("refuses a proven form that is another function than the published equation", () => {
    const original = made.get("03-good-at-34-volts")!;
    const provable = original.functions.provable.map((row) =>
      row[0] === "decimal" && row[1] === "100000000" ? (["decimal", "100000001"] as const) : row,
    );
    expect(provable).not.toEqual(original.functions.provable);
    const changed = { ...original, bands: [], functions: { ...original.functions, provable } };
    expect(checkCertificate(changed).refusals[0]).toMatch(/differs from the published equation/);
  });

  test("refuses wider limits than those that were proven", () => {
    const original = made.get("02-two-point")!;
    const symbols = original.symbols.map((symbol) =>
      symbol.name === "adc_nonlinearity_use" ? { ...symbol, upper: "0.6" } : symbol,
    );
    expect(symbols).not.toEqual(original.symbols);
    const bands = original.bands.slice(1);
    expect(checkCertificate({ ...original, symbols, bands }).confirmed).toBe(false);
  });
});
