import { readFileSync } from "node:fs";
import { readFirmwareFaults } from "../faults/firmware-fault.ts";
import type { FirmwareFault } from "../faults/firmware-fault.ts";

const FILE = new URL("../../examples/21-trigger-firmware/faults.json", import.meta.url);

/** The faults that are seeded into the example firmware. */
export const EXAMPLE_FAULTS: readonly FirmwareFault[] = readFirmwareFaults(
  JSON.parse(readFileSync(FILE, "utf8")),
);
