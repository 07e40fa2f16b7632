import type { Claim } from "../claim.ts";
import { CONFIGURATION_CLAIMS } from "./configuration-claims.ts";
import { NUMBER_CLAIMS } from "./number-claims.ts";
import { reportClaim } from "./report-claim.ts";
import { READING_CLAIMS } from "./reading-claims.ts";
import { SAMPLING_CLAIMS } from "./sampling-claims.ts";
import { TRIGGER_CLAIMS } from "./trigger-claims.ts";

/** Claims beside those on voltage and time. */
export const MORE_CLAIMS: readonly Claim[] = [
  ...TRIGGER_CLAIMS,
  ...READING_CLAIMS,
  ...SAMPLING_CLAIMS,
  ...NUMBER_CLAIMS,
  ...CONFIGURATION_CLAIMS,
  reportClaim,
];
