import { writeFileSync } from 'node:fs';
import { defineConfig } from 'vitest/config';

/** The tests of the part that run.mjs is at. */
const { tests, without }: { tests: string[]; without?: string } = JSON.parse(
  process.env['MUTATION_TESTS'] ?? '{}',
);

// The mutation tool's set-up names a source map that it does not bring: a failure whose stack leads there
// ended the run.
writeFileSync('stryker-setup.js.map', JSON.stringify({ version: 3, sources: [], names: [], mappings: '' }));

export default defineConfig({
  test: {
    include: tests,
    isolate: false,
    ...(without === undefined ? {} : { testNamePattern: new RegExp(`^(?!.*${without})`) }),
    setupFiles: ['tests/property-seed.ts'],
    // Changed code counts where it comes by, and is slow.
    testTimeout: 600_000,
    hookTimeout: 600_000,
  },
});
