import { once } from 'node:events';
import { copyFile, mkdir, readFile, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { join, resolve } from 'node:path';
import { execa, type ResultPromise } from 'execa';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { openWorkshop, type Workshop } from '../../system/goodgate.js';
import { readExposition, type Sample, seriesValue } from './exposition.js';

/** A worker that did a batch, asked over HTTP: by a parser, and by the real server where it is there. */
const HOME = resolve(new URL('../../..', import.meta.url).pathname);
const RULES = join(HOME, 'docs', 'alert-rules.yml');
const has = async (program: string): Promise<boolean> =>
  (await execa(program, ['--version'], { reject: false })).exitCode === 0;
const hasServer = (await has('prometheus')) && (await has('promtool'));

let shop: Workshop;
let worker: ResultPromise<{ reject: false }>;
let url = '';
vi.setConfig({ testTimeout: 240_000, hookTimeout: 240_000 });

const figures = async (): Promise<string> => (await fetch(`${url}/metrics`)).text();

beforeAll(async () => {
  shop = await openWorkshop();
  const card = join(shop.folder, 'card');
  await mkdir(card);
  const clip = join(card, 'a.mov');
  await execa('ffmpeg', [
    '-v',
    'error',
    '-f',
    'lavfi',
    '-i',
    'testsrc2=s=64x36:r=25:d=0.4',
    '-c:v',
    'ffv1',
    clip,
  ]);
  await writeFile(join(card, 'half.mov'), (await readFile(clip)).subarray(0, 3_000));
  await copyFile(clip, join(card, 'b.mov'));
  const submitted = await shop.start(['submit', 'card', '--target', 'proxy-h264', '--out', 'out']);
  // The half one is told as unreadable.
  expect(submitted.exitCode, String(submitted.stderr)).toBe(3);
  worker = shop.start(['work', '--root', '.', '--listen', '127.0.0.1:0']);
  const line = /"listens":"(http:[^"]+)"/;
  let told = '';
  for await (const chunk of worker.stderr ?? []) {
    told += String(chunk);
    url = line.exec(told)?.[1] ?? '';
    if (url !== '') break;
  }
  expect(url, told).toMatch(/^http:\/\/127\.0\.0\.1:\d+$/);
  await vi.waitFor(
    async () => {
      const all = readExposition(await figures());
      expect(seriesValue(all, 'goodgate_jobs_total', { kind: 'report', state: 'done' })).toBe(1);
    },
    { timeout: 180_000, interval: 200 },
  );
});
afterAll(async () => {
  worker?.kill('SIGTERM');
  await worker;
  await shop.close();
});

