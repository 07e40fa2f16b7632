import type { BudgetDocument } from "./budget-document.ts";
import type { CheckpointDocument } from "./checkpoint-document.ts";
import type { DecisionDocument } from "./decision-document.ts";
import { pageAnswer, pageHead } from "./page-answer.ts";
import { pageBudgets, pagePicture } from "./page-budget.ts";
import type { BudgetPictures } from "./page-budget.ts";
import { pageCheckpoints } from "./page-checkpoints.ts";
import { pageDetails, pageSignOff } from "./page-closing.ts";
import { pageDecisions } from "./page-decisions.ts";
import { html, trustedMarkup } from "./page-markup.ts";
import type { Markup } from "./page-markup.ts";
import { pageClaims, pageMatrix } from "./page-matrix.ts";
import type { FailurePicture } from "./page-matrix.ts";
import { pageStyle } from "./page-style.ts";
import type { EvidenceRecord } from "./record-document.ts";

/** What the page shows beside the record. */
export interface PageFacts {
  readonly budget: BudgetDocument;
  readonly decisions: readonly DecisionDocument[];
  readonly checkpoints: CheckpointDocument;
  readonly pictures: BudgetPictures;
  /** Of the claims that do not hold. */
  readonly failures?: readonly FailurePicture[];
}

/** Nothing is fetched, no script runs; styles stand in the page. */
const POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'";

const CONTENTS = [
  ["answer", "1. The answer"],
  ["picture", "2. Error against voltage"],
  ["budget", "3. What makes the error"],
  ["matrix", "4. Verification matrix"],
  ["claims", "5. Claims and seeded faults"],
  ["limits", "6. Acceptance limits and check points"],
  ["details", "7. Equation, versions, how to reproduce"],
  ["sign", "8. Sign-off"],
] as const;

function contents(): Markup {
  const entries = CONTENTS.map(([id, text]) => html`<li><a href="#${id}">${text}</a></li> `);
  return html`<nav class="contents" aria-label="Contents">
    <ul>
      ${entries}
    </ul>
  </nav> `;
}

function limitSection(
  decisions: readonly DecisionDocument[],
  checkpoints: CheckpointDocument,
): Markup {
  return html`<section aria-labelledby="limits">
    <h2 id="limits">6. Acceptance limits and check points</h2>
    ${pageDecisions(decisions)} ${pageCheckpoints(checkpoints)}
  </section> `;
}

/**
 * The evidence as one HTML file: no script, nothing fetched, light or dark as the reader prefers,
 * A4 on paper. Every text of the record is escaped. Deterministic.
 */
export function evidencePage(record: EvidenceRecord, facts: PageFacts): string {
  const { budget, decisions, checkpoints, pictures, failures = [] } = facts;
  const revision = record.design.revision === "" ? "" : `, revision ${record.design.revision}`;
  return html`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta http-equiv="Content-Security-Policy" content="${POLICY}" />
        <meta name="color-scheme" content="light dark" />
        <title>Evidence record: ${record.design.name}${revision}</title>
        <link rel="icon" href="data:," />
        <style>
          ${trustedMarkup(pageStyle())}
        </style>
      </head>
      <body>
        ${pageHead(record)} ${contents()}
        <main>
          ${pageAnswer(record)} ${pagePicture(budget, pictures)} ${pageBudgets(budget, pictures)}
          ${pageMatrix(record)} ${pageClaims(record, failures)}
          ${limitSection(decisions, checkpoints)} ${pageDetails(record, budget)}
          ${pageSignOff(record)}
        </main>
      </body>
    </html> `.text;
}
