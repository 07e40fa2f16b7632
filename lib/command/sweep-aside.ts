import { measurementModel } from "../chain/measurement-model.ts";
import { readDesign } from "../design/read-design.ts";
import { sweepVoltages } from "../report/row-uncertainty.ts";
import type { RowUncertaintyOptions } from "../report/row-uncertainty.ts";
import type { SweptUncertainty } from "../uncertainty/uncertainty-along.ts";

/** What a thread of its own needs for the probabilistic figures of a design. */
export interface SweepOrder {
  /** The design document. */
  readonly document: unknown;
  /** True voltages, V. */
  readonly voltages: readonly number[];
  readonly options: RowUncertaintyOptions;
}

/** The probabilistic figures of a design at some voltages. */
export function sweepDesign({ document, voltages, options }: SweepOrder) {
  return sweepVoltages(measurementModel(readDesign(document)), voltages, options);
}

/** What {@link sweepDesign} returns. */
export type SweepOutcome = readonly SweptUncertainty[];
