import { defineConfig } from 'vitest/config';

/** The tests of the part that run.mjs is at. */
const { tests, without }: { tests: string[]; without?: string } = JSON.parse(
  process.env['MUTATION_TESTS'] ?? '{}',
);

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
