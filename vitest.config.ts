import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["test/**/*.test.ts"],
    setupFiles: ["test/support/draw.ts"],
    testTimeout: 120_000,
    hookTimeout: 120_000,
    // Modules are loaded once for each worker: half of the time went into loading them for every file.
    isolate: false,
    maxWorkers: 2,
  },
});
