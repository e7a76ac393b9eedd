import { readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import type { Command } from 'commander';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { buildProgram } from '../cli/program.js';
import { jsonSchema } from '../jobs/documents/json-schemas.js';
import { ERROR_CODES } from '../jobs/errors.js';
import { manifest } from '../jobs/manifest/manifest.js';
import { builtInTargets } from '../jobs/targets/load-target.js';
import { waivers } from '../jobs/verdict/waivers.js';

/** The rules of the house that a compiler does not keep. */
const HOME = resolve(dirname(new URL(import.meta.url).pathname), '..');
const ROOMS = ['signal', 'jobs', 'planner', 'workers', 'cli'] as const;

/** Which rooms each room may import from. Planner and workers never meet. */
const ALLOWED: Readonly<Record<(typeof ROOMS)[number], readonly string[]>> = {
  signal: ['signal'],
  jobs: ['jobs', 'signal'],
  planner: ['planner', 'jobs', 'signal'],
  workers: ['workers', 'jobs', 'signal'],
  cli: ['cli', 'planner', 'workers', 'jobs', 'signal'],
};

function sources(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    if (statSync(path).isDirectory()) return sources(path);
    return name.endsWith('.ts') ? [path] : [];
  });
}

function importsOf(file: string): string[] {
  const text = readFileSync(file, 'utf8');
  return [...text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].flatMap((match) => match[1] ?? []);
}

/** The sources of ours that a file imports; those of the kernel are imported without an ending. */
function localImports(file: string, files: readonly string[]): string[] {
  return importsOf(file).flatMap((specifier) => {
    if (!specifier.startsWith('.')) return [];
    const path = `${resolve(dirname(file), specifier).replace(/\.js$/, '')}.ts`;
    return files.includes(path) ? [path] : [];
  });
}

/** Circles of imports, each from one of its files round to the same one. Every file is gone into once. */
function circles(imports: ReadonlyMap<string, readonly string[]>): string[][] {
  const found: string[][] = [];
  const done = new Set<string>();
  const visit = (file: string, way: readonly string[]): void => {
    const begun = way.indexOf(file);
    if (begun >= 0) found.push([...way.slice(begun), file]);
    if (begun >= 0 || done.has(file)) return;
    for (const next of imports.get(file) ?? []) visit(next, [...way, file]);
    done.add(file);
  };
  for (const file of imports.keys()) visit(file, []);
  return found;
}

/** Every breach of the import rule in a set of files. */
function breaches(room: (typeof ROOMS)[number], file: string, imports: readonly string[]): string[] {
  return imports.flatMap((specifier) => {
    const where = `${relative(HOME, file)} imports ${specifier}`;
    if (specifier.startsWith('.')) {
      const into = relative(HOME, resolve(dirname(file), specifier)).split('/')[0] ?? '';
      return ALLOWED[room].includes(into) ? [] : [where];
    }
    // The maths of a signal stands on nothing, not even on Node.
    return room === 'signal' ? [where] : [];
  });
}

describe('imports point one way', () => {
  it.each(ROOMS)('%s', (room) => {
    const found = sources(join(HOME, room)).flatMap((file) => breaches(room, file, importsOf(file)));
    expect(found).toEqual([]);
  });

  it('would notice a breach', () => {
    const file = join(HOME, 'planner', 'x.ts');
    expect(breaches('planner', file, ['../workers/roots.js'])).toHaveLength(1);
    // The oracle of the kernel is slow: tests and bench alone run it.
    const kernel = join(HOME, 'workers', 'measure', 'picture', 'kernel', 'x.ts');
    expect(breaches('workers', kernel, ['../../../../tests/oracle/scalar-kernel.js'])).toHaveLength(1);
    expect(
      breaches('signal', join(HOME, 'signal', 'x.ts'), ['node:fs', 'zod', '../jobs/plan/plan.js']),
    ).toHaveLength(3);
  });

  it('none go in a circle, those of types included', () => {
    const files = ROOMS.flatMap((room) => sources(join(HOME, room)));
    const imports = new Map(files.map((file) => [file, localImports(file, files)]));
    expect(circles(imports).map((circle) => circle.map((file) => relative(HOME, file)))).toEqual([]);
  });

  it('would notice a circle', () => {
    const imports = new Map([
      ['a', ['b']],
      ['b', ['c', 'd']],
      ['c', ['b']],
      ['d', []],
      ['e', ['a', 'e']],
    ]);
    expect(circles(imports)).toEqual([
      ['b', 'c', 'b'],
      ['e', 'e'],
    ]);
  });

  it('ffmpeg is started in one file only', () => {
    const found = ROOMS.flatMap((room) => sources(join(HOME, room)))
      .filter((file) => importsOf(file).includes('fluent-ffmpeg'))
      .map((file) => relative(HOME, file));
    expect(found).toEqual(['workers/ffmpeg/run-ffmpeg.ts']);
  });

  it('the environment is read in one file only, and handed on to ffmpeg in one', () => {
    const found = ROOMS.flatMap((room) => sources(join(HOME, room)))
      .filter((file) => readFileSync(file, 'utf8').includes('process.env'))
      .map((file) => relative(HOME, file));
    expect(found).toEqual(['workers/ffmpeg/run-ffmpeg.ts', 'cli/environment.ts']);
  });
});

