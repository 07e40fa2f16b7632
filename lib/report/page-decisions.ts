import type { DecisionDocument, WayRow } from "./decision-document.ts";
import { textNotAbove, textNotBelow } from "./outward-text.ts";
import { html } from "./page-markup.ts";
import type { Markup } from "./page-markup.ts";
import { pageTable } from "./page-table.ts";
import { capacitanceText } from "./record-results.ts";

/** One line of the table: a limit line and the first way in which it can be decided. */
interface DecisionLine {
  readonly decision: DecisionDocument;
  readonly way: WayRow | undefined;
}

function lineOf(decision: DecisionDocument): DecisionLine {
  const way = decision.ways.find((one): one is WayRow => "proven" in one);
  return { decision, way };
}

function acceptText({ way }: DecisionLine): string {
  if (way === undefined) return "-";
  return textNotAbove(Math.min(...way.proven.map(({ acceptBelow }) => acceptBelow)), 2);
}

function surelyText({ way }: DecisionLine): string {
  if (way === undefined) return "-";
  const least = Math.min(...way.proven.map(({ surelyAcceptedUpTo }) => surelyAcceptedUpTo));
  return textNotAbove(least, 2);
}

/** The limits of the rules in one cell, each under its name. */
function ruleText({ way }: DecisionLine): Markup {
  if (way === undefined) return html`-`;
  return html`${way.rules.map(
    ({ words, acceptUpTo }) => html`${words}: ${textNotAbove(acceptUpTo, 2)} V<br />`,
  )}`;
}

/** Section 6, first part: at which indications a limit line is surely kept. */
export function pageDecisions(decisions: readonly DecisionDocument[]): Markup {
  if (decisions.length === 0) return html`<p>No limit line was decided.</p> `;
  return pageTable({
    caption: "Acceptance limits of the indication at each limit line, V",
    columns: [
      {
        head: "limit line",
        align: "left",
        isHead: true,
        cell: ({ decision: { line } }: DecisionLine) =>
          html`${line.standard}, ${line.clause}: ${line.text}<br /><span class="small"
              >${line.id}${line.status === "fromMemory" ? "; recalled, not read" : ""}</span
            >`,
      },
      {
        head: "measurand and product",
        align: "left",
        cell: ({ decision: { measurand, product } }) =>
          `${DEFINITIONS[measurand.definition]}; products ${capacitanceText(product.capacitance)}`,
      },
      { head: "accept below", align: "right", cell: acceptText },
      { head: "accepted surely for voltages up to", align: "right", cell: surelyText },
      {
        head: "reject above",
        align: "right",
        cell: ({ way }) => (way === undefined ? "-" : textNotBelow(way.rejectAbove, 2)),
      },
      { head: "by rule, accept up to", align: "left", cell: ruleText },
    ],
    rows: decisions.map(lineOf),
  });
}

const DEFINITIONS: Readonly<Record<DecisionDocument["measurand"]["definition"], string>> = {
  asLoaded: "as loaded by the tester",
  unloaded: "unloaded",
  referredToLoad: "referred to the reference load",
};
