import type { ResistanceCurve } from "../decision/resistance-optimum.ts";
import { formatQuantity } from "../quantity/format.ts";
import type { LineChart } from "./line-chart.ts";

/** Loading, error of indication and both together against the input resistance. */
export function resistanceChart(curve: ResistanceCurve): LineChart {
  const { points, optimum, voltage, duration, capacitance } = curve;
  const line = (name: string, value: (point: (typeof points)[number]) => number) => ({
    name,
    points: points.map((point) => ({ x: point.inputResistance / 1e6, y: value(point) })),
  });
  const megohms = optimum.inputResistance / 1e6;
  const least = formatQuantity(capacitance.lower, "capacitance", { significantDigits: 3 });
  return {
    title: "Error against input resistance",
    subtitle:
      `At ${voltage} V after ${duration} s on a product of ${least} or more; the whole divider ` +
      "scaled, all else as designed.",
    xLabel: "least input resistance, Mohm",
    yLabel: "V",
    logarithmic: { x: true, y: true },
    lines: [
      line("both together", ({ total }) => total),
      line("loading, uncorrected", ({ loading }) => loading),
      line("error of indication, proven", ({ error }) => error),
    ],
    marks: [
      {
        x: megohms,
        y: optimum.total,
        text: `least: ${optimum.total.toPrecision(3)} V at ${megohms.toPrecision(3)} Mohm`,
      },
    ],
    prefix: "resistance-chart",
  };
}
