import { above, below } from "../interval/rounding.ts";

/** Lower end of the product of two intervals with finite ends. */
export function productLower(al: number, ah: number, bl: number, bh: number): number {
  if (al >= 0) return below(bl >= 0 ? al * bl : ah * bl);
  if (ah <= 0) return below(bh >= 0 ? al * bh : ah * bh);
  if (bl >= 0) return below(al * bh);
  if (bh <= 0) return below(ah * bl);
  return below(Math.min(al * bh, ah * bl));
}

/** Upper end of the product of two intervals with finite ends. */
export function productUpper(al: number, ah: number, bl: number, bh: number): number {
  if (al >= 0) return above(bh >= 0 ? ah * bh : al * bh);
  if (ah <= 0) return above(bl >= 0 ? ah * bl : al * bl);
  if (bl >= 0) return above(ah * bh);
  if (bh <= 0) return above(al * bl);
  return above(Math.max(al * bl, ah * bh));
}

/** Lower end of a quotient whose divisor excludes zero. */
export function quotientLower(al: number, ah: number, bl: number, bh: number): number {
  if (bl > 0) return below(al >= 0 ? al / bh : al / bl);
  return below(ah >= 0 ? ah / bh : ah / bl);
}

/** Upper end of a quotient whose divisor excludes zero. */
export function quotientUpper(al: number, ah: number, bl: number, bh: number): number {
  if (bl > 0) return above(ah >= 0 ? ah / bl : ah / bh);
  return above(al >= 0 ? al / bl : al / bh);
}
