import type { BudgetDocument, BudgetRow } from "./budget-document.ts";
import type { CheckpointDocument } from "./checkpoint-document.ts";
import type { DecisionDocument } from "./decision-document.ts";
import { limitNames } from "./limit-names.ts";
import type { UserRequirement } from "./read-record-requirements.ts";
import { recordDigest } from "./record-canonical.ts";
import type { TextDigest } from "./record-canonical.ts";
import type {
  EvidenceRecord,
  RecordFile,
  RecordOptions,
  RecordPart,
  RecordResult,
  RecordRow,
} from "./record-document.ts";
import { recordRequirements } from "./record-requirements.ts";
import { checkpointResult, recordResults } from "./record-results.ts";
import type { CertificateOutcome } from "./record-results.ts";
import { notShownSentences, shownSentences } from "./record-words.ts";
import { statementText } from "./statement-text.ts";

/** Results of a part that ran beside the budget, as claims on firmware. */
export interface PartOutcome {
  readonly part: RecordPart;
  readonly results: readonly RecordResult[];
  readonly told: { readonly shown: readonly string[]; readonly notShown: readonly string[] };
}

/** Everything a record is made of. */
export interface RecordInput {
  readonly budget: BudgetDocument;
  readonly outcome: CertificateOutcome;
  readonly decisions: readonly DecisionDocument[];
  readonly checkpoints: CheckpointDocument;
  readonly users: readonly UserRequirement[];
  readonly others: readonly PartOutcome[];
  readonly options: RecordOptions;
  readonly engine: EvidenceRecord["engine"];
  /** YYYY-MM-DD. */
  readonly date: string;
  readonly firmware?: EvidenceRecord["firmware"];
  /** Files of the folder but the record itself. */
  readonly files: readonly RecordFile[];
  readonly reproduce: readonly string[];
}

function recordRow(row: BudgetRow): RecordRow {
  const { voltage, band, low, high, expandedUncertainty, coverageInterval } = row;
  return {
    voltage,
    band,
    low: { proven: low.proven, witnessed: low.witnessed },
    high: { proven: high.proven, witnessed: high.witnessed },
    ...(expandedUncertainty === undefined ? {} : { expandedUncertainty }),
    ...(coverageInterval === undefined ? {} : { coverageInterval }),
  };
}

/** Published limits that were recalled: those the rows name and those that were decided. */
function recalled(
  budget: BudgetDocument,
  decisions: readonly DecisionDocument[],
): readonly string[] {
  const ids = [
    ...budget.rows.flatMap(({ limits }) => limits),
    ...decisions.map(({ line }) => line.id),
  ];
  const names = limitNames([...new Set(ids)]).filter(({ isRecalled }) => isRecalled);
  return [...new Set(names.map(({ name }) => name))].sort();
}

function budgetParts(decisions: readonly DecisionDocument[]): readonly RecordPart[] {
  return [
    { part: "error budget", state: "present", words: "budget.json, with proofs and witnesses" },
    { part: "certificate", state: "present", words: "certificate.json, confirmed separately" },
    decisions.length > 0
      ? { part: "decisions at limit lines", state: "present", words: `${decisions.length} lines` }
      : {
          part: "decisions at limit lines",
          state: "missing",
          words: "No limit line was asked for, and none is read at the design's instant.",
        },
    { part: "check points", state: "present", words: "checkpoints.json and checkpoints.csv" },
  ];
}

function unique(lines: readonly string[]): readonly string[] {
  return [...new Set(lines)];
}

/**
 * The record of one run. Deterministic: the same input gives the same record, and its content
 * digest does not depend on the date.
 */
export function evidenceRecord(input: RecordInput, digest: TextDigest): EvidenceRecord {
  const { budget, outcome, decisions, checkpoints, others } = input;
  const results = [
    ...recordResults(budget, decisions, outcome),
    checkpointResult(checkpoints),
    ...others.flatMap((other) => other.results),
  ];
  const requirements = recordRequirements(input, results);
  const parts = [...budgetParts(decisions), ...others.map(({ part }) => part)];
  const fromMemory = recalled(budget, decisions);
  const told = {
    shown: others.flatMap((other) => other.told.shown),
    notShown: others.flatMap((other) => other.told.notShown),
  };
  const facts = { budget, outcome, requirements, results, parts, fromMemory, told };
  const { statement } = budget;
  const record: Omit<EvidenceRecord, "digest"> = {
    format: "plumbvolt.record/1",
    producer: budget.producer,
    engine: input.engine,
    date: input.date,
    design: budget.design,
    ...(input.firmware === undefined ? {} : { firmware: input.firmware }),
    options: input.options,
    conditions: budget.conditions,
    measuringInterval: budget.measuringInterval,
    statement: {
      text: statementText(statement),
      share: statement.share,
      volts: statement.volts,
      from: statement.from,
      to: statement.to,
    },
    smallestCapacitances: decisions.flatMap(({ line, loading }) =>
      loading.smallest.map(({ share, capacitance }) => ({ line: line.id, share, capacitance })),
    ),
    products: decisions.map(({ line, product }) => ({ line: line.id, ...product })),
    rows: budget.rows.map(recordRow),
    requirements,
    results,
    parts,
    conditionalOn: budget.conditionalOn,
    fromMemory,
    assumptions: unique([
      ...budget.assumptions,
      ...decisions.flatMap((one) => one.assumptions),
      ...checkpoints.assumptions,
    ]),
    notModelled: budget.notModelled,
    cautions: budget.cautions,
    shown: shownSentences(facts),
    notShown: notShownSentences(facts),
    reproduce: input.reproduce,
    files: [...input.files].sort((one, other) => (one.path < other.path ? -1 : 1)),
  };
  return { ...record, digest: recordDigest(record, digest) };
}
