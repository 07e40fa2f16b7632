import { defineConfig } from "vitest/config";

/** The checks of pages in a real browser, apart from those that need Node alone. */
export default defineConfig({
  test: {
    include: ["properties/browser/*.ts"],
    testTimeout: 120_000,
    hookTimeout: 120_000,
  },
});
