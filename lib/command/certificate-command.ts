import { readFile } from "node:fs/promises";
import type { Command } from "commander";
import { InvalidInputError } from "../errors.ts";
import type { Certificate } from "../guarantee/certificate.ts";
import { checkCertificate } from "../guarantee/check-certificate.ts";
import type { Terminal } from "./terminal.ts";

const FORMAT = "plumbvolt.certificate/1";

/** Reads a certificate, on its own or inside the JSON of a budget. */
async function readCertificate(path: string): Promise<Certificate> {
  const refuse = (received: string): InvalidInputError =>
    new InvalidInputError("certificate", [
      {
        path,
        quantity: "certificate file",
        permitted: `JSON with the format "${FORMAT}", or a budget that holds one`,
        received,
      },
    ]);
  let read: { format?: unknown; certificate?: { format?: unknown } };
  try {
    read = JSON.parse(await readFile(path, "utf8")) as typeof read;
  } catch (error) {
    throw refuse((error as Error).message);
  }
  const found = read.format === FORMAT ? read : read.certificate;
  if (found?.format !== FORMAT) throw refuse(`format ${JSON.stringify(read.format)}`);
  return found as unknown as Certificate;
}

/** Adds `check-certificate` to the program; the exit code goes to `finish`. */
export function addCertificateCommand(
  program: Command,
  terminal: Terminal,
  finish: (code: number) => void,
): void {
  program
    .command("check-certificate")
    .description("confirm the proven figures again, with arithmetic that shares no code")
    .argument("<file>", "certificate.json, or the JSON of a budget")
    .action(async (path: string) => {
      const certificate = await readCertificate(path);
      const { confirmed, bands, steps, refusals } = checkCertificate(certificate, (done, of) =>
        terminal.progress(`checking band ${done} of ${of}`),
      );
      terminal.progress("");
      for (const refusal of refusals) terminal.print(`not confirmed: ${refusal}`);
      const verdict = confirmed ? "confirmed" : "not confirmed";
      terminal.print(`${verdict}: ${bands} bands, ${steps} steps, design ${certificate.design}`);
      finish(confirmed ? 0 : 1);
    });
}
