import type { Product } from "../../sim/scenario.ts";
import { notApplicable } from "./claim.ts";
import type { Claim, Judgement } from "./claim.ts";
import type { Episode } from "./episode.ts";
import { judgedFault } from "./more/episode-views.ts";

/** F between the pins; undefined where a product promises none. */
function pinCapacitance(product: Product): number | undefined {
  if (product.kind === "open" || product.kind === "imposed") return undefined;
  const inner = product.kind === "lineFilter" ? product.innerCapacitance : 0;
  return product.capacitance + inner;
}

/**
 * What a claim says of an episode. A product below the smallest capacitance in scope gets no
 * verdict from any claim; firmware that goes wrong on it is at fault all the same.
 */
export function judgementOf(claim: Claim, episode: Episode): Judgement {
  const { product } = episode.simulation.scenario;
  const capacitance = pinCapacitance(product) ?? Infinity;
  // Capacitances are drawn in steps of 0.1 nF: one that is at the limit may be a bit below it.
  const isInScope = capacitance >= episode.subject.promises.smallestCapacitance * (1 - 1e-9);
  if (isInScope) return claim.judge(episode);
  return (
    judgedFault(episode) ?? notApplicable("the product is below the smallest capacitance in scope")
  );
}
