import type { BaseIssue } from "valibot";
import type { Fault } from "../errors.ts";

const ABSENT = "absent";

/** A fault of the schema and the place of the value it lies in. */
interface Placed {
  readonly issue: BaseIssue<unknown>;
  readonly within: readonly unknown[];
}

function keysOf(issue: BaseIssue<unknown>): readonly unknown[] {
  return (issue.path ?? []).map((item) => (item as { readonly key: unknown }).key);
}

function pathOf({ issue, within }: Placed): string {
  let path = "";
  for (const key of [...within, ...keysOf(issue)])
    path += typeof key === "number" ? `[${key}]` : path === "" ? String(key) : `.${String(key)}`;
  return path;
}

function hintOf(issue: BaseIssue<unknown>): { hint?: string } {
  if (issue.expected === "never") return { hint: "the field is not part of the format" };
  return {};
}

/** Faults of a failed union lie inside its branches, where these looked into the value. */
function faultsWithin(
  issue: BaseIssue<unknown>,
  within: readonly unknown[] = [],
): readonly Placed[] {
  const deep = (issue.issues ?? []).filter((inner) => (inner.path?.length ?? 0) > 0);
  if (deep.length === 0) return [{ issue, within }];
  const inside = [...within, ...keysOf(issue)];
  return deep.flatMap((inner) => faultsWithin(inner, inside));
}

/** The schema's own words where it has some; the library's begin with "Invalid". */
function permittedBy(issue: BaseIssue<unknown>): string {
  if (issue.expected === "never") return ABSENT;
  return issue.message.startsWith("Invalid") ? (issue.expected ?? issue.message) : issue.message;
}

function shapeFault(placed: Placed): Fault {
  const { issue } = placed;
  const received = issue.received.startsWith('"') ? issue.received : issue.received.toLowerCase();
  return {
    path: pathOf(placed),
    quantity: "field",
    permitted: permittedBy(issue),
    received: issue.kind === "validation" ? JSON.stringify(issue.input) : received,
    ...hintOf(issue),
  };
}

/** One fault for each place and reason: branches of a union often say the same. */
function withoutRepeats(faults: readonly Fault[]): Fault[] {
  const asked = new Set<string>();
  for (const { path, permitted } of faults) if (permitted !== ABSENT) asked.add(path);
  const told = new Set<string>();
  return faults.filter(({ path, permitted }) => {
    // What one branch does not know and another has a use for is no field too many.
    if (permitted === ABSENT && asked.has(path)) return false;
    const reason = JSON.stringify([path, permitted]);
    if (told.has(reason)) return false;
    told.add(reason);
    return true;
  });
}

/** The faults of a document whose shape is not that of its schema, each at its own place. */
export function shapeFaults(issues: readonly BaseIssue<unknown>[]): Fault[] {
  return withoutRepeats(issues.flatMap((issue) => faultsWithin(issue)).map(shapeFault));
}
