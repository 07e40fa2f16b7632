import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["properties/**/*.test.ts"],
    setupFiles: ["properties/support/setup.ts"],
    testTimeout: 120_000,
  },
});
