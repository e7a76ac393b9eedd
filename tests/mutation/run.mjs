import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { Stryker } from '@stryker-mutator/core';
import { confirmSurvivors, scores } from './confirm.mjs';
import { PARTS } from './parts.mjs';
import { sampleLines } from './sample.mjs';

/**
 * `npm run mutation -- [--again] [--sample LINES [--seed N]] PART... [FILE.ts...]` changes one operator,
 * condition, block or text at a time in a copy of the sources, and tells which changes no test noticed: in
 * all files of the parts, or in those named; of a sample, in so many lines of them. Reports are written to
 * coverage/mutation; `--again` tries only what survived in the last one. Numbers in a formula are not changed
 * by this tool.
 */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { again: { type: 'boolean' }, sample: { type: 'string' }, seed: { type: 'string', default: '1' } },
});
const { again = false } = values;
const lines = values.sample === undefined ? null : Number(values.sample);
const files = positionals.filter((name) => name.endsWith('.ts'));
const parts = positionals.filter((name) => !name.endsWith('.ts'));
const unknown = parts.filter((name) => !Object.hasOwn(PARTS, name));
if (parts.length === 0 || unknown.length > 0 || (lines !== null && !(lines >= 1))) {
  console.error(
    `npm run mutation -- [--again] [--sample LINES [--seed N]] PART... [FILE.ts...]; the parts: ${Object.keys(
      PARTS,
    ).join(', ')}`,
  );
  process.exit(2);
}
for (const name of parts) {
  const { mutate, ...tests } = PARTS[name];
  const report = `coverage/mutation/${name.replaceAll('/', '-')}.json`;
  process.env.MUTATION_TESTS = JSON.stringify(tests);
  const whole = files.length > 0 ? files : mutate;
  const places = lines === null ? whole : sampleLines(whole, lines, Number(values.seed));
  if (!again) await new Stryker(optionsOf(places, report)).runMutationTest();
  console.log(['', `${name}: no test noticed`, ...confirmSurvivors(report, { all: again }), ''].join('\n'));
  const rows = scores(report).filter(({ all }) => all > 0);
  const sum = (key) => rows.reduce((total, row) => total + row[key], 0);
  for (const { file, killed, all } of [...rows, { file: name, killed: sum('killed'), all: sum('all') }]) {
    console.log(`${file}: ${killed} of ${all}, ${((100 * killed) / all).toFixed(1)} %`);
  }
}

function optionsOf(mutate, report) {
  return {
    mutate,
    testRunner: 'vitest',
    plugins: ['@stryker-mutator/vitest-runner'],
    vitest: { configFile: 'tests/mutation/vitest.config.ts', related: false },
    coverageAnalysis: 'perTest',
    concurrency: 1,
    // A change that never ends counts as noticed; on a busy machine one that is slow must not.
    timeoutMS: 60_000,
    timeoutFactor: 5,
    // dist is needed: tests run the built kernel.
    ignorePatterns: ['demo-out', 'coverage'],
    tempDirName: join(tmpdir(), 'goodgate-mutation'),
    tsconfigFile: 'none',
    reporters: ['progress-append-only', 'json'],
    jsonReporter: { fileName: report },
  };
}
