import { PlumbvoltError } from "../../lib/errors.ts";
import type { Firmware, FirmwareFault } from "./port.ts";

/**
 * Firmware written in TypeScript, whose exceptions become traps: what it throws is a fault of the
 * firmware, as undefined behaviour is in C, and no fault of the host. Errors of this package, as a
 * call that the port does not allow, pass through.
 */
export function guardedFirmware(firmware: Firmware): Firmware {
  const guarded = <Outcome>(call: () => Outcome): Outcome | FirmwareFault => {
    try {
      return call();
    } catch (error) {
      if (error instanceof PlumbvoltError) throw error;
      const thrown = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
      return { kind: "trap", reason: `the firmware threw ${thrown}` };
    }
  };
  return {
    start: (configuration) => guarded(() => firmware.start(configuration)),
    rearm: (configuration) => guarded(() => firmware.rearm(configuration)),
    samples: (block) => guarded(() => firmware.samples(block)),
    report: () => guarded(() => firmware.report()),
    get trace() {
      return firmware.trace;
    },
  };
}
