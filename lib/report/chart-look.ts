/** Colours that stay apart when printed in grey; dashes and labels carry the meaning alone. */
export const CHART_COLOURS = {
  ink: "#1d2733",
  quiet: "#5b6673",
  grid: "#e3e7eb",
  zero: "#8a95a1",
  proven: "#14506b",
  tint: "#d6e6ee",
  witnessed: "#f2a33a",
  required: "#5a2a6e",
  statements: ["#7a5a1e", "#3f6b3a", "#7d3346", "#4a4f7c"],
} as const;

/** Dashes of other instruments' statements, in pixels. */
export const STATEMENT_DASHES = ["9 4", "2 3", "12 3 2 3", "5 2", "14 6", "7 2 2 2 2 2"] as const;

/** Dash of the design's own accuracy statement, in pixels. */
export const ACCURACY_DASH = "16 3 3 3";

/** Widths of lines in pixels. */
export const LINE_WIDTHS = {
  bar: 1.3,
  cap: 2,
  statement: 1.6,
  accuracy: 1.8,
  required: 1.8,
} as const;

/** Sizes of text in pixels. */
export const FONT = { heading: 16, plain: 12, small: 11 } as const;

/** A font every reader has. */
export const FONT_FAMILY = "sans-serif";
