import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Command } from 'commander';
import { afterAll, describe, expect, it } from 'vitest';
import { helpOf } from '../../cli/help/command-help.js';
import { buildProgram } from '../../cli/program.js';
import { runCommand } from './run-command.js';

const program = await buildProgram([]);
const folder = mkdtempSync(join(tmpdir(), 'goodgate-help-'));
afterAll(() => rmSync(folder, { recursive: true }));

function helpText(command: Command): string {
  let text = '';
  command.configureOutput({ writeOut: (part) => (text += part) });
  command.outputHelp();
  return text;
}

describe.each(program.commands.map((command) => [command.name(), command] as const))(
  '%s --help',
  (name, command) => {
    const text = helpText(command);

    it('has no line over 80 columns', () => {
      for (const line of text.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
    });

    it('has examples that can be called, and its exit codes', () => {
      expect(text).toMatch(/\nExamples:\n {2}\S/);
      expect(text).toMatch(/\nExit codes:\n {2}0 +\S/);
      const help = helpOf(command);
      for (const [line] of help?.examples ?? []) {
        if (!line.startsWith('...')) expect(line).toContain(`goodgate ${name}`);
        const flags = line.split(/[|>]/)[0]?.match(/(?<= )--?[a-z][a-z-]*/g) ?? [];
        for (const flag of flags) {
          const known = command.options.some(({ short, long }) => flag === short || flag === long);
          expect(known, `${name}: ${flag}`).toBe(true);
        }
      }
    });

    it('has quiet, verbose and debug', () => {
      for (const flag of ['-q, --quiet', '-v, --verbose', '--debug']) expect(text).toContain(flag);
    });
  },
);

it('one letter is one option in all commands', () => {
  const letters = new Map<string, Set<string>>();
  for (const { short, long } of program.commands.flatMap(({ options }) => options)) {
    if (short && long) letters.set(short, (letters.get(short) ?? new Set()).add(long));
  }
  expect(letters.size).toBeGreaterThan(5);
  for (const [letter, names] of letters) expect([...names], letter).toHaveLength(1);
});

it.each([
  ['chek', 'check'],
  ['chek --help', 'check'],
  ['help chek', 'check'],
  ['help nonsense', null],
  ['constructor', null],
])('%s is a wrong request, not a help', async (line, nearest) => {
  await expect(buildProgram(line.split(' '))).rejects.toMatchObject({
    ...{ code: 'bad-option', family: 'request' },
    what: expect.stringMatching(
      nearest === null ? /^there is no command "\w+"$/ : `the nearest is ${nearest}`,
    ),
  });
});

it('--quiet silences what is told beside the data, and no problem', async () => {
  const cube = [
    'lut',
    '--from',
    'S-Log3',
    '--to',
    'bt709',
    '--size',
    '2',
    '--force',
    '-o',
    join(folder, 'a.cube'),
  ];
  expect((await runCommand(...cube)).err).toContain('cube: ');
  expect((await runCommand(...cube, '-q')).err).toBe('');
  const { out, err } = await runCommand(...cube, '--json', '--quiet');
  expect(JSON.parse(out)).toMatchObject({
    file: join(folder, 'a.cube'),
    points: 2,
    error: { exact: expect.any(Number) },
  });
  expect(err).toBe('');
});

describe('completion', () => {
  /** What bash offers for a line, with the script really loaded. */
  async function offered(...words: string[]): Promise<string[]> {
    const { out } = await runCommand('completion', 'bash');
    const script = join(folder, 'goodgate.bash');
    writeFileSync(script, out);
    const line = words.map((word) => `'${word}'`).join(' ');
    const probe = `compopt() { :; }; source ${script}; COMP_WORDS=(goodgate ${line}); COMP_CWORD=${words.length}; _goodgate; printf '%s\n' "\${COMPREPLY[@]}"`;
    return execFileSync('bash', ['-c', probe], { cwd: folder, encoding: 'utf8' }).trim().split('\n');
  }

  it('of bash offers commands, options, choices and targets', async () => {
    expect(await offered('')).toEqual(expect.arrayContaining(['scan', 'check', 'levels', 'completion']));
    expect(await offered('ch')).toEqual(['check']);
    expect(await offered('check', '--str')).toEqual(['--strict']);
    expect(await offered('check', '--format', '')).toEqual(['text', 'json', 'junit']);
    expect(await offered('run', 'a.yaml', '--target', 'uhd-')).toEqual([
      ...['uhd-hlg-master', 'uhd-pq-master', 'uhd-sdr-master'],
    ]);
    writeFileSync(join(folder, 'master.mov'), '');
    expect(await offered('check', 'mast')).toEqual(['master.mov']);
  });

  it.each(['bash', 'zsh', 'fish'])(
    'of %s holds every command and option, and is a script of that shell',
    async (shell) => {
      const { out } = await runCommand('completion', shell);
      for (const command of program.commands) {
        expect(out).toContain(command.name());
        for (const { long } of command.options) expect(out).toContain(long?.slice(2));
      }
      const path = join(folder, `script.${shell}`);
      writeFileSync(path, out);
      // Where this machine has the shell it has to take the script.
      const tried = spawnSync(shell, ['-n', path], { encoding: 'utf8' });
      if (tried.error === undefined) expect(tried.stderr).toBe('');
    },
  );
});

describe('the manual page', () => {
  it('is what the help says, and man reads it without a complaint', async ({ skip }) => {
    const { out } = await runCommand('man');
    for (const command of program.commands) {
      expect(out).toContain(`GOODGATE ${command.name().toUpperCase()}`);
      for (const { long } of command.options) expect(out).toContain((long ?? '').replaceAll('-', '\\-'));
    }
    const path = join(folder, 'goodgate.1');
    writeFileSync(path, out);
    const env = { ...process.env, MANWIDTH: '80', LC_ALL: 'C', MAN_KEEP_FORMATTING: '' };
    const read = spawnSync('man', ['--warnings', '-l', path], { encoding: 'utf8', env });
    skip(read.error !== undefined, 'there is no man here to read it');
    expect(read.stderr).toBe('');
    expect(read.stdout).toMatch(/NAME\n +goodgate - plan, make, measure/);
    expect(read.stdout).toContain('uhd-pq-master');
  });
});
