import { createHash } from "node:crypto";
import { readDesign } from "../../lib/design/read-design.ts";
import { budgetChart, termsChart } from "../../lib/report/budget-chart.ts";
import type { CheckpointDocument } from "../../lib/report/checkpoint-document.ts";
import { checkpointsOf } from "../../lib/report/checkpoint-document.ts";
import { evidencePage } from "../../lib/report/page.ts";
import type { UserRequirement } from "../../lib/report/read-record-requirements.ts";
import type { EvidenceRecord } from "../../lib/report/record-document.ts";
import { evidenceRecord } from "../../lib/report/record.ts";
import { BUDGET } from "./budget-fixture.ts";
import { exampleDocument } from "./example-designs.ts";

/** What a test changes. */
export interface RecordFixtureOptions {
  readonly date?: string;
  readonly seed?: number;
  readonly users?: readonly UserRequirement[];
  readonly confirmed?: boolean;
}

let plan: CheckpointDocument | undefined;

function checkpoints(): CheckpointDocument {
  plan ??= checkpointsOf(readDesign(exampleDocument("03-good-at-34-volts")), {
    sha256: "0".repeat(64),
    version: "0.0.0",
  });
  return plan;
}

function sha256(text: string): string {
  return createHash("sha256").update(text).digest("hex");
}

const PICTURE = '<svg role="img" aria-label="a picture"></svg>';

/** A record and its page from the invented budget, every verdict among them. */
export function evidenceFixture(options: RecordFixtureOptions = {}): {
  readonly record: EvidenceRecord;
  readonly page: string;
} {
  const { date = "2026-11-25", seed = 1, users = [], confirmed = true } = options;
  const told = { shown: [], notShown: [] };
  const record = evidenceRecord(
    {
      budget: BUDGET,
      outcome: { confirmed, bands: 1, steps: 2 },
      decisions: [],
      checkpoints: checkpoints(),
      users,
      others: [
        {
          part: { part: "firmware claims", state: "missing", words: "No firmware was given." },
          results: [],
          told,
        },
      ],
      options: { trials: 10_000, seed, limits: [] },
      engine: { name: "Node", version: "20.0.0" },
      date,
      files: [],
      reproduce: ["plumbvolt evidence inputs/design.json"],
    },
    sha256,
  );
  const page = evidencePage(record, {
    budget: BUDGET,
    decisions: [],
    checkpoints: checkpoints(),
    pictures: { errorAgainstVoltage: PICTURE },
  });
  return { record, page };
}

/** As {@link evidenceFixture}, with the pictures that a reader sees. */
export async function evidenceFixtureWithPictures(
  options: RecordFixtureOptions = {},
): Promise<{ readonly page: string }> {
  const { record } = evidenceFixture(options);
  const row = BUDGET.rows.find(({ voltage }) => voltage === 34)!;
  const page = evidencePage(record, {
    budget: BUDGET,
    decisions: [],
    checkpoints: checkpoints(),
    pictures: {
      errorAgainstVoltage: await budgetChart(BUDGET),
      largestTerms: await termsChart(row, { symbols: BUDGET.symbols }),
    },
  });
  return { page };
}
