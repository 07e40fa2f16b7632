import { checkCertificate } from "../guarantee/check-certificate.ts";
import { interval, multiply, point, squareRoot } from "../interval/interval.ts";
import { budgetChart, sharesChart, termsChart } from "../report/budget-chart.ts";
import { provenBudgetOf } from "../report/budget.ts";
import type { ProvenBudget } from "../report/budget.ts";
import type { DecisionDocument } from "../report/decision-document.ts";
import { decisionOf } from "../report/decision.ts";
import type { BudgetPictures } from "../report/page-budget.ts";
import { evidencePage } from "../report/page.ts";
import type { EvidenceRecord, RecordFile } from "../report/record-document.ts";
import { evidenceRecord } from "../report/record.ts";
import type { PartOutcome } from "../report/record.ts";
import { demandingRow } from "../report/term-groups.ts";
import { verdictsXml } from "../report/verdicts-xml.ts";
import { sha256Of } from "./evidence-inputs.ts";
import type { EvidenceInputs } from "./evidence-inputs.ts";

/** What the surroundings know, and whom to tell how far the work has come. */
export interface EvidenceSurroundings {
  readonly version: string;
  readonly engine: EvidenceRecord["engine"];
  readonly progress: (text: string) => void;
}

/** The evidence as it is written: the record, and every file of the folder by its path. */
export interface Evidence {
  readonly record: EvidenceRecord;
  readonly files: ReadonlyMap<string, string | Buffer>;
}

/** One JSON document as the text of its file. */
export function fileText(document: unknown): string {
  return `${JSON.stringify(document)}\n`;
}

/** The budget with its probabilistic figures, as the evidence holds it. */
export function evidenceBudget(inputs: EvidenceInputs, version: string): ProvenBudget {
  const { design, sha256, trials, seed } = inputs;
  const words = "any unit made to the drawing";
  return provenBudgetOf(design, { sha256, version, uncertainty: { trials, seed, words } });
}

/** One limit line decided, as the evidence holds it. */
export function evidenceDecision(
  { design, sha256 }: EvidenceInputs,
  limit: string,
  version: string,
): DecisionDocument {
  const rms = design.conditions.mains.voltages.map((voltage) => voltage.toNumber());
  // Lines that are a share of the initial voltage are decided for every mains that is declared.
  const mains = interval(Math.min(...rms), Math.max(...rms));
  const initial = multiply(mains, squareRoot(point(2)));
  return decisionOf(design, { limit, sha256, version, initial });
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

/** Parts that this version does not run, said to be missing. */
function missingParts({ firmware }: EvidenceInputs): readonly PartOutcome[] {
  const told = { shown: [], notShown: [] };
  const claims =
    firmware === undefined
      ? "No firmware was given, so that nothing is shown about triggering, timing or conversion."
      : "The firmware was copied and hashed; this version runs no claims on it.";
  const missing = (part: string, words: string): PartOutcome => ({
    part: { part, state: "missing", words },
    results: [],
    told,
  });
  return [
    missing("firmware claims", claims),
    missing("seeded faults", "Without claims no seeded fault is tried."),
    missing("check points", "This version plans no calibration."),
    missing(
      "statistical statement",
      "No scenarios were drawn without bias, so that no share of failing scenarios can be bounded.",
    ),
  ];
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

function commands({ copies, firmware, limits, trials, seed, date }: EvidenceInputs): string[] {
  const options = [
    ...(firmware === undefined ? [] : [`--firmware inputs/firmware/${firmware.name}`]),
    ...(copies.has("inputs/requirements.json") ? ["--requirements inputs/requirements.json"] : []),
    `--limits ${limits.length === 0 ? "none" : limits.join(",")}`,
    `--trials ${trials} --seed ${seed} --date ${date}`,
  ].join(" ");
  return [
    `plumbvolt evidence inputs/design.json ${options} --out again`,
    "plumbvolt check-record record.json",
    "plumbvolt check-certificate certificate.json",
  ];
}

/** Runs every part and returns the folder's files; nothing is written and no clock is read. */
export async function evidenceOf(
  inputs: EvidenceInputs,
  surroundings: EvidenceSurroundings,
): Promise<Evidence> {
  const { version, engine, progress } = surroundings;
  progress("error budget");
  const proven = evidenceBudget(inputs, version);
  const outcome = checkCertificate(proven.certificate, (done, of) =>
    progress(`checking band ${done} of ${of}`),
  );
  const decisions = inputs.limits.map((limit, place) => {
    progress(`limit line ${place + 1} of ${inputs.limits.length}`);
    return evidenceDecision(inputs, limit, version);
  });
  const pictures = await picturesOf(proven);
  const files = new Map<string, string | Buffer>([
    ...inputs.copies,
    ["budget.json", fileText(proven.document)],
    ["certificate.json", fileText(proven.certificate)],
    ...decisions.map((one, place) => [decisionPath(inputs.limits[place]!), fileText(one)] as const),
    ["pictures/error-against-voltage.svg", pictures.errorAgainstVoltage],
    ...(pictures.largestTerms === undefined
      ? []
      : [["pictures/largest-terms.svg", pictures.largestTerms] as const]),
    ...(pictures.shares === undefined
      ? []
      : [["pictures/shares-of-variance.svg", pictures.shares] as const]),
  ]);
  const { firmware, users, limits, trials, seed, date } = inputs;
  const record = evidenceRecord(
    {
      budget: proven.document,
      outcome,
      decisions,
      users,
      others: missingParts(inputs),
      options: { trials, seed, limits },
      engine,
      date,
      ...(firmware === undefined
        ? {}
        : { firmware: { name: firmware.name, sha256: firmware.sha256 } }),
      files: [...files].map(fileRow),
      reproduce: commands(inputs),
    },
    sha256Of,
  );
  progress("page");
  files.set("record.json", `${JSON.stringify(record, undefined, 2)}\n`);
  files.set("page.html", evidencePage(record, { budget: proven.document, decisions, pictures }));
  files.set("verdicts.xml", verdictsXml(record));
  progress("");
  return { record, files };
}
