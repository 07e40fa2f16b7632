import { ACCURACY_CLAIMS } from "./accuracy-claims.ts";
import type { Claim } from "./claim.ts";

/** Every claim that is made of a tester's firmware. */
export const ALL_CLAIMS: readonly Claim[] = [...ACCURACY_CLAIMS];
