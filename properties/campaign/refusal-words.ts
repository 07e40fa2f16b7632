import type { Configuration, Refusal } from "../../sim/firmware/port.ts";

type Members = readonly (keyof Configuration)[];

/** What a refusal is about: members of the configuration, and where of the design they come from. */
const ABOUT: Readonly<Record<Refusal, { readonly members: Members; readonly from?: string }>> = {
  portVersion: { members: ["port"] },
  sampleRate: { members: ["tickRate", "ticksPerSample"], from: "timing.sampleRate" },
  codeWidth: { members: ["codeBits", "trustedCodes"], from: "adc" },
  channels: { members: ["role", "channels"], from: "divider" },
  scale: { members: ["channels", "fractionBits", "rounding", "resultUnit"], from: "scaling" },
  triggerLevel: { members: ["triggerLevel", "resultUnit"], from: "the promise triggerLevel" },
  lines: { members: ["lines"], from: "requirements" },
  moments: { members: ["moments", "tickRate"], from: "conditions.instant" },
  window: { members: ["window", "windowPosition", "tickRate"], from: "timing.window" },
  mode: { members: ["mode"] },
  other: {
    members: ["tickRate", "ticksPerSample", "codeBits", "fractionBits", "inputLag", "window"],
    from: "the design as a whole",
  },
};

/** What the firmware was given where it refuses, and which part of the design that comes from. */
export function refusalWords(reason: Refusal, configuration: Configuration): string {
  const { members, from } = ABOUT[reason];
  const given = members.map((name) => `${name} = ${JSON.stringify(configuration[name])}`);
  return `it was given ${given.join(", ")}${from === undefined ? "" : `; from ${from}`}`;
}
