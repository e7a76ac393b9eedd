import { execFileSync, spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

/**
 * Tries survivors of a report once more by a plain run of the tests, writes what it finds into the report,
 * and gives the changes nothing noticed: `file:line: text`. Those that run while a module loads are always
 * tried: the mutation tool takes a test file that cannot even be loaded for one without a failure. `all`: the
 * others too, after better tests.
 */
export function confirmSurvivors(reportPath, { all }) {
  const report = JSON.parse(readFileSync(reportPath, 'utf8'));
  const home = mkdtempSync(join(tmpdir(), 'goodgate-mutation-'));
  const survivors = [];
  try {
    copySources(home);
    for (const [file, { source, mutants }] of Object.entries(report.files)) {
      if (readFileSync(file, 'utf8') !== source)
        throw new Error(`${file} is another than in ${reportPath}: run without --again`);
      for (const mutant of mutants) {
        if (mutant.status !== 'Survived' && mutant.status !== 'NoCoverage') continue;
        if ((all || mutant.static) && !passes(home, file, mutated(source, mutant), source))
          mutant.status = 'Killed';
        else survivors.push(`${file}:${mutant.location.start.line}: ${mutant.replacement}`);
      }
    }
  } finally {
    rmSync(home, { recursive: true, force: true });
  }
  writeFileSync(reportPath, JSON.stringify(report));
  return survivors;
}

/** Killed and all of each file of a report, in percent at the end. */
export function scores(reportPath) {
  const { files } = JSON.parse(readFileSync(reportPath, 'utf8'));
  return Object.entries(files).map(([file, { mutants }]) => {
    const counted = mutants.filter(({ status }) => status !== 'Ignored');
    const killed = counted.filter(({ status }) => status === 'Killed' || status === 'Timeout').length;
    return { file, killed, all: counted.length };
  });
}

function copySources(home) {
  const names = execFileSync('git', ['ls-files', '-co', '--exclude-standard', '-z'], { encoding: 'utf8' });
  for (const name of names.split('\0').filter(Boolean)) cpSync(name, join(home, name));
  for (const name of ['node_modules', 'dist']) symlinkSync(resolve(name), join(home, name));
}

function mutated(source, { location: { start, end }, replacement }) {
  const lines = source.split('\n');
  const offset = ({ line, column }) =>
    lines.slice(0, line - 1).reduce((sum, { length }) => sum + length + 1, 0) + column - 1;
  return source.slice(0, offset(start)) + replacement + source.slice(offset(end));
}

function passes(home, file, changed, source) {
  writeFileSync(join(home, file), changed);
  try {
    const args = [
      'node_modules/vitest/vitest.mjs',
      'run',
      '--config',
      'tests/mutation/vitest.config.ts',
      '--bail',
      '1',
    ];
    return spawnSync(process.execPath, args, { cwd: home, stdio: 'ignore', timeout: 600_000 }).status === 0;
  } finally {
    writeFileSync(join(home, file), source);
  }
}
