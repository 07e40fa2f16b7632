import { array, literal, looseObject, minLength, number, pipe, record, safeParse } from "valibot";
import { string, union } from "valibot";
import { shapeFaults } from "../design/shape-faults.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { Draw } from "../../properties/arbitraries/parameter.ts";
import type { Corpus } from "../../properties/campaign/campaign-record.ts";
import { knownDraw } from "../../properties/campaign/known-draw.ts";
import { ALL_CLAIMS } from "../../properties/claims/all-claims.ts";
import { jsonDocument } from "./json-document.ts";
import type { LoadedCampaign } from "./load-campaign.ts";

/** A failing scenario as documents hold it. */
interface WrittenFailure {
  readonly claim: string;
  readonly draw: Draw;
}

const writtenSchema = looseObject({
  format: union(
    [literal("plumbvolt.corpus/1"), literal("plumbvolt.campaign/1")],
    "plumbvolt.corpus/1 or plumbvolt.campaign/1",
  ),
  failures: array(
    looseObject({ claim: pipe(string(), minLength(1)), draw: record(string(), number()) }),
  ),
});

/**
 * The draws of failing scenarios, in their order, each complete for the space of its claim. Throws
 * InvalidInputError with every fault: claims nobody knows, parameters that are missing, unknown or
 * out of their span.
 */
export function knownFailures<Failure extends WrittenFailure>(
  failures: readonly Failure[],
  { subject }: Pick<LoadedCampaign, "subject">,
  document: string,
): readonly Failure[] {
  const faults: Fault[] = [];
  const known = failures.flatMap((failure, index) => {
    const path = `failures[${index}]`;
    const claim = ALL_CLAIMS.find(({ id }) => id === failure.claim);
    if (claim === undefined) {
      const permitted = `one of ${ALL_CLAIMS.map(({ id }) => id).join(", ")}`;
      const received = JSON.stringify(failure.claim);
      faults.push({ path: `${path}.claim`, quantity: "claim", permitted, received });
      return [];
    }
    const { draw, faults: wrong } = knownDraw(claim.over(subject), failure.draw, `${path}.draw`);
    faults.push(...wrong);
    return [{ ...failure, draw }];
  });
  if (faults.length > 0) throw new InvalidInputError(document, faults);
  return known;
}

/**
 * Reads failing scenarios to be replayed, from a corpus or from the record of an earlier campaign:
 * those of the campaign's claims, by claim. Throws InvalidInputError with every fault.
 */
export function readCorpus(path: string, loaded: LoadedCampaign): Corpus {
  const shaped = safeParse(writtenSchema, jsonDocument(path, "corpus"));
  if (!shaped.success) throw new InvalidInputError(`corpus ${path}`, shapeFaults(shaped.issues));
  const asked = new Set(loaded.claims.map(({ id }) => id));
  const corpus: Record<string, Draw[]> = {};
  for (const { claim, draw } of knownFailures(shaped.output.failures, loaded, `corpus ${path}`))
    if (asked.has(claim)) (corpus[claim] ??= []).push(draw);
  return corpus;
}
