import { defineConfig } from 'vitest/config';
import { LongestFirst } from './tests/longest-first.js';

/**
 * The two halves of the suite are told apart by their names: what is called `*.long.test.ts` is run by
 * `npm run test:long`, everything else by `npm test`. A part of the suite, as in `npx vitest run tests/planner`,
 * is run with both.
 */
const LONG = 'tests/**/*.long.test.ts';

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
      { extends: true, test: { name: 'pure', include: SHARED, exclude: [LONG], isolate: false } },
      { extends: true, test: { name: 'rest', include: ['tests/**/*.test.ts'], exclude: [LONG, ...SHARED] } },
      { extends: true, test: { name: 'long', include: [LONG] } },
    ],
  },
});
