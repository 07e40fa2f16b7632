import type { CheckpointDocument } from "./checkpoint-document.ts";
import { textNotAbove, textNotBelow } from "./outward-text.ts";
import { html } from "./page-markup.ts";
import type { Markup } from "./page-markup.ts";
import { pageTable } from "./page-table.ts";
import { statementText } from "./statement-text.ts";
import { voltageText } from "./voltage-text.ts";

/** Section 6, second part: at which voltages a unit is checked, and what is accepted there. */
export function pageCheckpoints(plan: CheckpointDocument): Markup {
  const { bench, statement, points, dynamic } = plan;
  const process =
    plan.process === "ratio of 4"
      ? "a calibration process with a test uncertainty ratio of 4 at each point"
      : `a calibration process of ±(${textNotBelow(100 * plan.process.share, 4)} % + ` +
        `${textNotBelow(plan.process.volts, 4)} V), k = 2`;
  return html`<h3>Check points for calibration</h3>
    <p>
      For units that shall keep ${statementText(statement)} (${statement.reason}), on the bench at
      ${bench.ambient}, ${bench.readingsAveraged} readings averaged, ${process}.
    </p>
    ${pageTable({
      caption: "Steady voltages to apply, V, and indications that are accepted",
      columns: [
        {
          head: "apply",
          align: "right",
          isHead: true,
          cell: ({ voltage }: CheckpointDocument["points"][number]) => voltageText(voltage),
        },
        { head: "why", align: "left", cell: ({ reason }) => reason },
        { head: "permitted", align: "right", cell: ({ permitted }) => textNotAbove(permitted, 4) },
        { head: "kept for use", align: "right", cell: ({ margin }) => textNotBelow(margin, 4) },
        { head: "tolerance", align: "right", cell: ({ tolerance }) => textNotAbove(tolerance, 4) },
        {
          head: "process needed, k = 2",
          align: "right",
          cell: ({ processNeeded }) => textNotAbove(processNeeded, 4),
        },
        {
          head: "uncertainty ratio",
          align: "right",
          cell: ({ ratio }) => (ratio === null ? "∞" : textNotAbove(ratio, 1)),
        },
        {
          head: "guard band",
          align: "right",
          cell: ({ guardBand }) => textNotBelow(guardBand, 4),
        },
        {
          head: "accept from",
          align: "right",
          cell: ({ accepted }) => textNotBelow(accepted.lower, 4),
        },
        { head: "to", align: "right", cell: ({ accepted }) => textNotAbove(accepted.upper, 4) },
      ],
      rows: points,
    })}
    <p>
      In time: a standard charged to ${voltageText(dynamic.from)} V that has fallen to
      ${textNotBelow(dynamic.voltage, 2)} V after ${String(dynamic.duration)} s; errors up to
      ${textNotAbove(dynamic.acceptance, 4)} V are accepted.
    </p> `;
}
