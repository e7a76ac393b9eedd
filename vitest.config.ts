import { defineConfig } from 'vitest/config';
import { LongestFirst } from './tests/longest-first.js';

/**
 * Pure tests in many small files: they share a process, since loading the schemas anew for each takes ten times
 * as long.
 */
const SHARED = [
  'jobs/!(queue)',
  'planner',
  'signal',
  'workers/judge',
  'workers/measure/picture',
  'workers/report',
].map((folder) => `tests/${folder}/**/*.test.ts`);

export default defineConfig({
  test: {
    // Threads run as built, from sources too.
    globalSetup: ['tests/build-first.ts'],
    setupFiles: ['tests/property-seed.ts'],
    testTimeout: 180_000,
    hookTimeout: 120_000,
    // Two cores: media tests start ffmpeg and worker threads of their own.
    maxWorkers: 2,
    pool: 'forks',
    sequence: { sequencer: LongestFirst },
    projects: [
      { extends: true, test: { name: 'pure', include: SHARED, isolate: false } },
      { extends: true, test: { name: 'rest', include: ['tests/**/*.test.ts'], exclude: SHARED } },
    ],
  },
});
