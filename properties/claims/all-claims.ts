import { canaryClaim, timeClaim, togetherClaim, voltageClaim } from "./accuracy-claims.ts";
import type { Claim } from "./claim.ts";
import { MORE_CLAIMS } from "./more/more-claims.ts";
import { soundnessClaim } from "./soundness-claim.ts";

/** Every claim that is made of a tester's firmware, in the order of the record. */
export const ALL_CLAIMS: readonly Claim[] = [
  voltageClaim,
  timeClaim,
  togetherClaim,
  ...MORE_CLAIMS,
  soundnessClaim,
  canaryClaim,
];
