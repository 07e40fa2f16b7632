/** Draws of each space of scenarios to which every fault is held. */
export const USUAL_FAULT_RUNS = 50;

/** Draws up to which a claim goes on that should notice a fault and has not. */
export const MOST_FAULT_RUNS = 1_000;
