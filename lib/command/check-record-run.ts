import { readFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { readDesign } from "../design/read-design.ts";
import { InvalidInputError } from "../errors.ts";
import type { Certificate } from "../guarantee/certificate.ts";
import { checkCertificate } from "../guarantee/check-certificate.ts";
import type { BudgetDocument } from "../report/budget-document.ts";
import type { DecisionDocument } from "../report/decision-document.ts";
import { documentDifferences } from "../report/document-difference.ts";
import { readRecordRequirements } from "../report/read-record-requirements.ts";
import { checkRecordBounds } from "../report/record-bounds.ts";
import { recordDigest } from "../report/record-canonical.ts";
import type { EvidenceRecord, RecordCheck } from "../report/record-document.ts";
import { readRecord } from "../report/record-schema.ts";
import { checkWitnesses } from "../report/record-witnesses.ts";
import { requireFaultTable } from "../../properties/faults/fault-table-schema.ts";
import { checkCampaign } from "./check-campaign.ts";
import type { KeptCampaign } from "./evidence-campaign.ts";
import { reportFrom } from "./evidence-faults.ts";
import type { FaultEvidence } from "./evidence-faults.ts";
import type { FaultTableDocument } from "./fault-table-document.ts";
import {
  evidenceBudget,
  evidenceCheckpoints,
  evidenceDecision,
  partsOf,
} from "./evidence-findings.ts";
import type { Findings } from "./evidence-findings.ts";
import { sha256Of } from "./evidence-inputs.ts";
import type { EvidenceInputs } from "./evidence-inputs.ts";
import { decisionPath, evidenceFrom } from "./evidence-run.ts";

/** What is computed again beside the budget. */
export interface CheckOptions {
  /** Every limit line and every block of runs, and not a few of them. */
  readonly all: boolean;
  readonly progress: (text: string) => void;
}

/** Outcome of one step: how it is told, and what differs. */
interface Step {
  readonly checked: string;
  readonly differences: readonly string[];
}

type Files = ReadonlyMap<string, Buffer>;

async function parsed(path: string): Promise<unknown> {
  const refuse = (received: string): InvalidInputError =>
    new InvalidInputError("record", [
      { path, quantity: "record", permitted: "a readable JSON file", received },
    ]);
  let text: string;
  try {
    text = await readFile(path, "utf8");
  } catch (error) {
    throw refuse((error as NodeJS.ErrnoException).code ?? "no file");
  }
  try {
    return JSON.parse(text) as unknown;
  } catch (error) {
    throw refuse(`text that is none: ${(error as Error).message}`);
  }
}

async function filesOf(folder: string, record: EvidenceRecord): Promise<Files> {
  const paths = [
    "record.json",
    "page.html",
    "verdicts.xml",
    ...record.files.map(({ path }) => path),
  ];
  const found = new Map<string, Buffer>();
  for (const path of paths) {
    const bytes = await readFile(join(folder, path)).catch(() => undefined);
    if (bytes !== undefined) found.set(path, bytes);
  }
  return found;
}

function digestStep(record: EvidenceRecord): Step {
  const { content, record: whole } = recordDigest(record, sha256Of);
  const differences = [
    ...(content === record.digest.content ? [] : ["record.json: its content was altered"]),
    ...(whole === record.digest.record ? [] : ["record.json: it was altered"]),
  ];
  return { checked: "digests of the record", differences };
}

function hashStep(record: EvidenceRecord, files: Files): Step {
  const differences = record.files.flatMap(({ path, sha256, bytes }) => {
    const found = files.get(path);
    if (found === undefined) return [`${path}: missing`];
    if (found.length !== bytes) return [`${path}: ${found.length} bytes in place of ${bytes}`];
    return sha256Of(found) === sha256 ? [] : [`${path}: it was altered`];
  });
  const copies = ["inputs/design.json", "inputs/design.ts"].map((path) => files.get(path));
  const isDesign = copies.some(
    (one) => one !== undefined && sha256Of(one) === record.design.sha256,
  );
  return {
    checked: `SHA-256 of ${record.files.length} files`,
    differences: [...differences, ...(isDesign ? [] : ["inputs: not the design of the record"])],
  };
}

function documentOf<Kind>(files: Files, path: string): Kind {
  const bytes = files.get(path);
  if (bytes === undefined)
    throw new InvalidInputError("record", [
      { path, quantity: "file of the record", permitted: "present", received: "nothing" },
    ]);
  return JSON.parse(bytes.toString("utf8")) as Kind;
}

/** The inputs as the folder holds them; no program in it is run. */
function inputsOf(record: EvidenceRecord, files: Files): EvidenceInputs {
  const copies = new Map(
    record.files
      .filter(({ role }) => role === "input")
      .flatMap(({ path }) => {
        const bytes = files.get(path);
        return bytes === undefined ? [] : [[path, bytes] as const];
      }),
  );
  const { firmware, options, date } = record;
  return {
    design: readDesign(documentOf(files, "inputs/design.json")),
    sha256: record.design.sha256,
    copies,
    users: copies.has("inputs/requirements.json")
      ? readRecordRequirements(documentOf(files, "inputs/requirements.json"))
      : [],
    ...options,
    date,
    ...(firmware === undefined ? {} : { firmware }),
  };
}

/** Lines that are decided again: all, or one that the record's own digest picks. */
function linesAgain({ options, digest }: EvidenceRecord, all: boolean): ReadonlySet<string> {
  const { limits } = options;
  if (all || limits.length === 0) return new Set(limits);
  return new Set([limits[Number.parseInt(digest.content.slice(0, 8), 16) % limits.length]!]);
}

/** Differences of one file of the folder against the one computed again. */
function fileDifferences(
  path: string,
  expected: string | Buffer,
  found: Buffer | undefined,
): readonly string[] {
  const wanted = Buffer.from(expected);
  if (found === undefined) return [`${path}: missing`];
  if (wanted.equals(found)) return [];
  if (!path.endsWith(".json")) return [`${path}: not what is computed again`];
  const told = documentDifferences(
    JSON.parse(wanted.toString("utf8")) as unknown,
    JSON.parse(found.toString("utf8")) as unknown,
    path,
  );
  return told.length === 0 ? [`${path}: written in another way`] : told;
}

/** The campaign as it was kept. */
function campaignIn(files: Files): KeptCampaign | undefined {
  return files.has("campaign.json") ? documentOf<KeptCampaign>(files, "campaign.json") : undefined;
}

/** The faults as they were kept, with the report that the kept inputs give. */
function faultsIn(files: Files): FaultEvidence | undefined {
  if (!files.has("fault-table.json")) return undefined;
  const table = documentOf<FaultTableDocument>(files, "fault-table.json");
  requireFaultTable(table);
  return { table, report: reportFrom(table, files) };
}

async function againStep(
  record: EvidenceRecord,
  files: Files,
  { outcome, campaign, faults }: Pick<Findings, "outcome" | "campaign" | "faults">,
  { all, progress }: CheckOptions,
): Promise<Step> {
  const inputs = inputsOf(record, files);
  const { version } = record.producer;
  progress("error budget again");
  const proven = evidenceBudget(inputs, version);
  const again = linesAgain(record, all);
  const decisions = record.options.limits.map((limit) =>
    again.has(limit)
      ? evidenceDecision(inputs, limit, version)
      : documentOf<DecisionDocument>(files, decisionPath(limit)),
  );
  progress("check points again");
  const checkpoints = evidenceCheckpoints(inputs, version);
  const path = record.firmware?.path ?? "";
  const played = campaign && faults && { campaign, faults, firmware: path };
  const others = partsOf(played);
  const failures = new Map([...files].filter(([name]) => name.startsWith("failures/")));
  const plain = { proven, outcome, decisions, checkpoints, others, failures };
  const findings: Findings =
    campaign === undefined || faults === undefined ? plain : { ...plain, campaign, faults };
  const { files: expected } = await evidenceFrom(inputs, findings, {
    version,
    engine: record.engine,
  });
  const differences = [...expected].flatMap(([path, content]) =>
    fileDifferences(path, content, files.get(path)),
  );
  const rows = proven.document.rows.length;
  return {
    checked:
      `computed again: ${rows} rows with ${record.options.trials} trials each, ` +
      `${again.size} of ${record.options.limits.length} limit lines, the check points, every page`,
    differences,
  };
}

function surroundings(record: EvidenceRecord, version: string): readonly string[] {
  const { producer, engine } = record;
  const own = process.versions.node;
  return [
    ...(producer.version === version
      ? []
      : [`note: made by version ${producer.version}, checked by ${version}`]),
    ...(engine.version === own
      ? []
      : [`note: made on ${engine.name} ${engine.version}, checked on ${own}`]),
  ];
}

/**
 * Checks a record again: its digests, the hashes of its files, the proofs in arithmetic of its own,
 * rows and statement against the proofs, every witness in the published equation, and the whole
 * folder against what is computed again from the inputs. Throws InvalidInputError where the file is
 * no record.
 */
export async function checkRecord(
  path: string,
  version: string,
  options: CheckOptions,
): Promise<RecordCheck> {
  const record = readRecord(await parsed(path));
  const files = await filesOf(dirname(path), record);
  const steps: Step[] = [digestStep(record), hashStep(record, files)];
  // A folder that was altered is not computed again: what is told would be of something else.
  if (steps.every(({ differences }) => differences.length === 0)) {
    const certificate = documentOf<Certificate>(files, "certificate.json");
    const checked = checkCertificate(certificate, (done, of) =>
      options.progress(`checking band ${done} of ${of}`),
    );
    steps.push({
      checked: `certificate: ${checked.bands} bands, ${checked.steps} steps`,
      differences: checked.refusals.map((refusal) => `certificate.json: ${refusal}`),
    });
    steps.push({
      checked: `${record.rows.length} rows and the accuracy statement against the certificate`,
      differences: checkRecordBounds(record, certificate),
    });
    const { witnesses, differences } = checkWitnesses(
      documentOf<BudgetDocument>(files, "budget.json"),
    );
    steps.push({ checked: `${witnesses} witnesses in the published equation`, differences });
    const campaign = campaignIn(files);
    const faults = faultsIn(files);
    const known = {
      outcome: checked,
      ...(campaign && { campaign }),
      ...(faults && { faults }),
    };
    steps.push(await againStep(record, files, known, options));
    if (campaign !== undefined)
      steps.push(
        await checkCampaign({ folder: dirname(path), record, campaign, faults, ...options }),
      );
  }
  const differences = steps.flatMap((step) => step.differences);
  return {
    confirmed: differences.length === 0,
    checked: [...steps.map(({ checked }) => checked), ...surroundings(record, version)],
    differences,
  };
}
