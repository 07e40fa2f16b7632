/** A mistake put into the example firmware: a text that occurs once, and what replaces it. */
export interface SourceFault {
  readonly id: string;
  readonly says: string;
  readonly file: "trigger.c" | "convert.c";
  readonly find: string;
  readonly replace: string;
}

type Row = readonly [id: string, says: string, find: string, replace: string];

const IN_TRIGGER: readonly Row[] = [
  ["no-hold", "A candidate is confirmed at once.", "#define HOLD_MS 12u", "#define HOLD_MS 0u"],
  ["short-hold", "The hold lasts 4 ms.", "#define HOLD_MS 12u", "#define HOLD_MS 4u"],
  ["long-hold", "The hold lasts 30 ms.", "#define HOLD_MS 12u", "#define HOLD_MS 30u"],
  [
    "coarse-candidate",
    "Half the crest is needed to suspect.",
    "CANDIDATE_SHARE 10",
    "CANDIDATE_SHARE 2",
  ],
  [
    "no-rise-allowed",
    "The hold allows no rise at all.",
    "height > state.least + state.crest / RISE_SHARE",
    "height > state.least",
  ],
  [
    "rise-unchecked",
    "A candidate that rises again is kept.",
    "height > state.least + state.crest / RISE_SHARE) {\n            state.report.known",
    "false) {\n            state.report.known",
  ],
  [
    "level-unchecked",
    "A candidate below the trigger level is kept.",
    "if (height < state.configuration.trigger_level ||\n            height >",
    "if (height >",
  ],
  [
    "not-back-dated",
    "The candidate counts as the opening.",
    "    opened = back_dated(suspect);",
    "    opened = back_dated(suspect);\n    opened = suspect;",
  ],
  [
    "no-meeting",
    "The divergence is not extrapolated.",
    "#define MEETING_MS 2u",
    "#define MEETING_MS 0u",
  ],
  [
    "back-dated-twice",
    "The opening is dated 6 ms early.",
    "    seen = instant_of(opened);",
    "    seen = instant_of(opened) - ticks_of_ms(6u);",
  ],
  [
    "no-fallback",
    "A rejected candidate is never retried once held.",
    "state.run >= samples_of_ms(HOLD_WITHOUT_CANDIDATE_MS)",
    "state.run == 0xffffffffu",
  ],
  [
    "hasty-fallback",
    "Held for 6 ms without a candidate is enough.",
    "#define HOLD_WITHOUT_CANDIDATE_MS 20u",
    "#define HOLD_WITHOUT_CANDIDATE_MS 6u",
  ],
  [
    "lag-forgotten",
    "The filter's lag is left out of the windows.",
    "configuration->moments[moment] + configuration->input_lag;",
    "configuration->moments[moment];",
  ],
  [
    "moment-early",
    "The reading is taken 5 ms early.",
    "        window->first = stated;",
    "        stated -= ticks_of_ms(5u);\n        window->first = stated;",
  ],
  [
    "moment-late",
    "The reading is taken 5 ms late.",
    "        window->first = stated;",
    "        stated += ticks_of_ms(5u);\n        window->first = stated;",
  ],
  [
    "counter-16-bit",
    "Instants are compared in 16 bits.",
    "return instant - since >= limit && instant - since < 0x80000000u;",
    "return ((instant - since) & 0xffffu) >= limit;",
  ],
  [
    "counter-wraps",
    "Instants are compared without their wrap.",
    "return instant - since >= limit && instant - since < 0x80000000u;",
    "return instant >= since + limit;",
  ],
  [
    "reconnection-unseen",
    "Mains that returns is not noticed.",
    "if (height > floor + rise || height < -rise) {",
    "if (height > floor + rise + 2 * state.crest) {",
  ],
  [
    "reconnection-unflagged",
    "Mains that returns ends without a flag.",
    "finish(PV_FLAG_RECONNECTED, sample->instant);",
    "finish(0u, sample->instant);",
  ],
  [
    "no-debounce",
    "A contact that bounces counts as a reconnection.",
    "#define DEBOUNCE_MS 40u",
    "#define DEBOUNCE_MS 0u",
  ],
  [
    "over-range-unflagged",
    "Codes not to be trusted are not flagged.",
    "state.report.flags |= PV_FLAG_OVER_RANGE;",
    "state.report.flags |= 0u;",
  ],
  [
    "saturation-ignored",
    "The saturation status is not looked at.",
    "(block->saturated >> channel & 1u) == 0u;",
    "true;",
  ],
  [
    "always-flags",
    "Every report is flagged.",
    "    *report = state.report;",
    "    *report = state.report;\n    report->flags |= PV_FLAG_NOT_SETTLED;",
  ],
  ["never-answers", "The windows never end.", "window->done = true;", "window->done = false;"],
  [
    "dead-input-waits",
    "An input without mains is waited for.",
    "finish(PV_FLAG_INPUT_NOT_ALIVE | PV_FLAG_NO_DISCONNECTION_SEEN, instant);",
    "state.begun = instant;",
  ],
  [
    "below-trigger-unflagged",
    "A voltage that fell away is not flagged.",
    "finish(PV_FLAG_BELOW_TRIGGER, instant);",
    "state.quiet = 0u;",
  ],
  [
    "gap-ignored",
    "Lost samples do not restart the synchronisation.",
    "synchronise(block->time_stamp);",
    "state.filled++;",
  ],
  [
    "short-history",
    "The history is too short for one period.",
    "#define HISTORY 1024u",
    "#define HISTORY 128u",
  ],
  [
    "crossing-one-line",
    "Both ends of a crossing use the upper level.",
    "size < limit->level - limit->margin",
    "size < limit->level + limit->margin",
  ],
  [
    "stale-edges",
    "A new start keeps the counts of the last crossing.",
    "state.edges[place][0] = (edge_t){0};",
    "state.edges[place][0].began = 0u;",
  ],
];

const IN_CONVERT: readonly Row[] = [
  [
    "round-to-zero",
    "Quotients below zero are rounded towards zero.",
    "        quotient--;",
    "        quotient -= 0;",
  ],
  ["always-down", "Nearest is treated as down.", "PV_ROUNDING_NEAREST) {", "99u) {"],
  [
    "short-product",
    "The product has 32 bits.",
    "sum * scale->multiplier +",
    "(int32_t)sum * scale->multiplier +",
  ],
  [
    "addend-once",
    "The addend is not scaled with the count.",
    "scale->addend * (int64_t)count",
    "scale->addend",
  ],
  [
    "shift-off-by-one",
    "The fraction has one bit too many.",
    "<< configuration->fraction_bits;",
    "<< (configuration->fraction_bits + 1u);",
  ],
];

function faultsIn(file: SourceFault["file"], rows: readonly Row[]): readonly SourceFault[] {
  return rows.map(([id, says, find, replace]) => ({ id, says, file, find, replace }));
}

/** Mistakes of the example firmware that the claims have to find. */
export const SOURCE_FAULTS: readonly SourceFault[] = [
  ...faultsIn("trigger.c", IN_TRIGGER),
  ...faultsIn("convert.c", IN_CONVERT),
];

/** The source with the fault in it; throws RangeError unless its text occurs exactly once. */
export function withFault(source: string, { id, find, replace }: SourceFault): string {
  const parts = source.split(find);
  if (parts.length !== 2)
    throw new RangeError(`the text of ${id} occurs ${parts.length - 1} times`);
  return parts.join(replace);
}
