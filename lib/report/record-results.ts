import { formatQuantity } from "../quantity/format.ts";
import type { BudgetDocument, RequirementRow } from "./budget-document.ts";
import type { CheckpointDocument } from "./checkpoint-document.ts";
import type { DecisionDocument, UndecidedRow, WayRow } from "./decision-document.ts";
import { textNotAbove, textNotBelow } from "./outward-text.ts";
import type { RecordResult } from "./record-document.ts";
import { statementPart, statementText } from "./statement-text.ts";
import { foundVoltageText, voltageText } from "./voltage-text.ts";

/** How often a checker of its own confirmed the steps of the proofs. */
export interface CertificateOutcome {
  readonly confirmed: boolean;
  readonly bands: number;
  readonly steps: number;
}

const DECIMALS = 4;

const PROOF =
  "Proven by interval arithmetic with outward rounding; witnessed through the real roundings";

/** What the checker said, as the end of a sentence. */
function confirmation({ confirmed, bands, steps }: CertificateOutcome): string {
  const work = `${bands} bands, ${steps} steps`;
  return confirmed
    ? `certificate confirmed in separate arithmetic (${work})`
    : `certificate NOT confirmed (${work})`;
}

function accuracyResult(row: RequirementRow, outcome: CertificateOutcome): RecordResult {
  const { id, text, verdict, voltage, side, margin } = row;
  const [limit, proven, witnessed] = [
    textNotAbove(row.limit, DECIMALS),
    textNotBelow(row.proven, DECIMALS),
    textNotAbove(row.witnessed, DECIMALS),
  ];
  return {
    id: `accuracy/${id}`,
    kind: "accuracy",
    says: text,
    verdict: outcome.confirmed ? verdict : "noVerdict",
    found:
      `tightest at ${foundVoltageText(voltage)} V, ${side} side: allowed ${limit} V, ` +
      `proven ${proven} V, witnessed ${witnessed} V`,
    method: `${PROOF}; ${confirmation(outcome)}.`,
    margin: { value: margin, unit: "V" },
    reproduce: "plumbvolt budget inputs/design.json",
  };
}

function statementResult({ statement }: BudgetDocument, outcome: CertificateOutcome): RecordResult {
  return {
    id: "statement",
    kind: "statement",
    says: `The error of indication stays within ${statementText(statement)} for ${statementPart(statement)}`,
    verdict: outcome.confirmed ? "holds" : "noVerdict",
    found: `every stretch of ${statementPart(statement)}, both polarities that are measured, is inside`,
    method: `${PROOF}; ${confirmation(outcome)}.`,
    reproduce: "plumbvolt check-certificate certificate.json",
  };
}

function isDecided(way: WayRow | UndecidedRow): way is WayRow {
  return "proven" in way;
}

/** Where a line is decided in several ways, the first that can be decided counts. */
function decisionResult(decision: DecisionDocument): RecordResult {
  const { line, ways, product } = decision;
  const way = ways.find(isDecided);
  const common = {
    id: `decision/${line.id}`,
    kind: "decision",
    says: `A reading can show that a product keeps ${line.text}`,
    method:
      "Acceptance limits from the proven error at the line as loaded by the tester, with the " +
      `loading of products ${capacitanceText(product.capacitance)} (${product.reason}).`,
    reproduce: `plumbvolt decide inputs/design.json --limit ${line.id}`,
  } as const;
  if (way === undefined) {
    const reasons = ways.flatMap((one) => (isDecided(one) ? [] : [`${one.limit}: ${one.reason}`]));
    return { ...common, verdict: "noVerdict", found: reasons.join("; ") };
  }
  const accept = Math.min(...way.proven.map(({ acceptBelow }) => acceptBelow));
  const reject = textNotBelow(way.rejectAbove, 2);
  const found =
    `an indication below ${textNotAbove(accept, 2)} V surely keeps the line, ` +
    `one above ${reject} V surely does not`;
  return accept > 0
    ? { ...common, verdict: "holds", found }
    : { ...common, verdict: "notProven", found: "no indication surely keeps the line" };
}

/** Whether units can be checked: there is room between good units and what is permitted. */
export function checkpointResult(plan: CheckpointDocument): RecordResult {
  const { points, statement, verdict } = plan;
  const open = points.filter(({ acceptance }) => !(acceptance > 0));
  const found =
    open.length === 0
      ? `${points.length} voltages, each with acceptance limits`
      : `no room for acceptance at ${open.map(({ voltage }) => `${voltageText(voltage)} V`).join(", ")}`;
  return {
    id: "checkPoints",
    kind: "checkPoints",
    says: `A calibration at few voltages verifies that a unit keeps ${statementText(statement)}`,
    verdict: verdict === "holds" ? "holds" : "notProven",
    found,
    method: "Margins between the points proven; guard band of the whole expanded uncertainty.",
    reproduce: "plumbvolt checkpoints inputs/design.json",
  };
}

/** "of 100 nF and more", "from 176 nF to 264 nF". */
export function capacitanceText({
  lower,
  upper,
}: {
  readonly lower: number;
  readonly upper: number | null;
}): string {
  const text = (farad: number): string =>
    formatQuantity(farad, "capacitance", { significantDigits: 3 });
  if (upper === null) return lower <= 0 ? "of any capacitance" : `of ${text(lower)} and more`;
  return lower === upper ? `of ${text(lower)}` : `from ${text(lower)} to ${text(upper)}`;
}

/** What the budget and the decisions found, as results that requirements can be linked to. */
export function recordResults(
  budget: BudgetDocument,
  decisions: readonly DecisionDocument[],
  outcome: CertificateOutcome,
): readonly RecordResult[] {
  return [
    statementResult(budget, outcome),
    ...budget.requirements.map((row) => accuracyResult(row, outcome)),
    ...decisions.map(decisionResult),
  ];
}

/** The rows of the budget at positive limit voltages and at the voltages of requirements. */
export function rowsThatDecide(budget: BudgetDocument): BudgetDocument["rows"] {
  const asked = new Set(budget.requirements.map(({ voltage }) => voltageText(voltage)));
  return budget.rows.filter(
    ({ voltage, limits }) => voltage > 0 && (limits.length > 0 || asked.has(voltageText(voltage))),
  );
}
