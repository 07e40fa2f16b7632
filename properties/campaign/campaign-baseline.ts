import { basename } from "node:path";
import { array, description, literal, nullable, picklist } from "valibot";
import { exactOptional, pipe, safeParse, strictObject, string, title } from "valibot";
import type { InferOutput } from "valibot";
import { shapeFaults } from "../../lib/design/shape-faults.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import { count, figure, writtenJsonSchema } from "../../lib/report/schema-parts.ts";
import type { JsonSchemaDocument } from "../../lib/report/schema-parts.ts";
import { faultsBaselineSchema } from "../faults/faults-baseline.ts";
import { differenceOf } from "./baseline-comparison.ts";
import type { BaselineComparison } from "./baseline-comparison.ts";
import type { CampaignRecord } from "./campaign-record.ts";
import { LANES } from "./plan.ts";
import type { ClaimResult } from "./verdict.ts";

const claimSchema = strictObject({
  id: string(),
  verdict: picklist(["holds", "doesNotHold", "noVerdict"]),
  margin: pipe(nullable(figure), description("The worst one; null where nothing was judged.")),
  found: pipe(nullable(string()), description("What was found there, as the latencies.")),
  unaided: pipe(nullable(figure), description("Worst error found over the proven bound.")),
  fromWitness: pipe(nullable(figure), description("The same from the witnesses of the proof.")),
  classesMet: count,
  pairsShort: pipe(count, description("Pairs of classes that were met too seldom.")),
});

const baselineSchema = pipe(
  strictObject({
    format: literal("plumbvolt.baseline/1"),
    firmware: pipe(array(string()), description("Last parts of the paths of its files.")),
    lane: picklist(LANES),
    runs: count,
    seed: count,
    claims: array(claimSchema),
    faults: exactOptional(faultsBaselineSchema),
  }),
  title("plumbvolt baseline"),
  description("What a campaign reached once: later ones are compared with it."),
);

/** What a campaign reached once. */
export type CampaignBaseline = InferOutput<typeof baselineSchema>;

type ClaimBaseline = CampaignBaseline["claims"][number];

/** By how much a margin or a share may move without a word. */
const TOLERANCE = 0.02;

/** JSON Schema of a baseline. */
export function baselineJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(baselineSchema);
}

/** Reads a baseline. Throws InvalidInputError with every fault of its shape. */
export function readCampaignBaseline(document: unknown): CampaignBaseline {
  const shaped = safeParse(baselineSchema, document);
  if (!shaped.success) throw new InvalidInputError("baseline", shapeFaults(shaped.issues));
  return shaped.output;
}

function reachedOf({ id, verdict, worst, strength, coverage }: ClaimResult): ClaimBaseline {
  return {
    id,
    verdict,
    margin: worst?.margin ?? null,
    found: worst?.because ?? null,
    unaided: strength.unaided,
    fromWitness: strength.fromWitness,
    classesMet: coverage.classes.filter(({ hits, least }) => hits >= least).length,
    pairsShort: coverage.pairsShort,
  };
}

/** The baseline that a finished campaign makes. */
export function baselineOf(record: CampaignRecord): CampaignBaseline {
  const { firmware, lane, runs, seed, results } = record;
  return {
    format: "plumbvolt.baseline/1",
    firmware: firmware.paths.map((path) => basename(path)),
    lane,
    runs,
    seed,
    claims: results.filter(({ canary }) => !canary).map(reachedOf),
  };
}

interface Figure {
  readonly name: string;
  readonly pick: (claim: ClaimBaseline) => number | null;
  /** By how much it may move without a word. */
  readonly tolerance: number;
  /** 1 where more is better, else -1. */
  readonly sense: 1 | -1;
}

const FIGURES: readonly Figure[] = [
  {
    name: "worst margin",
    // Of a claim about a proven error a small margin is a strong search, not a weak firmware.
    pick: ({ margin, unaided, fromWitness }) => ((unaided ?? fromWitness) === null ? margin : null),
    tolerance: TOLERANCE,
    sense: 1,
  },
  {
    name: "share of the proven bound found unaided",
    pick: ({ unaided }) => unaided,
    tolerance: TOLERANCE,
    sense: 1,
  },
  {
    name: "share of the proven bound found from the witnesses",
    pick: ({ fromWitness }) => fromWitness,
    tolerance: TOLERANCE,
    sense: 1,
  },
  { name: "classes met", pick: ({ classesMet }) => classesMet, tolerance: 0, sense: 1 },
  {
    name: "pairs of classes met too seldom",
    pick: ({ pairsShort }) => pairsShort,
    tolerance: 0,
    sense: -1,
  },
];

function round(value: number | null): string {
  if (value === null) return "none";
  return String(Math.round(value * 1000) / 1000);
}

interface Change {
  readonly isWorse: boolean;
  readonly text: string;
}

function changesOf(had: ClaimBaseline, has: ClaimBaseline): Change[] {
  const { id } = had;
  const verdict =
    had.verdict === has.verdict
      ? []
      : [{ isWorse: had.verdict === "holds", text: `${id}: ${has.verdict}, was ${had.verdict}` }];
  const figures = FIGURES.flatMap(({ name, pick, tolerance, sense }): Change[] => {
    const [before, after] = [pick(had), pick(has)];
    if (before === after) return [];
    const gain = sense * ((after ?? -Infinity) - (before ?? -Infinity));
    if (Math.abs(gain) <= tolerance) return [];
    const text = `${id}: ${name} ${round(after)}, was ${round(before)}`;
    return [{ isWorse: gain < 0, text }];
  });
  const isFarther = figures.some(({ isWorse }) => isWorse) && has.found !== null;
  const found = isFarther ? [{ isWorse: true, text: `${id}: at the worst ${has.found}` }] : [];
  return [...verdict, ...figures, ...found];
}

/**
 * Compares a finished campaign with a baseline. Claims of the baseline that are no longer there are
 * missed where the campaign asked `all` claims.
 */
export function comparedWithBaseline(
  baseline: CampaignBaseline,
  record: CampaignRecord,
  { all }: { readonly all: boolean },
): BaselineComparison {
  const now = baselineOf(record);
  const difference = differenceOf(baseline, now, ["firmware", "lane", "runs", "seed"]);
  if (difference !== undefined) return difference;
  const changes = now.claims.flatMap((has) => {
    const had = baseline.claims.find(({ id }) => id === has.id);
    return had === undefined
      ? [{ isWorse: false, text: `${has.id}: not in the baseline` }]
      : changesOf(had, has);
  });
  const gone = baseline.claims
    .filter(({ id }) => all && now.claims.every((has) => has.id !== id))
    .map(({ id }) => ({ isWorse: true, text: `${id}: no longer a claim` }));
  const texts = (isWorse: boolean): string[] =>
    [...changes, ...gone].filter((one) => one.isWorse === isWorse).map(({ text }) => text);
  return { worse: texts(true), better: texts(false) };
}
