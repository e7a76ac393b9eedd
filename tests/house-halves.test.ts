import { readdirSync, readFileSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { execa } from 'execa';
import { expect, it } from 'vitest';
import { z } from 'zod';

/** The suite has two halves, `npm test` and `npm run test:long`: nothing is lost between them. */
const HOME = resolve(import.meta.dirname, '..');
const scripts = z
  .object({ scripts: z.object({ test: z.string(), 'test:long': z.string() }) })
  .parse(JSON.parse(readFileSync(join(HOME, 'package.json'), 'utf8'))).scripts;

/** The files that a script would run, as the runner itself lists them. */
async function filesOf(script: string): Promise<string[]> {
  const [, chosen] = /vitest run(.*)$/.exec(script) ?? [];
  if (chosen === undefined) throw new Error(`no tests are run by: ${script}`);
  const runner = join(HOME, 'node_modules', '.bin', 'vitest');
  const options = ['list', '--filesOnly', '--json', ...chosen.trim().split(/ +/)];
  const { stdout } = await execa(runner, options, { cwd: HOME, stdin: 'ignore' });
  const listed = z.array(z.object({ file: z.string() })).parse(JSON.parse(stdout));
  return listed.map(({ file }) => relative(HOME, file));
}

it('every test file is in one of them, and in no two', async () => {
  const there = readdirSync(join(HOME, 'tests'), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.test.ts'))
    .map((name) => join('tests', name));
  const short = await filesOf(scripts.test);
  const long = await filesOf(scripts['test:long']);
  expect([...short, ...long].sort()).toEqual(there.sort());
  // The name of a file says which.
  expect(long.filter((file) => !file.endsWith('.long.test.ts'))).toEqual([]);
  expect(short.filter((file) => file.endsWith('.long.test.ts'))).toEqual([]);
});

it('CI runs both, and the README names both', () => {
  for (const document of ['.ci/run', 'README.md'])
    for (const command of ['npm test', 'npm run test:long'])
      expect(readFileSync(join(HOME, document), 'utf8'), document).toContain(command);
});