describe('files say one thing', () => {
  const files = ROOMS.flatMap((room) => sources(join(HOME, room)));

  it('none is a drawer or a barrel', () => {
    const drawers = files.filter((file) => /\/(utils?|helpers?|common|types|misc|index)\.ts$/.test(file));
    expect(drawers).toEqual([]);
    const barrels = files.filter((file) => {
      const lines = readFileSync(file, 'utf8')
        .split('\n')
        .filter((line) => line.trim() !== '' && !line.startsWith('//'));
      return lines.length > 0 && lines.every((line) => /^export .* from /.test(line));
    });
    expect(barrels).toEqual([]);
  });

  it('no line of a comment is longer than a line of code: 110 columns', () => {
    const long = [...files, ...sources(join(HOME, 'tests'))].flatMap((file) =>
      readFileSync(file, 'utf8')
        .split('\n')
        .flatMap((line, index) =>
          line.length > 110 && /^\s*(\/\/|\/?\*)/.test(line) && !line.includes('biome-ignore')
            ? [`${relative(HOME, file)}:${index + 1}`]
            : [],
        ),
    );
    expect(long).toEqual([]);
  });

  it('no folder holds more than 25 of them', () => {
    const folders = new Map<string, number>();
    for (const file of files) {
      const folder = relative(HOME, dirname(file));
      folders.set(folder, (folders.get(folder) ?? 0) + 1);
    }
    expect([...folders].filter(([, count]) => count > 25)).toEqual([]);
  });

  it('none grows past 400 lines', () => {
    const long = files
      .map((file) => ({ file: relative(HOME, file), lines: readFileSync(file, 'utf8').split('\n').length }))
      .filter(({ lines }) => lines > 400);
    expect(long).toEqual([]);
  });
});

