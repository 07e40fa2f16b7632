// Falsified by an assumed data model that is told as one that somebody declared.
import { expect, it } from "vitest";
import { targetLines } from "../../../lib/command/target-text.ts";

it("a data model that was only assumed is told as assumed, with how to declare another", () => {
  const manifest = { target: { int: 32, char: "signed" } } as const;
  expect(targetLines(manifest)[0]).toMatch(/signed char, as declared; the simulation has the same/);
  const [assumed] = targetLines(manifest, "assumed");
  expect(assumed).toMatch(
    /assumed: a manifest by `plumbvolt compile --int --char` declares another/,
  );
  expect(assumed).not.toContain("as declared");
});
