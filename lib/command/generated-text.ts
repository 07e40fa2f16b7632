import type { GeneratedOutcome, GeneratedTable } from "../../properties/faults/generated-table.ts";
import { printableText } from "../report/printable-text.ts";
import { textTable, wrappedText } from "../report/text-table.ts";
import type { TextColumn } from "../report/text-table.ts";

/** Generated faults of one kind, or of one source, counted. */
interface Count {
  readonly name: string;
  readonly faults: readonly GeneratedOutcome[];
}

function countOf(outcome: GeneratedOutcome["outcome"]): (row: Count) => string {
  return ({ faults }) => String(faults.filter((fault) => fault.outcome === outcome).length);
}

function columns(head: string): readonly TextColumn<Count>[] {
  return [
    { head: [head], align: "left", cell: ({ name }) => printableText(name) },
    { head: ["faults"], align: "right", cell: ({ faults }) => String(faults.length) },
    { head: ["noticed"], align: "right", cell: countOf("caught") },
    { head: ["reasoned"], align: "right", cell: countOf("accepted") },
    { head: ["same module"], align: "right", cell: countOf("equivalent") },
    { head: ["survive"], align: "right", cell: countOf("survives") },
  ];
}

function counts(
  faults: readonly GeneratedOutcome[],
  nameOf: (fault: GeneratedOutcome) => string,
): Count[] {
  const names = [...new Set(faults.map(nameOf))].toSorted();
  return names.map((name) => ({ name, faults: faults.filter((fault) => nameOf(fault) === name) }));
}

/** Generated faults as text: counted by kind and by source, and what survives line by line. */
export function generatedText(table: GeneratedTable, width: number): readonly string[] {
  const { faults, notBuilt, refused, stale } = table;
  const wrap = (text: string): readonly string[] =>
    wrappedText(printableText(text), { width, indent: 4 });
  const of = (outcome: GeneratedOutcome["outcome"]): readonly GeneratedOutcome[] =>
    faults.filter((fault) => fault.outcome === outcome);
  const survivors = of("survives");
  const accepted = of("accepted");
  return [
    "Generated from the text of the sources:",
    ...textTable(
      columns("change"),
      counts(faults, ({ operator }) => operator),
      width,
    ),
    "",
    ...textTable(
      columns("source"),
      counts(faults, ({ file }) => file),
      width,
    ),
    "",
    ...(accepted.length === 0 ? [] : ["Nothing notices these, for a written reason:"]),
    ...accepted.flatMap(({ says, accepted: why }) => wrap(`  ${says}: ${why}`)),
    ...(survivors.length === 0 ? [] : ["NOTHING NOTICES THESE, and no reason is written:"]),
    ...survivors.flatMap(({ id, says }) => wrap(`  ${says} (${id})`)),
    ...(notBuilt.length === 0 ? [] : ["Lines without a fault that can be built:"]),
    ...notBuilt.flatMap(({ file, line, because }) => wrap(`  ${file}:${line}: ${because}`)),
    ...(stale.length === 0 ? [] : ["Written reasons that are for nothing:"]),
    ...stale.flatMap(({ file, within, line, becomes, why }) =>
      wrap(`  ${file}, ${within}, \`${line}\` with \`${becomes}\`: ${why}`),
    ),
    ...wrap(
      `${of("caught").length} of ${faults.length - of("equivalent").length} generated faults ` +
        `are noticed, ${accepted.length} survive for a written reason, ${survivors.length} ` +
        `without; ${of("equivalent").length} more change nothing in the module, and the ` +
        `compiler refuses ${refused}.`,
    ),
    "",
  ];
}
