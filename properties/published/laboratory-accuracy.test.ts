// Falsified by: a row that differs from the decision sheet in range, frequency, limit or status.
import { describe, expect, test } from "vitest";
import { laboratoryAccuracies } from "../../lib/design/laboratory-accuracy.ts";
import type { AccuracyRange } from "../../lib/design/laboratory-accuracy.ts";

/** Decision sheet DSH 251B (2009): id, range in SI units, frequencies in Hz, limit. */
const ACCURACIES: readonly (readonly [string, string, string, string])[] = [
  // Confirmed: read in the decision sheet.
  ["voltage-to-1kV-to-1kHz", "to 1000 V", "to 1000 Hz", "1.5 %"],
  ["voltage-to-1kV-to-5kHz", "to 1000 V", "1000 to 5000 Hz", "2 %"],
  ["voltage-to-1kV-to-20kHz", "to 1000 V", "5000 to 20000 Hz", "3 %"],
  ["voltage-to-1kV-above-20kHz", "to 1000 V", "from 20000 Hz", "5 %"],
  ["voltage-above-1kV-to-20kHz", "from 1000 V", "0 to 20000 Hz", "3 %"],
  ["voltage-above-1kV-above-20kHz", "from 1000 V", "from 20000 Hz", "5 %"],
  ["current-to-5A-to-60Hz", "to 5 A", "0 to 60 Hz", "1.5 %"],
  ["current-to-5A-to-5kHz", "to 5 A", "60 to 5000 Hz", "2.5 %"],
  ["current-to-5A-to-20kHz", "to 5 A", "5000 to 20000 Hz", "3.5 %"],
  ["current-to-5A-above-20kHz", "to 5 A", "from 20000 Hz", "5 %"],
  ["current-above-5A-to-5kHz", "from 5 A", "0 to 5000 Hz", "2.5 %"],
  ["current-above-5A-to-20kHz", "from 5 A", "5000 to 20000 Hz", "3.5 %"],
  ["current-above-5A-above-20kHz", "from 5 A", "from 20000 Hz", "5 %"],
  ["leakage-current-mains", "to 0.03 A", "50 to 60 Hz", "3.5 %"],
  // From memory.
  ["leakage-current-to-5kHz", "to 0.03 A", "60 to 5000 Hz", "5 %"],
  ["leakage-current-above-5kHz", "to 0.03 A", "from 5000 Hz", "10 %"],
  ["power-to-3kW", "to 3000 W", "50 to 60 Hz", "3 %"],
  ["power-above-3kW", "from 3000 W", "50 to 60 Hz", "5 %"],
  ["power-factor", "", "50 to 60 Hz", "0.05 1"],
  ["frequency", "to 10000 Hz", "", "0.2 %"],
  ["resistance-1mOhm-to-100mOhm", "0.001 to 0.1 ohm", "", "5 %"],
  ["resistance-100mOhm-to-1MOhm", "0.1 to 1000000 ohm", "", "3 %"],
  ["resistance-1MOhm-to-1TOhm", "1000000 to 1000000000000 ohm", "", "5 %"],
  ["resistance-above-1TOhm", "from 1000000000000 ohm", "", "10 %"],
  ["temperature-below-minus-35C", "to -35 degC", "", "3 K"],
  ["temperature-to-100C", "-35 to 100 degC", "", "2 K"],
  ["temperature-to-500C", "100 to 500 degC", "", "3 %"],
  ["time-10ms-to-200ms", "0.01 to 0.2 s", "", "5 %"],
  ["time-200ms-to-1s", "0.2 to 1 s", "", "0.01 s"],
  ["time-above-1s", "from 1 s", "", "1 %"],
  ["length-to-1mm", "to 0.001 m", "", "0.00005 m"],
  ["length-to-25mm", "0.001 to 0.025 m", "", "0.0001 m"],
  ["length-above-25mm", "from 0.025 m", "", "0.5 %"],
  ["mass-to-100g", "0.01 to 0.1 kg", "", "1 %"],
  ["mass-to-5kg", "0.1 to 5 kg", "", "2 %"],
  ["mass-above-5kg", "from 5 kg", "", "5 %"],
  ["force", "", "", "6 %"],
  ["mechanical-energy", "", "", "10 %"],
  ["torque", "", "", "10 %"],
  ["angle", "", "", "1 deg"],
  ["relative-humidity", "0.3 to 0.95 1", "", "0.06 1"],
  ["barometric-pressure", "", "", "10000 Pa"],
  ["gas-and-fluid-pressure", "", "", "5 %"],
];
const CONFIRMED_ACCURACIES = 14;

function rangeText(range: AccuracyRange | undefined): string {
  if (range === undefined) return "";
  if (range.from === undefined) return `to ${range.to} ${range.unit}`;
  if (range.to === undefined) return `from ${range.from} ${range.unit}`;
  return `${range.from} to ${range.to} ${range.unit}`;
}

describe("accuracies that certification laboratories ask for", () => {
  test("are those of decision sheet DSH 251B, with the status of each row", () => {
    const shown = laboratoryAccuracies().map(({ id, range, frequency, limit }) => [
      id,
      rangeText(range),
      rangeText(frequency),
      limit.kind === "fraction"
        ? `${Number((limit.fraction * 100).toPrecision(9))} %`
        : `${limit.value} ${limit.unit}`,
    ]);
    expect(shown).toEqual(ACCURACIES);
    const statuses = laboratoryAccuracies().map((row) => row.status);
    expect(statuses.lastIndexOf("confirmed")).toBe(CONFIRMED_ACCURACIES - 1);
    expect(statuses.indexOf("fromMemory")).toBe(CONFIRMED_ACCURACIES);
  });

  test("for a residual voltage and the time of 1 s or more are 1.5 % and 1 %", () => {
    const voltage = laboratoryAccuracies().find((row) => row.id === "voltage-to-1kV-to-1kHz");
    expect(voltage).toMatchObject({ limit: { fraction: 0.015 }, status: "confirmed" });
    const time = laboratoryAccuracies().find((row) => row.id === "time-above-1s");
    expect(time).toMatchObject({ limit: { fraction: 0.01 }, status: "fromMemory" });
  });
});
