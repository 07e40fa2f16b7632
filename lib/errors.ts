/**
 * One fault in something a person handed over: where it stands, what stood there, what may stand there.
 */
export interface Fault {
  /** Place in the document, as `adc.bits` or `divider.upper[0].resistance`; empty for the whole. */
  readonly path: string;
  /** The quantity or field in the reader's words. */
  readonly quantity: string;
  /** What is allowed, as it follows "must be". */
  readonly permitted: string;
  /** What was found, with its unit. */
  readonly received: string;
  /** Why it is not allowed, or what to do instead. */
  readonly hint?: string;
}

/** One sentence for one fault: "<quantity> must be <permitted>, received <value> (<path>). Hint: ..." */
export function faultText(fault: Fault): string {
  const place = fault.path === "" ? "" : ` (${fault.path})`;
  const hint = fault.hint === undefined ? "" : `. Hint: ${fault.hint}`;
  return `${fault.quantity} must be ${fault.permitted}, received ${fault.received}${place}${hint}`;
}

/** Root of every error this package throws on purpose. */
export class PlumbvoltError extends Error {
  override name = "PlumbvoltError";
}

/** A document, model or option that cannot be used. Holds every fault found, not the first only. */
export class InvalidInputError extends PlumbvoltError {
  override name = "InvalidInputError";
  readonly subject: string;
  readonly faults: readonly Fault[];

  /** `subject` names what was read, as "design" or "scenario"; `faults` is not empty. */
  constructor(subject: string, faults: readonly Fault[]) {
    const count = faults.length === 1 ? "1 fault" : `${faults.length} faults`;
    super(`${subject}: ${count}\n${faults.map((fault) => `  - ${faultText(fault)}`).join("\n")}`);
    this.subject = subject;
    this.faults = faults;
  }
}

/** A value outside the domain on which a model or function is defined. */
export class OutsideDomainError extends PlumbvoltError {
  override name = "OutsideDomainError";
  readonly fault: Fault;

  constructor(fault: Fault) {
    super(faultText(fault));
    this.fault = fault;
  }
}

/** A bound that is not finite, because a divisor or the argument of a logarithm can reach zero. */
export class UnboundedResultError extends PlumbvoltError {
  override name = "UnboundedResultError";
  /** The operation whose operand reaches the forbidden value, in infix. */
  readonly operation: string;
  /** The part of the domain in which it happens: limits of the quantities that enter. */
  readonly box: Readonly<Record<string, readonly [number, number]>>;

  constructor(operation: string, box: Readonly<Record<string, readonly [number, number]>>) {
    const limits = Object.entries(box)
      .slice(0, 6)
      .map(([name, [lower, upper]]) => `${name} in [${lower}, ${upper}]`)
      .join(", ");
    super(
      `the bound must be finite, received an operand that can reach a forbidden value in ${operation}` +
        (limits === "" ? "" : ` for ${limits}`) +
        ". Hint: narrow the limits of the quantities named",
    );
    this.operation = operation;
    this.box = box;
  }
}

/** No guarantee can be given; says where and because of which quantity. */
export class NoGuaranteeError extends PlumbvoltError {
  override name = "NoGuaranteeError";
  /** Volts at the pins. */
  readonly voltage: number;
  readonly limitingQuantity: string;

  constructor(facts: { voltage: number; limitingQuantity: string; reason: string }) {
    super(
      `no guarantee is possible at ${facts.voltage} V: ${facts.reason} (limited by ${facts.limitingQuantity})`,
    );
    this.voltage = facts.voltage;
    this.limitingQuantity = facts.limitingQuantity;
  }
}

/** A fault of this package, never of its user. */
export class InvariantBrokenError extends PlumbvoltError {
  override name = "InvariantBrokenError";
}

/** Throws {@link InvariantBrokenError} unless the condition holds. */
export function invariant(condition: boolean, sentence: string): asserts condition {
  if (!condition) throw new InvariantBrokenError(`invariant broken: ${sentence}`);
}
