import { budgetChart, sharesChart, termsChart } from "../report/budget-chart.ts";
import type { ProvenBudget } from "../report/budget.ts";
import { checkpointCsv } from "../report/checkpoint-table.ts";
import type { BudgetPictures } from "../report/page-budget.ts";
import type { FailurePicture } from "../report/page-matrix.ts";
import { evidencePage } from "../report/page.ts";
import type { EvidenceRecord, RecordFile } from "../report/record-document.ts";
import { evidenceRecord } from "../report/record.ts";
import { demandingRow } from "../report/term-groups.ts";
import { verdictsXml } from "../report/verdicts-xml.ts";
import type { Findings } from "./evidence-findings.ts";
import { sha256Of } from "./evidence-inputs.ts";
import type { EvidenceInputs } from "./evidence-inputs.ts";

/** The evidence as it is written: the record, and every file of the folder by its path. */
export interface Evidence {
  readonly record: EvidenceRecord;
  readonly files: ReadonlyMap<string, string | Buffer>;
}

/** One JSON document as the text of its file. */
function fileText(document: unknown): string {
  return `${JSON.stringify(document)}\n`;
}

/** Where a decision lies in the folder. */
export function decisionPath(limit: string): string {
  return `decisions/${limit.replaceAll(/[^A-Za-z0-9.-]/g, "_")}.json`;
}

async function picturesOf({ document }: ProvenBudget): Promise<BudgetPictures> {
  const hardest = demandingRow(document);
  const errorAgainstVoltage = await budgetChart(document);
  if (hardest === undefined) return { errorAgainstVoltage };
  const { row, requirement } = hardest;
  const largestTerms = await termsChart(row, {
    symbols: document.symbols,
    ...(requirement === undefined ? {} : { allowed: requirement.limit }),
  });
  const shares = await sharesChart(row, document.symbols);
  return { errorAgainstVoltage, largestTerms, ...(shares === undefined ? {} : { shares }) };
}

const ROLES: readonly (readonly [RegExp, RecordFile["role"]])[] = [
  [/^inputs\//, "input"],
  [/^certificate\.json$/, "proof"],
  [/\.svg$/, "picture"],
];

function fileRow([path, content]: readonly [string, string | Buffer]): RecordFile {
  const bytes = Buffer.from(content);
  const role = ROLES.find(([pattern]) => pattern.test(path))?.[1] ?? "result";
  return { path, role, bytes: bytes.length, sha256: sha256Of(bytes) };
}

function commands({ copies, firmware, limits, trials, seed }: EvidenceInputs): string[] {
  const options = [
    ...(firmware === undefined ? [] : [`--firmware ${firmware.path}`]),
    ...(copies.has("inputs/requirements.json") ? ["--requirements inputs/requirements.json"] : []),
    `--limits ${limits.length === 0 ? "none" : limits.join(",")}`,
    `--trials ${trials} --seed ${seed}`,
  ].join(" ");
  return [
    `plumbvolt evidence inputs/design.json ${options} --out again`,
    "plumbvolt check-record record.json",
    "plumbvolt check-certificate certificate.json",
  ];
}

function filesOf(
  inputs: EvidenceInputs,
  { proven, decisions, checkpoints, campaign, failures, faults }: Findings,
  pictures: BudgetPictures,
): Map<string, string | Buffer> {
  const optional = [
    ["pictures/largest-terms.svg", pictures.largestTerms],
    ["pictures/shares-of-variance.svg", pictures.shares],
  ] as const;
  return new Map<string, string | Buffer>([
    ...inputs.copies,
    ["budget.json", fileText(proven.document)],
    ["certificate.json", fileText(proven.certificate)],
    ...decisions.map((one, place) => [decisionPath(inputs.limits[place]!), fileText(one)] as const),
    ["checkpoints.json", fileText(checkpoints)],
    ["checkpoints.csv", checkpointCsv(checkpoints)],
    ...(campaign === undefined ? [] : [["campaign.json", fileText(campaign)] as const]),
    ...failures,
    ...(faults === undefined
      ? []
      : ([
          ["fault-table.json", fileText(faults.table)],
          ["mutation-report.json", fileText(faults.report)],
        ] as const)),
    ["pictures/error-against-voltage.svg", pictures.errorAgainstVoltage],
    ...optional.flatMap(([path, svg]) => (svg === undefined ? [] : [[path, svg] as const])),
  ]);
}

/** The picture of each failure, that of the offending moment where there is one. */
function failurePictures({ failures, campaign }: Findings): FailurePicture[] {
  return (campaign?.failures ?? []).flatMap(({ claim }) => {
    const paths = [`failures/${claim}-moment.svg`, `failures/${claim}.svg`];
    const path = paths.find((one) => failures.has(one));
    return path === undefined ? [] : [{ claim, path, svg: failures.get(path)!.toString("utf8") }];
  });
}

/** The folder's files from what was found; nothing is written and no clock is read. */
export async function evidenceFrom(
  inputs: EvidenceInputs,
  findings: Findings,
  surroundings: { readonly version: string; readonly engine: EvidenceRecord["engine"] },
): Promise<Evidence> {
  const pictures = await picturesOf(findings.proven);
  const files = filesOf(inputs, findings, pictures);
  const { firmware, users, limits, trials, seed, date } = inputs;
  const { proven, outcome, decisions, checkpoints, others } = findings;
  const budget = proven.document;
  const code = firmware === undefined ? {} : { firmware };
  const record = evidenceRecord(
    {
      budget,
      outcome,
      decisions,
      checkpoints,
      users,
      others,
      options: { trials, seed, limits },
      engine: surroundings.engine,
      date,
      ...code,
      files: [...files].map(fileRow),
      reproduce: commands(inputs),
    },
    sha256Of,
  );
  files.set("record.json", `${JSON.stringify(record, undefined, 2)}\n`);
  const shown = { budget, decisions, checkpoints, pictures, failures: failurePictures(findings) };
  files.set("page.html", evidencePage(record, shown));
  files.set("verdicts.xml", verdictsXml(record));
  return { record, files };
}
