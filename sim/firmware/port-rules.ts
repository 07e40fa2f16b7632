import { MOST_LINES, MOST_MOMENTS, PORT_VERSION, REFUSALS } from "./port.ts";
import type { Configuration, Refusal, StartOutcome } from "./port.ts";

const ROLE_CHANNELS = { single: 1, perPin: 2, ranges: 2 } as const;

function isRising(values: readonly number[]): boolean {
  return values.every((value, index) => index === 0 || value > values[index - 1]!);
}

/**
 * The rule of the port that a configuration breaks, as firmware has to refuse it; undefined where
 * it breaks none. Firmware may have limits of its own beyond these.
 */
export function brokenRule(configuration: Configuration): Refusal | undefined {
  const { channels, lines, moments, trustedCodes } = configuration;
  const rules: readonly (readonly [Refusal, boolean])[] = [
    ["portVersion", configuration.port.major === PORT_VERSION.major],
    ["sampleRate", configuration.tickRate > 0 && configuration.ticksPerSample > 0],
    ["codeWidth", configuration.codeBits > 0 && trustedCodes[0] <= trustedCodes[1]],
    ["channels", channels.length === ROLE_CHANNELS[configuration.role]],
    ["scale", channels.every(({ multiplier }) => multiplier > 0)],
    ["triggerLevel", configuration.triggerLevel > 0],
    [
      "lines",
      lines.length <= MOST_LINES && lines.every(({ level, margin }) => level > 0 && margin >= 0),
    ],
    ["moments", moments.length > 0 && moments.length <= MOST_MOMENTS && isRising(moments)],
  ];
  return rules.find(([, isKept]) => !isKept)?.[0];
}

/** The answer of firmware that refuses a configuration. */
export function refused(reason: Refusal): StartOutcome {
  return { kind: "refused", reason, code: REFUSALS.indexOf(reason) };
}
