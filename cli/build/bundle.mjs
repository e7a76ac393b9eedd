// Puts the program into few files, dist/bundle: Node takes longer to load its eight hundred modules one by
// one than a short command takes to work. What starts by itself (the command line, the demo, the guard, the
// threads) keeps its place in dist, from where it loads its bundle. The modules beside it stay as compiled,
// for tests and bench.
import { chmodSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join, posix } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const HOME = fileURLToPath(new URL('../..', import.meta.url));
const BUNDLE = join(HOME, 'dist', 'bundle');
const PROGRAMS = ['cli/main', 'cli/demo', 'workers/children/guard-process'];
const THREADS = [
  'workers/measure/reading/picture-thread',
  'workers/measure/reading/sound-thread',
  'workers/measure/reading/frame-reader-thread',
  'workers/report/stills/still-thread',
  'workers/compare/pairs/compare-thread',
];

/** Packages written for `require` find it, and where they lie, in a bundle of ES modules too. */
const FOR_REQUIRE = `import { createRequire as $createRequire } from 'node:module';
import { fileURLToPath as $fileURLToPath } from 'node:url';
const require = $createRequire(import.meta.url);
const __filename = $fileURLToPath(import.meta.url);
const __dirname = $fileURLToPath(new URL('.', import.meta.url));
`;

/** Where each module finds what lies beside it: in dist, as if it ran there, wherever its code is bundled. */
const inPlace = {
  name: 'in-place',
  setup({ onLoad }) {
    onLoad({ filter: /\.ts$/ }, ({ path }) => {
      const module = posix.relative(HOME, path);
      if (module.startsWith('..') || module.includes('node_modules')) return undefined;
      const source = readFileSync(path, 'utf8');
      const own = `new URL('../${module.replace(/\.ts$/, '.js')}', import.meta.url).href`;
      const contents = (module === REQUIREMENTS ? withAll(source) : source).replaceAll(
        /^(?![ \t]*(?:\/\/|\*|\/\*)).*$/gm,
        (line) => line.replaceAll('import.meta.url', own),
      );
      return { contents, loader: 'ts' };
    });
  },
};

/** Loads a file for each requirement by its name, which no bundler can foresee: here they are loaded all. */
const REQUIREMENTS = 'workers/judge/requirements.ts';
const BY_NAME = 'await import(new URL(file, import.meta.url).href)';

function withAll(source) {
  const folder = join(HOME, dirname(REQUIREMENTS));
  const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((file) =>
    /^[\w-]+\/[\w-]+\.ts$/.test(file),
  );
  const [before, after, ...more] = source.split(BY_NAME);
  if (after === undefined || more.length > 0)
    throw new Error(`${REQUIREMENTS}: ${BY_NAME} is not there once`);
  const loaded = files.map((file, index) => `import * as $${index} from './${file}';`);
  const table = files.map((file, index) => `'./${file.replace(/\.ts$/, '.js')}': $${index},`);
  return `${loaded.join('')}const $FILES = {${table.join('')}};${before}$FILES[file] ?? {}${after}`;
}

/** Named by their contents: a program that runs while another build is made still finds its own, for a day. */
const { metafile } = await build({
  absWorkingDir: HOME,
  entryPoints: [...PROGRAMS, ...THREADS].map((name) => `${name}.ts`),
  outdir: BUNDLE,
  entryNames: '[name]-[hash]',
  chunkNames: '[name]-[hash]',
  bundle: true,
  splitting: true,
  format: 'esm',
  platform: 'node',
  target: 'node20.11',
  // It finds its own files by their place, and is small.
  external: ['pino'],
  banner: { js: FOR_REQUIRE },
  sourcemap: true,
  metafile: true,
  logLevel: 'warning',
  plugins: [inPlace],
});

const written = new Set();
for (const [output, { entryPoint }] of Object.entries(metafile.outputs)) {
  const name = posix.basename(output);
  written.add(name);
  const program = entryPoint?.replace(/\.ts$/, '');
  if (program === undefined || ![...PROGRAMS, ...THREADS].includes(program)) continue;
  const place = join(HOME, 'dist', `${program}.js`);
  const up = posix.relative(posix.dirname(program), 'bundle');
  mkdirSync(dirname(place), { recursive: true });
  writeFileSync(place, `#!/usr/bin/env node\nimport '${up}/${name}';\n`);
  rmSync(`${place}.map`, { force: true });
}
chmodSync(join(HOME, 'dist/cli/main.js'), 0o755);
// A guard loads what stops a private server only when its program has ended, which may be after a new build.
const DAY_MS = 86_400_000;
for (const name of readdirSync(BUNDLE).filter((each) => !written.has(each))) {
  const file = join(BUNDLE, name);
  if (name.endsWith('.map') || Date.now() - statSync(file).mtimeMs > DAY_MS) rmSync(file);
}
