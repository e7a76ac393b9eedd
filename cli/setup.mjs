// Makes a fresh clone ready: node modules, ffmpeg, redis-server, the build. Plain JavaScript without
// dependencies, since it runs before there are any. Idempotent: a second run only looks.
//
//   node cli/setup.mjs [--for-tests | --only-build]
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const home = dirname(dirname(fileURLToPath(import.meta.url)));
const say = (text) => process.stderr.write(`set-up: ${text}\n`);

function run(program, args, options = {}) {
  return spawnSync(program, args, { cwd: home, stdio: ['ignore', 2, 2], ...options });
}

function answers(program, flag) {
  return spawnSync(program, [flag], { stdio: 'ignore' }).status === 0;
}

function fail(lines) {
  for (const line of lines) say(line);
  process.exit(3);
}

function requireNode() {
  const [major, minor] = process.versions.node.split('.').map(Number);
  if (major < 20 || (major === 20 && minor < 11)) {
    fail([`Node ${process.versions.node} is too old: 20.11 or newer is needed`]);
  }
}

/** Installs what the lock file says, when it is not what is installed. */
function bringModules() {
  const lock = readFileSync(join(home, 'package-lock.json'));
  const stamp = join(home, 'node_modules', '.goodgate-lock');
  const wanted = createHash('sha256').update(lock).digest('hex');
  if (existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return;
  say('installing node modules ...');
  const npm = process.env.npm_execpath;
  const args = ['ci', '--no-audit', '--no-fund', '--loglevel', 'error'];
  const result = npm === undefined ? run('npm', args) : run(process.execPath, [npm, ...args]);
  if (result.status !== 0)
    fail(['npm ci did not work: see above; check that the npm registry can be reached']);
  writeFileSync(stamp, wanted);
}

const TOOLS = [
  { name: 'ffmpeg', programs: ['ffmpeg'], also: ['ffprobe'], flag: '-version', debian: 'ffmpeg' },
  {
    name: 'redis-server',
    programs: ['redis-server', 'valkey-server'],
    also: [],
    flag: '--version',
    debian: 'redis-server',
  },
];

function missingTools() {
  return TOOLS.filter(
    (tool) =>
      !tool.programs.some((program) => answers(program, tool.flag)) ||
      !tool.also.every((program) => answers(program, tool.flag)),
  );
}

/** apt-get as root, or through a sudo that asks no question; null when neither may be used. */
function packageManager() {
  if (!answers('apt-get', '--version')) return null;
  if (process.getuid?.() === 0) return ['apt-get'];
  return spawnSync('sudo', ['-n', 'true'], { stdio: 'ignore' }).status === 0
    ? ['sudo', '-n', 'apt-get']
    : null;
}

/** Installs Debian packages where that may be done; says nothing of whether it worked. */
function install(packages) {
  const manager = packageManager();
  if (manager === null) return;
  say(`installing ${packages.join(' and ')} with apt-get ...`);
  const [program, ...first] = manager;
  // A server package must not start a daemon here: goodgate starts its own when it needs one.
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive', RUNLEVEL: '1' };
  run(program, [...first, 'update', '-qq'], { env });
  run(program, [...first, 'install', '-y', '-qq', '--no-install-recommends', ...packages], { env });
}

function bringTools() {
  const missing = missingTools();
  if (missing.length === 0) return;
  install(missing.map((tool) => tool.debian));
  const still = missingTools();
  if (still.length === 0) return;
  fail([
    `missing: ${still.map((tool) => tool.name).join(' and ')}. Install with`,
    '  Debian, Ubuntu:  sudo apt-get install ffmpeg redis-server',
    '  macOS:           brew install ffmpeg redis',
    '  Fedora:          sudo dnf install ffmpeg valkey   (ffmpeg from RPM Fusion)',
    'then run the same command again. Node packages are installed already.',
  ]);
}

/** For tests only, and not needed: the test that opens a report in a browser says that it was skipped. */
function bringBrowser() {
  const there = () => ['chromium', 'chromium-browser'].some((program) => answers(program, '--version'));
  if (there()) return;
  install(['chromium']);
  if (!there()) say('no chromium here: the test that opens reports in a browser will be skipped');
}

function newest(folder, pattern) {
  let latest = 0;
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) latest = Math.max(latest, newest(path, pattern));
    else if (pattern.test(entry.name)) latest = Math.max(latest, statSync(path).mtimeMs);
  }
  return latest;
}

/** Builds when a source is newer than the last build. */
function build() {
  const stamp = join(home, 'dist', '.built');
  const sources = ['signal', 'jobs', 'planner', 'workers', 'cli'].map((folder) =>
    newest(join(home, folder), /\.(ts|mjs|yaml|json)$/),
  );
  const configs = ['package.json', 'tsconfig.json', 'tsconfig.build.json'].map(
    (file) => statSync(join(home, file)).mtimeMs,
  );
  if (existsSync(stamp) && statSync(stamp).mtimeMs >= Math.max(...sources, ...configs)) return;
  say('building ...');
  mkdirSync(join(home, 'dist'), { recursive: true });
  const npm = process.env.npm_execpath;
  const args = ['run', '--silent', 'build'];
  const result = npm === undefined ? run('npm', args) : run(process.execPath, [npm, ...args]);
  if (result.status !== 0) fail(['the build did not work: see above']);
  writeFileSync(stamp, '');
}

requireNode();
if (!process.argv.includes('--only-build')) {
  bringModules();
  bringTools();
  if (process.argv.includes('--for-tests')) bringBrowser();
}
build();