describe('documents and code agree', () => {
  it('every error code stands in the table of docs/failures.md with its family', () => {
    const failures = readFileSync(join(HOME, 'docs', 'failures.md'), 'utf8');
    for (const [code, family] of Object.entries(ERROR_CODES)) {
      expect(failures, code).toMatch(new RegExp(`\\| \`${code}\` +\\| ${family} `));
    }
  });

  it('every dependency has its line in docs/dependencies.md', () => {
    const dependencies = readFileSync(join(HOME, 'docs', 'dependencies.md'), 'utf8');
    const manifest: unknown = JSON.parse(readFileSync(join(HOME, 'package.json'), 'utf8'));
    const names = Object.entries(manifest as Record<string, Record<string, string>>)
      .filter(([key]) => key === 'dependencies' || key === 'devDependencies')
      .flatMap(([, all]) => Object.keys(all));
    for (const name of names) expect(dependencies, name).toContain(`\`${name}\``);
  });

  it('every link of the documents into the code and to each other leads somewhere', () => {
    const pages = readdirSync(join(HOME, 'docs')).filter((name) => name.endsWith('.md'));
    for (const document of ['README.md', 'DEVELOPERS.md', ...pages.map((name) => join('docs', name))]) {
      const text = readFileSync(join(HOME, document), 'utf8');
      for (const match of text.matchAll(/\]\((?!https?:|#)([^)#]+)[^)]*\)/g)) {
        const path = join(HOME, dirname(document), match[1] ?? '');
        expect(() => statSync(path), `${document}: ${match[1]}`).not.toThrow();
      }
    }
  });
});

/** Fenced blocks of a Markdown text in one language. */
function blocks(text: string, language: string): string[] {
  return [...text.matchAll(new RegExp(`^\`\`\`${language}\\n(.*?)^\`\`\`$`, 'gms'))].map(
    (match) => match[1] ?? '',
  );
}

/**
 * The arguments of every call of goodgate in a shell text, however it is called; comments and redirections
 * left out.
 */
function calls(shell: string): string[][] {
  const CALL =
    /(?:^|run: |^ +- |sh ')(?:goodgate|npx goodgate|node dist\/cli\/main\.js|docker compose run --rm worker) ([^#>\n]*)/gm;
  return [...shell.matchAll(CALL)].map((match) => (match[1] ?? '').trim().split(/\s+/));
}

/**
 * What is wrong with a call: a command or an option that does not exist, a target that is neither built in
 * nor a path.
 */
function faults([name, ...args]: readonly string[], program: Command, targets: readonly string[]): string[] {
  const command = program.commands.find((known) => known.name() === name);
  if (command === undefined) return [`no command ${name}`];
  return args.flatMap((argument, index) => {
    const before = args[index - 1];
    const isTarget = before === '--target' || before === '-t';
    if (isTarget && !targets.includes(argument) && !argument.startsWith('./'))
      return [`no target ${argument}`];
    const isOption = /^--?[a-z]/.test(argument);
    const known = command.options.some(({ long, short }) => argument === long || argument === short);
    return isOption && !known ? [`${name} has no ${argument}`] : [];
  });
}

/** The README and the pages it sends its readers to. */
const GUIDES = ['README.md', ...['cards', 'facility', 'ci', 'targets'].map((name) => `docs/${name}.md`)];

describe('the README can be followed', async () => {
  const readme = GUIDES.map((path) => readFileSync(join(HOME, path), 'utf8')).join('\n');
  const program = await buildProgram([]);
  const targets = (await builtInTargets()).map(({ name }) => name);
  const yaml = blocks(readme, 'yaml');

  it('its commands, options and targets exist', () => {
    const found = [...blocks(readme, 'sh'), ...blocks(readme, 'groovy'), ...yaml].flatMap(calls);
    expect(found.length).toBeGreaterThan(15);
    expect(found.flatMap((call) => faults(call, program, targets))).toEqual([]);
  });

  it('would notice one that does not', () => {
    const [call = []] = calls('goodgate check a.mov --target uhd-pq --formt junit > x   # text');
    expect(faults(call, program, targets)).toEqual(['no target uhd-pq', 'check has no --formt']);
    expect(faults(['chek'], program, targets)).toEqual(['no command chek']);
  });

  it('its documents are what the program takes', () => {
    const documents = yaml.map((text): unknown => parse(text));
    const named = (name: string) =>
      documents.filter(
        (document) => z.object({ schema: z.literal(`goodgate/${name}@1`) }).safeParse(document).success,
      );
    expect(named('manifest')).toHaveLength(1);
    for (const document of named('manifest')) expect(manifest.safeParse(document).error).toBeUndefined();
    const extending = jsonSchema('target').then;
    if (typeof extending !== 'object' || extending === null) throw new Error('no schema');
    expect(named('waivers')).toHaveLength(1);
    for (const document of named('waivers')) expect(waivers.safeParse(document).error).toBeUndefined();
    expect(named('target')).toHaveLength(1);
    for (const document of named('target')) {
      expect(z.fromJSONSchema({ ...extending }).safeParse(document).error).toBeUndefined();
    }
  });

  it('it names every built-in target and every variable the program reads', () => {
    for (const name of targets) expect(readme, name).toContain(`\`${name}\``);
    const environment = readFileSync(join(HOME, 'cli', 'environment.ts'), 'utf8');
    const variables = [...environment.matchAll(/\benv\.([A-Z_]+)/g)].map((match) => match[1] ?? '');
    expect(variables.length).toBeGreaterThan(4);
    for (const name of variables) expect(readme, name).toContain(name);
  });
});
