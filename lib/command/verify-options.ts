import { availableParallelism } from "node:os";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { Shard } from "../../properties/campaign/campaign-record.ts";
import { LANES } from "../../properties/campaign/plan.ts";
import type { Lane } from "../../properties/campaign/plan.ts";
import type { BaselineFlags } from "./baseline-file.ts";

/** Flags of `verify` as they stand on the line. */
export interface VerifyFlags extends BaselineFlags {
  readonly firmware: readonly string[];
  readonly runs?: string;
  readonly seed?: string;
  readonly claims?: string;
  readonly lane?: string;
  readonly workers?: string;
  readonly shard?: string;
  readonly out?: string;
  readonly anew?: boolean;
  readonly promises?: string;
  readonly json?: boolean;
}

/** How a campaign is asked for. */
export interface VerifyOptions {
  readonly runs: number;
  readonly seed: number;
  readonly claims?: readonly string[];
  readonly lane: Lane;
  readonly workers: number;
  /** Part of the blocks, from 1. */
  readonly shard?: Shard;
}

export const USUAL_SEED = 20_261_125;
const USUAL_RUNS: Readonly<Record<Lane, number>> = { gate: 1_000, nightly: 5_000, release: 10_000 };
export const MOST_WORKERS = 64;
const MOST_SHARDS = 1_000;

/** Reads whole numbers from flags and gathers what is wrong with them. */
export class FlagReader {
  readonly faults: Fault[] = [];

  whole(path: string, text: string | undefined, range: readonly [number, number]): number {
    const [least, most] = range;
    const value = Number(text);
    if (/^\d+$/.test(text ?? "") && value >= least && value <= most) return value;
    const permitted = `an integer from ${least} to ${most}`;
    const received = JSON.stringify(text ?? "");
    this.faults.push({ path, quantity: path.slice(2), permitted, received });
    return least;
  }

  /** A part of a whole, as 2/3. */
  shard(text: string): Shard {
    const match = /^(\d{1,4})\/(\d{1,4})$/.exec(text);
    const [part, of] = [Number(match?.[1]), Number(match?.[2])];
    if (part >= 1 && part <= of && of <= MOST_SHARDS) return { part, of };
    const permitted = `i/n with i from 1 to n and n up to ${MOST_SHARDS}, as 2/3`;
    const received = JSON.stringify(text);
    this.faults.push({ path: "--shard", quantity: "shard", permitted, received });
    return { part: 1, of: 1 };
  }
}

/** Reads the flags of `verify`. Throws InvalidInputError with every fault. */
export function readVerifyOptions(flags: VerifyFlags): VerifyOptions {
  const reader = new FlagReader();
  const lane = LANES.find((one) => one === (flags.lane ?? "gate"));
  if (lane === undefined) {
    const permitted = `one of ${LANES.join(", ")}`;
    const received = JSON.stringify(flags.lane);
    reader.faults.push({ path: "--lane", quantity: "lane", permitted, received });
  }
  const runs = flags.runs ?? String(USUAL_RUNS[lane ?? "gate"]);
  const workers = flags.workers ?? String(Math.min(availableParallelism(), MOST_WORKERS));
  const shard = flags.shard === undefined ? undefined : reader.shard(flags.shard);
  const options = {
    runs: reader.whole("--runs", runs, [1, 10_000_000]),
    seed: reader.whole("--seed", flags.seed ?? String(USUAL_SEED), [0, Number.MAX_SAFE_INTEGER]),
    lane: lane ?? "gate",
    workers: reader.whole("--workers", workers, [1, MOST_WORKERS]),
    ...(flags.claims === undefined ? {} : { claims: flags.claims.split(",") }),
    ...(shard === undefined ? {} : { shard }),
  };
  if (reader.faults.length > 0) throw new InvalidInputError("options", reader.faults);
  return options;
}
