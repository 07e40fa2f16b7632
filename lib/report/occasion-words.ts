import type { SymbolRow } from "./budget-document.ts";

/** The same quantity enters a two-point adjusted indication up to three times. */
export const OCCASION_WORDS: Readonly<Record<SymbolRow["occasion"], string>> = {
  all: "",
  use: ", in use",
  adjustLow: ", at the lower adjustment point",
  adjustHigh: ", at the upper adjustment point",
};
