import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    // Threads run as built, from sources too.
    globalSetup: ['tests/build-first.ts'],
    setupFiles: ['tests/property-seed.ts'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    // Two cores: media tests start ffmpeg and worker threads of their own.
    maxWorkers: 2,
    pool: 'forks',
  },
});
