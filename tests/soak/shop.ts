import { once } from 'node:events';
import { mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { execa, type ResultPromise } from 'execa';
import { connect, proveServer } from '../../jobs/queue/connection.js';

const MAIN = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
export const FRAMES = 10;
export const TARGETS = ['copy', 'small'] as const;

const COPY = `schema: goodgate/target@1
name: copy
title: A copy without loss
make: { container: mov, video: { codec: ffv1, bitDepth: 8, chroma: "4:2:0" }, audio: { codec: pcm_s24le } }
require:
  decode: { maxErrors: 0, source: "common practice, no source" }
  as-original: { frames: true, source: "common practice, no source" }
`;
const SMALL = `schema: goodgate/target@1
name: small
title: A small copy
make: { container: mp4, video: { codec: h264, bitDepth: 8, chroma: "4:2:0", crf: 23 } }
require:
  decode: { maxErrors: 0, source: "common practice, no source" }
  frame-count: { is: ${FRAMES}, source: "as it was drawn" }
`;

/** Programs of goodgate's that run, and all they leave behind, in a folder of their own. */
export interface Shop {
  readonly folder: string;
  readonly clips: readonly string[];
  /** Starts the built program; `env` goes before what every program here is given. */
  start(args: readonly string[], env?: Readonly<Record<string, string>>): Started;
  /** Arguments for a batch of the card into a folder. */
  wanted(out: string): readonly string[];
  /** Processes of this shop that live, the private server's among them. */
  left(): string[];
  close(): Promise<void>;
}

export type Started = ResultPromise<{ reject: false }> & { readonly log: () => string };

export async function openShop(clips: number): Promise<Shop> {
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-soak-'));
  const card = join(folder, 'card');
  await mkdir(card);
  mkdirSync(join(folder, 'tmp'));
  await writeFile(join(folder, 'copy.yaml'), COPY);
  await writeFile(join(folder, 'small.yaml'), SMALL);
  const names = Array.from({ length: clips }, (_, index) => `C${String(index + 1).padStart(3, '0')}.mov`);
  for (const [index, name] of names.entries()) await draw(join(card, name), index);
  const state = join(folder, 'state');
  const programs = new Set<Started>();
  const shop: Shop = {
    folder,
    clips: names,
    wanted: (out) => ['card.yaml', ...TARGETS.flatMap((name) => ['-t', `${name}.yaml`]), '-o', out],
    start(args, env = {}) {
      const child = execa('node', [MAIN, ...args], {
        cwd: folder,
        env: { GOODGATE_STATE: state, REDIS_URL: '', TMPDIR: join(folder, 'tmp'), ...env },
        ...{ reject: false, stdin: 'ignore', forceKillAfterDelay: false },
      });
      let log = '';
      child.stderr?.on('data', (text) => {
        log += text;
      });
      const started = Object.assign(child, { log: () => log }) as unknown as Started;
      programs.add(started);
      void started.then(() => programs.delete(started));
      return started;
    },
    left: () => processesOf(state),
    async close() {
      for (const program of programs) program.kill('SIGKILL');
      await Promise.all(programs);
      await rm(folder, { recursive: true, force: true, maxRetries: 5 });
    },
  };
  // With facts: no run need look at the card again.
  const scan = await shop.start(['scan', 'card', '-o', 'card.yaml']);
  if (scan.exitCode !== 0) throw new Error(`the card cannot be scanned: ${scan.stderr}`);
  return shop;
}

/** A clip of its own: colour, movement and tone differ by its number. */
async function draw(path: string, index: number): Promise<void> {
  const seconds = FRAMES / 25;
  const picture = `testsrc2=s=64x64:r=25:d=${seconds},hue=h=${(index * 37) % 360},format=yuv420p`;
  await execa('ffmpeg', [
    ...['-v', 'error', '-f', 'lavfi', '-i', picture],
    ...['-f', 'lavfi', '-i', `sine=f=${200 + 10 * index}:r=48000:d=${seconds}`],
    ...['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709', '-color_range', 'tv'],
    ...['-c:v', 'ffv1', '-c:a', 'pcm_s24le', '-timecode', '01:00:00:00', path],
  ]);
}

/** Command lines of processes that were given the state folder (Linux; elsewhere none are found). */
function processesOf(state: string): string[] {
  const pids = readdirSync('/proc').filter((name) => /^\d+$/.test(name) && Number(name) !== process.pid);
  return pids.flatMap((pid) => {
    try {
      const isOurs = readFileSync(`/proc/${pid}/environ`, 'latin1')
        .split('\0')
        .includes(`GOODGATE_STATE=${state}`);
      const line = readFileSync(`/proc/${pid}/cmdline`, 'latin1').replaceAll('\0', ' ').trim();
      // A zombie has no command line: it is gone, and its parent has not looked yet.
      return isOurs && line !== '' ? [`${pid} ${line}`] : [];
    } catch {
      return [];
    }
  });
}

export async function until(isSo: () => boolean | Promise<boolean>, seconds = 60): Promise<boolean> {
  const end = performance.now() + seconds * 1000;
  while (!(await isSo())) {
    if (performance.now() > end) return false;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  return true;
}

/** A server that is named to the programs, with an append-only file. */
export interface NamedServer {
  readonly url: string;
  ask(...command: readonly string[]): Promise<string>;
  signal(name: NodeJS.Signals): void;
  start(): Promise<void>;
  stop(): Promise<void>;
}

async function freePort(): Promise<number> {
  const probe = createServer().listen(0, '127.0.0.1');
  await once(probe, 'listening');
  const address = probe.address();
  probe.close();
  return typeof address === 'object' ? (address?.port ?? 0) : 0;
}

export async function namedServer(folder: string): Promise<NamedServer> {
  const port = await freePort();
  const url = `redis://127.0.0.1:${port}`;
  const dir = join(folder, 'named');
  await mkdir(dir, { recursive: true });
  const begin = () =>
    execa(
      'redis-server',
      [
        ...['--port', `${port}`, '--bind', '127.0.0.1', '--save', '', '--dir', dir],
        ...['--appendonly', 'yes', '--appendfsync', 'always', '--maxmemory-policy', 'noeviction'],
      ],
      { reject: false, stdin: 'ignore', stdout: 'ignore', stderr: 'ignore' },
    );
  let server: ReturnType<typeof begin> | null = null;
  const made: NamedServer = {
    url,
    async ask(...command) {
      const redis = connect({ kind: 'named', url });
      try {
        const [name = 'PING', ...rest] = command;
        return String(await redis.call(name, ...rest));
      } finally {
        redis.disconnect();
      }
    },
    signal: (name) => void server?.kill(name),
    async start() {
      server = begin();
      const up = await until(() =>
        proveServer({ kind: 'named', url }, 500).then(
          () => true,
          () => false,
        ),
      );
      if (!up) throw new Error('the named server did not start');
    },
    async stop() {
      server?.kill('SIGKILL');
      await server;
    },
  };
  await made.start();
  return made;
}

export async function readJson(path: string): Promise<unknown> {
  return JSON.parse(await readFile(path, 'utf8'));
}
