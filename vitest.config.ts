import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["properties/**/*.test.ts"],
    testTimeout: 60_000,
  },
});
