import type { Design } from "../design/design.ts";
import { atInstant, decide } from "../decision/decide.ts";
import type { DecideOptions } from "../decision/decide.ts";
import { greatestFigures } from "../decision/greatest-figures.ts";
import { errorAgainstResistance } from "../decision/resistance-optimum.ts";
import { threeConductors } from "../decision/three-conductors.ts";
import type { Interval } from "../interval/interval.ts";
import { Decimal } from "../quantity/decimal.ts";
import { parseLimitQuestion } from "../decision/limit-question.ts";
import { decisionDocument } from "./decision-document.ts";
import type { DecisionDocument } from "./decision-document.ts";

/** A question at a line, and what the caller knows. */
export interface DecisionOptions extends DecideOptions {
  /** A published line, as "iec-60335-1-22.5/plug", or text such as "34 V at 1 s". */
  readonly limit: string;
  /** SHA-256 of the document's bytes as read. */
  readonly sha256: string;
  /** Version of this package. */
  readonly version: string;
  /** Number of openings of which the greatest counts; default: what the line states, else 10. */
  readonly openings?: number;
  /** Largest time between opening and crest, s; default 1 ms. */
  readonly openingSpread?: number;
  /** Adds loading and error over the input resistance at the first line that is decided. */
  readonly resistance?: boolean;
  /** F from each of L and N to PE, strays among them; adds the errors of all three pairs. */
  readonly toEarth?: Interval;
}

/** A capacitance without upper limit counts as a large one: the mode then hardly falls at all. */
const LARGE_CAPACITANCE = 1e-3;

function betweenPins({ lower, upper }: Interval): Interval {
  return { lower, upper: Math.min(upper, Math.max(lower, LARGE_CAPACITANCE)) };
}

const USUAL_OPENINGS = 10;
const USUAL_SPREAD = 1e-3;

/**
 * Decides at a limit line with a design: acceptance limits proven and by rule, loading and its
 * correction, risks, and the figures towards the greatest voltage obtainable. Deterministic.
 *
 * Throws InvalidInputError for a question that cannot be read and for bad options,
 * UnboundedResultError where limits of the design are too wide.
 */
export function decisionOf(design: Design, options: DecisionOptions): DecisionDocument {
  const question = parseLimitQuestion(options.limit, design);
  const decision = decide(design, question, options);
  const { repetitions } = question.published?.disconnection ?? {};
  const { indication, prior, capacitance, sha256, version } = options;
  const greatest = greatestFigures(design, question, {
    openings: options.openings ?? repetitions ?? USUAL_OPENINGS,
    openingSpread: options.openingSpread ?? USUAL_SPREAD,
    noise: decision.readingDeviation,
    ...(capacitance === undefined ? {} : { capacitance }),
  });
  const way = decision.ways.find((one) => "asLoaded" in one);
  const curve =
    options.resistance === true && way !== undefined
      ? {
          resistance: errorAgainstResistance(design, {
            voltage: way.voltage.lower,
            duration: question.duration,
            capacitance: decision.capacitance,
          }),
        }
      : {};
  const { toEarth } = options;
  const pairs =
    toEarth !== undefined && way !== undefined
      ? {
          threeConductors: threeConductors(atInstant(design, question.duration), {
            voltage: Decimal.fromNumber(way.voltage.lower).value,
            betweenPins: betweenPins(decision.capacitance),
            toEarth,
          }),
        }
      : {};
  return decisionDocument(design, decision, {
    sha256,
    version,
    greatest,
    ...curve,
    ...pairs,
    ...(indication === undefined ? {} : { indication }),
    ...(prior === undefined ? {} : { prior }),
  });
}
