/** Something that happened; instants in s. */
export interface SimulationEvent {
  readonly instant: number;
  readonly kind:
    | "contactSeparates"
    | "arcEnds"
    | "poleOpens"
    | "poleCloses"
    | "mainsChanges"
    | "rectifierConducts"
    | "rectifierBlocks"
    | "dischargeBegins"
    | "dischargeEnds";
  /** Pole it concerns, where it is one's. */
  readonly pole?: "L" | "N";
}
