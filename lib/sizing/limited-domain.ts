import type { MeasurementModel } from "../chain/measurement-model.ts";
import { copyBox } from "../guarantee/box.ts";
import type { Box } from "../guarantee/box.ts";
import { Domain } from "../guarantee/domain.ts";
import type { VoltageInterval } from "../guarantee/domain.ts";

/** The symbols of a model with limits other than those declared. */
export class LimitedDomain extends Domain {
  private readonly limited: Box;

  /** `limits` holds every slot; that of the true voltage the whole measuring interval. */
  constructor(model: MeasurementModel, limits: Box) {
    super(model);
    this.limited = limits;
  }

  override box(voltage: VoltageInterval): Box {
    const box = copyBox(this.limited);
    box.lower[0] = voltage.lower;
    box.upper[0] = voltage.upper;
    return box;
  }

  override whole(): Box {
    return copyBox(this.limited);
  }
}
