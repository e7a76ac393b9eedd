import { readFileSync } from 'node:fs';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { buildProgram } from '../cli/program.js';

/**
 * No container engine is needed: the files are held to the keys of the Compose specification (its JSON
 * schema, compose-spec.json, of which these are the ones used here), and what can be run without is run.
 */
const HOME = resolve(new URL('..', import.meta.url).pathname);
const read = (name: string): string => readFileSync(join(HOME, name), 'utf8');

const service = z.strictObject({
  image: z.string().optional(),
  build: z.strictObject({ context: z.string(), args: z.record(z.string(), z.string()) }).optional(),
  command: z.array(z.string()).optional(),
  configs: z.array(z.strictObject({ source: z.string(), target: z.string() })).optional(),
  environment: z.record(z.string(), z.string()),
  user: z.string().optional(),
  volumes: z.array(z.string()),
  tmpfs: z.array(z.string()).min(1),
  depends_on: z.record(z.string(), z.strictObject({ condition: z.literal('service_healthy') })).optional(),
  healthcheck: z.strictObject({
    test: z.array(z.string()).min(2),
    interval: z.string(),
    timeout: z.string(),
    start_period: z.string().optional(),
    retries: z.number(),
  }),
  init: z.literal(true),
  read_only: z.literal(true),
  cap_drop: z.tuple([z.literal('ALL')]),
  cap_add: z.array(z.enum(['CHOWN', 'SETGID', 'SETUID'])).optional(),
  security_opt: z.tuple([z.literal('no-new-privileges:true')]),
  networks: z.tuple([z.literal('queue')]),
  restart: z.string(),
  stop_grace_period: z.string().optional(),
  profiles: z.tuple([z.literal('watch')]).optional(),
  mem_limit: z.string(),
  cpus: z.union([z.string(), z.number()]),
  pids_limit: z.number().positive(),
});
const compose = z.strictObject({
  'x-hardened': z.unknown(),
  services: z.strictObject({ redis: service, worker: service, watch: service }),
  configs: z.strictObject({ queue: z.strictObject({ content: z.string() }) }),
  networks: z.strictObject({ queue: z.strictObject({ internal: z.literal(true) }) }),
  volumes: z.strictObject({ queue: z.null() }),
});

/**
 * `${NAME:-default}` and `${NAME:?message}`, as Compose puts them in; null: it would stop with the message.
 */
function putIn(text: string, env: Readonly<Record<string, string>>): string | null {
  const stops = [...text.matchAll(/\$\{(\w+):\?[^}]*\}/g)].some(([, name]) => env[name ?? ''] === undefined);
  if (stops) return null;
  return text.replace(
    /\$\{(\w+)(?::-([^}]*)|:\?[^}]*)\}/g,
    (_, name: string, otherwise?: string) => env[name] ?? otherwise ?? '',
  );
}

const PASSWORD = 'f00dfeed';
const filled = putIn(read('docker-compose.yml'), { QUEUE_PASSWORD: PASSWORD }) ?? '';
const stack = compose.parse(parse(filled, { merge: true }));
const { redis, worker, watch } = stack.services;

describe('the containers', () => {
  it('do not start without a password, and nothing else has to be set', () => {
    expect(putIn(read('docker-compose.yml'), {})).toBeNull();
    expect(filled).not.toMatch(/\$\{/);
    expect(new URL(worker.environment['REDIS_URL'] ?? '').password).toBe(PASSWORD);
    // What a list of processes shows.
    expect(redis.command?.join(' ')).not.toContain(PASSWORD);
  });

  it('take options that exist', async () => {
    const dockerfile = read('Dockerfile');
    const command = z.array(z.string()).parse(JSON.parse(/^CMD (.+)$/m.exec(dockerfile)?.[1] ?? ''));
    // A service for whoever asks for it, the worker in all else.
    expect([watch.profiles, { ...watch, command: 0, profiles: 0, healthcheck: 0 }]).toEqual([
      ...[['watch'], { ...worker, command: 0, profiles: 0, healthcheck: 0 }],
    ]);
    const watches = (await buildProgram(watch.command ?? [])).commands.find(
      (each) => each.name() === 'watch',
    );
    expect(watches?.options.map(({ long }) => long)).toContain(watch.command?.[1]);
    const program = await buildProgram(command);
    const work = program.commands.find((each) => each.name() === command[0]);
    for (const word of command.filter((each) => each.startsWith('--'))) {
      expect(
        work?.options.some((option) => option.long === word),
        word,
      ).toBe(true);
    }
    // The health check asks where the worker listens; seen-by-server.long.test.ts runs it.
    const listens = command[command.indexOf('--listen') + 1];
    expect(worker.healthcheck.test.join(' ')).toContain(`http://${listens}/healthy`);
  });

  it('write nowhere but to what is mounted for it', () => {
    const writable = [...worker.tmpfs, ...worker.volumes].map((each) =>
      each.replace(/^(.*:)?(\/[^:]*)(:.*)?$/, '$2'),
    );
    expect(worker.tmpfs[0]).toMatch(/^\/tmp:/);
    expect(worker.environment).toMatchObject({ GOODGATE_STATE: '/tmp/goodgate', HOME: '/tmp' });
    expect(writable.length).toBe(2);
    expect(redis.volumes).toEqual(['queue:/data']);
  });

  it('copy neither media nor password into the image', () => {
    const ignored = read('.dockerignore').split('\n');
    const media = /\$\{MEDIA:-\.\/(\w+)\}/.exec(read('docker-compose.yml'))?.[1];
    for (const name of [media, '.env', '.git', 'node_modules', 'demo-out']) expect(ignored).toContain(name);
  });

  it('are explained: every variable has a word in the docs', () => {
    const docs = `${read('docs/containers.md')}${read('README.md')}`;
    const names = new Set(
      [...read('docker-compose.yml').matchAll(/\$\{(\w+)/g)].map(([, name]) => name ?? ''),
    );
    expect([...names].filter((name) => !docs.includes(`\`${name}`))).toEqual([]);
  });
});

describe('the queue as it is configured', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-queue-'));
  const config = join(folder, 'queue.conf');
  const socket = join(folder, 'queue.sock');
  await writeFile(config, stack.configs.queue.content);
  const words = (redis.command ?? []).slice(1).map((word) => (word === '/run/queue.conf' ? config : word));
  const server = execa('redis-server', [...words, '--port', '0', '--unixsocket', socket, '--dir', folder], {
    ...{ reject: false, stdin: 'ignore', stdout: 'ignore' },
  });
  afterAll(async () => {
    server.kill('SIGKILL');
    await server;
    await rm(folder, { recursive: true, force: true });
  });
  const [, check = ''] = redis.healthcheck.test;
  const healthy = (env: Record<string, string>) =>
    execa(check.replace('valkey-cli', `redis-cli -s ${socket}`), { shell: true, env, reject: false });

  it('is healthy with the password, and lets nobody in without', async () => {
    const password = { REDISCLI_AUTH: redis.environment['REDISCLI_AUTH'] ?? '' };
    while ((await healthy(password)).exitCode !== 0)
      if (server.exitCode !== null) throw new Error('it ended');
    expect((await healthy({ REDISCLI_AUTH: '' })).exitCode).not.toBe(0);
    expect((await healthy({ REDISCLI_AUTH: 'guessed' })).exitCode).not.toBe(0);
    const { stdout } = await execa('redis-cli', ['-s', socket, 'CONFIG', 'GET', 'maxmemory-policy'], {
      env: password,
    });
    expect(stdout).toContain('noeviction');
  });
});