describe('a worker that listens', () => {
  it('tells what it did, in text that a strict parser reads', async () => {
    const all: Sample[] = readExposition(await figures());
    const at = (name: string, labels = {}) => seriesValue(all, name, labels);
    expect(at('goodgate_jobs_total', { kind: 'clip', state: 'done' })).toBe(2);
    expect(at('goodgate_clip_seconds_count')).toBe(2);
    // Two clips of 10 frames of 64 x 36.
    expect(at('goodgate_megapixels_total', { stage: 'decode' })).toBeCloseTo((2 * 10 * 64 * 36) / 1e6, 9);
    const sizes = await Promise.all(
      ['a', 'b'].map(
        async (name) => (await readFile(join(shop.folder, 'out', 'proxy-h264', `${name}.mp4`))).length,
      ),
    );
    expect(at('goodgate_bytes_total', { direction: 'written' })).toBe(
      sizes.reduce((sum, size) => sum + size, 0),
    );
    expect(at('goodgate_queue_up')).toBe(1);
    expect(at('goodgate_queue_workers')).toBe(1);
    expect(at('goodgate_clips_in_hand', { stage: 'decode' })).toBe(0);
  });

  it('is healthy by the very check of the containers, which fails where nobody answers', async () => {
    const compose = z.object({
      services: z.object({ worker: z.object({ healthcheck: z.object({ test: z.array(z.string()) }) }) }),
    });
    const { services } = compose.parse(parse(await readFile(join(HOME, 'docker-compose.yml'), 'utf8')));
    const [kind, ...command] = services.worker.healthcheck.test;
    expect(kind).toBe('CMD');
    const check = async (address: string): Promise<number | undefined> => {
      const [program = '', ...args] = command.map((word) => word.replace('http://127.0.0.1:9464', address));
      return (await execa(program, args, { reject: false })).exitCode;
    };
    expect(await check(url)).toBe(0);
    expect(await check('http://127.0.0.1:1')).toBe(1);
    expect(await check(`${url}/elsewhere`)).toBe(1);
  });

  it('has every figure that the example of alert rules asks for, and that the page tells of', async () => {
    const text = await figures();
    const served = new Set([...text.matchAll(/^# TYPE (\S+) /gm)].map(([, name]) => name));
    const rules = z.object({
      groups: z.array(
        z.object({
          rules: z.array(
            z.object({ alert: z.string(), expr: z.string(), annotations: z.object({ summary: z.string() }) }),
          ),
        }),
      ),
    });
    const { groups } = rules.parse(parse(await readFile(RULES, 'utf8')));
    const asked = groups.flatMap(({ rules }) =>
      rules.flatMap(({ expr }) => expr.match(/goodgate_\w+/g) ?? []),
    );
    expect(asked.length).toBeGreaterThan(5);
    expect(asked.filter((name) => !served.has(name))).toEqual([]);
    const page = await readFile(join(HOME, 'docs', 'monitoring.md'), 'utf8');
    const own = [...served].filter((name) => name?.startsWith('goodgate_'));
    expect(own.filter((name) => !page.includes(`| \`${name}\``))).toEqual([]);
    const described = [...page.matchAll(/^\| `(goodgate_\w+)`/gm)].map(([, name]) => name);
    expect(described.filter((name) => !served.has(name))).toEqual([]);
  });
});

describe.runIf(hasServer)('the real server', () => {
  it('finds nothing to say against text and rules, and the rules do what they say', async () => {
    await execa('promtool', ['check', 'metrics'], { input: await figures() });
    await execa('promtool', ['check', 'rules', RULES]);
    await copyFile(RULES, join(shop.folder, 'alert-rules.yml'));
    await copyFile(join(HOME, 'tests/cli/listen/alert-rules.test.yml'), join(shop.folder, 'rules.test.yml'));
    await execa('promtool', ['test', 'rules', 'rules.test.yml'], { cwd: shop.folder });
  });

  it('reads a worker and loads the rules', async () => {
    const port = await freePort();
    const config = {
      global: { scrape_interval: '1s' },
      scrape_configs: [{ job_name: 'goodgate', static_configs: [{ targets: [new URL(url).host] }] }],
      rule_files: [RULES],
    };
    // JSON is YAML as well.
    await writeFile(join(shop.folder, 'server.yml'), JSON.stringify(config));
    const server = execa(
      'prometheus',
      ['--config.file=server.yml', '--storage.tsdb.path=series', `--web.listen-address=127.0.0.1:${port}`],
      { cwd: shop.folder, reject: false, stdin: 'ignore', stdout: 'ignore', stderr: 'ignore' },
    );
    try {
      const ask = async (path: string): Promise<unknown> =>
        (await fetch(`http://127.0.0.1:${port}/api/v1/${path}`)).json();
      const series = z.object({
        data: z.object({ result: z.array(z.object({ value: z.tuple([z.number(), z.string()]) })) }),
      });
      const query = async (text: string): Promise<string[]> =>
        series
          .parse(await ask(`query?query=${encodeURIComponent(text)}`))
          .data.result.map(({ value }) => value[1]);
      await vi.waitFor(async () => expect(await query('up{job="goodgate"}')).toEqual(['1']), {
        ...{ timeout: 120_000, interval: 300 },
      });
      expect(await query('goodgate_jobs_total{kind="clip",state="done"}')).toEqual(['2']);
      expect(await query('sum(goodgate_failures_total)')).toEqual(['0']);
      const rules = z.object({
        data: z.object({ groups: z.array(z.object({ rules: z.array(z.object({ name: z.string() })) })) }),
      });
      const loaded = rules.parse(await ask('rules')).data.groups.flatMap(({ rules }) => rules);
      expect(loaded.map(({ name }) => name)).toContain('NothingMoves');
    } finally {
      server.kill('SIGKILL');
      await server;
    }
  });
});

async function freePort(): Promise<number> {
  const server = createServer().listen({ host: '127.0.0.1', port: 0 });
  await once(server, 'listening');
  const address = server.address();
  await new Promise<void>((done) => server.close(() => done()));
  return typeof address === 'object' && address !== null ? address.port : 0;
}
