/**
 * Powers of ten of the SI prefixes that this trade uses. The empty prefix is 0. Micro is "u" here;
 * the reader of texts turns both micro signs into it, the printer turns it into "µ".
 *
 * Source: BIPM SI Brochure, 9th edition, table 7.
 */
export const SI_PREFIXES = {
  f: -15,
  p: -12,
  n: -9,
  u: -6,
  m: -3,
  "": 0,
  k: 3,
  M: 6,
  G: 9,
  T: 12,
} as const;

/** One SI prefix, or none. */
export type SiPrefix = keyof typeof SI_PREFIXES;
