import { type Job, Queue, Worker } from 'bullmq';
import { afterAll, afterEach, beforeAll, beforeEach, expect, it, vi } from 'vitest';
import { markCancelled } from '../../../jobs/queue/cancelled-jobs.js';
import { connect } from '../../../jobs/queue/connection.js';
import { KEY_PREFIX } from '../../../jobs/queue/names.js';
import { type JobEnd, type JobTaker, takeJobs } from '../../../workers/queue/take-jobs.js';
import { serverKinds, type TestServer } from '../../system/queue-servers.js';

let server: TestServer;
let redis: ReturnType<typeof connect>;
let queue: Queue;
let takers: JobTaker[] = [];

beforeAll(async () => {
  const [first] = await serverKinds();
  if (first === undefined) throw new Error('no server');
  server = await first.start();
  redis = connect(server.server);
});
afterAll(async () => {
  redis.disconnect();
  await server.stop();
});
beforeEach(async () => {
  await redis.flushall();
  queue = new Queue('q', { connection: redis, prefix: KEY_PREFIX });
});
afterEach(async () => {
  vi.useRealTimers();
  await Promise.all(takers.map((taker) => taker.close()));
  takers = [];
  await queue.close();
});

/** A worker that ends each job as `handle` says, and writes down which it took. */
function work(
  handle: (job: Job, cancelled: AbortSignal) => JobEnd | Promise<JobEnd>,
  names: readonly string[] = ['q'],
) {
  const taken: string[] = [];
  const source = (name: string) => ({
    queue: name,
    hasRoom: () => true,
    handle: async (job: Job, cancelled: AbortSignal) => {
      taken.push(job.name);
      return handle(job, cancelled);
    },
  });
  const taker = takeJobs({
    ...{ redis, sources: () => names.map(source), stop: new AbortController().signal },
    ...{ log: { warn: () => undefined }, firstPauseMs: 1, stalledIntervalMs: 20 },
  });
  takers.push(taker);
  return { taken, taker };
}

const DONE: JobEnd = { is: 'done', value: {} };
const add = (...names: string[]): Promise<unknown> =>
  queue.addBulk(names.map((name) => ({ name, data: {}, opts: { jobId: name, attempts: 4 } })));
const stateOf = async (name: string): Promise<string> => (await queue.getJob(name))?.getState() ?? 'none';
const becomes = (name: string, state: string): Promise<void> =>
  vi.waitFor(async () => expect(await stateOf(name)).toBe(state), { timeout: 20_000 });

it('what a worker cannot do goes behind the rest, costs no try, and is done by one that can', async () => {
  await add('a', 'b', 'c');
  const one = work(({ name }) => (name === 'a' ? { is: 'cannot', why: 'not mounted' } : DONE));
  await becomes('c', 'completed');
  await vi.waitFor(() => expect(one.taker.isResting('q')).toBe(true), { timeout: 20_000 });
  // Once, however often it came round.
  expect(one.taken).toEqual(['a', 'b', 'c']);
  expect((await queue.getJob('a'))?.attemptsMade).toBe(0);
  expect(await stateOf('a')).toBe('prioritized');
  const two = work(() => DONE);
  await becomes('a', 'completed');
  expect(two.taken).toEqual(['a']);
});

it('a worker whose clock is an hour ahead delays a second try for nobody', async () => {
  vi.useFakeTimers({ toFake: ['Date'], now: Date.now() + 3_600_000 });
  await add('a');
  let closed: Promise<void> | undefined;
  const ahead = work(() => {
    closed = ahead.taker.close();
    return { is: 'again', why: 'disk-full' };
  });
  await vi.waitFor(() => expect(closed).toBeDefined(), { timeout: 20_000 });
  await closed;
  vi.useRealTimers();
  // No state of the queue goes by a clock: it waits, and the next worker takes it at once.
  expect(await redis.zcard(`${KEY_PREFIX}:q:delayed`)).toBe(0);
  expect((await queue.getJob('a'))?.attemptsMade).toBe(1);
  const other = work(() => DONE);
  await becomes('a', 'completed');
  expect([ahead.taken, other.taken]).toEqual([['a'], ['a']]);
});

it('a job the world fails is tried four times, and then has failed', async () => {
  await add('a');
  const { taken } = work(({ attemptsMade }) =>
    attemptsMade < 3 ? { is: 'again', why: 'x' } : { is: 'failed', why: 'y' },
  );
  await becomes('a', 'failed');
  expect(taken).toEqual(['a', 'a', 'a', 'a']);
  expect((await queue.getJob('a'))?.failedReason).toBe('y');
});

it('an interrupted job is the next one taken, and costs no try', async () => {
  await add('a', 'b');
  const stopped = work(() => ({ is: 'back' }));
  await vi.waitFor(() => expect(stopped.taken.length).toBeGreaterThan(0), { timeout: 20_000 });
  await stopped.taker.close();
  const { taken } = work(() => DONE);
  await becomes('b', 'completed');
  expect(taken).toEqual(['a', 'b']);
  expect((await queue.getJob('a'))?.attemptsMade).toBe(1);
});

it('a job that is put back on a server that lost it waits for itself in hand, and is not done twice at once', async () => {
  let atOnce = 0;
  let most = 0;
  let go: () => void = () => undefined;
  const held = new Promise<void>((resolve) => {
    go = resolve;
  });
  await add('a');
  const { taken } = work(async () => {
    most = Math.max(most, ++atOnce);
    await held;
    atOnce--;
    return DONE;
  });
  await vi.waitFor(() => expect(taken).toEqual(['a']), { timeout: 20_000 });
  await redis.flushall();
  await add('a', 'b');
  await vi.waitFor(() => expect(taken).toEqual(['a', 'b']), { timeout: 20_000 });
  expect(await stateOf('a')).toBe('active');
  go();
  await becomes('a', 'completed');
  expect(taken).toEqual(['a', 'b', 'a']);
  expect(most).toBe(2);
});

it('a job put back that finds its place taken waits on the queue: no worker has more in hand than places', async () => {
  const places = 2;
  let atOnce = 0;
  let most = 0;
  const goes = new Map<string, () => void>();
  const taken: string[] = [];
  const handle = async (job: Job): Promise<JobEnd> => {
    taken.push(job.name);
    most = Math.max(most, ++atOnce);
    await new Promise<void>((resolve) => goes.set(job.name, resolve));
    atOnce--;
    // While the first one is told to a server that knows it no more, another comes into its place.
    if (taken.length === 2) await vi.waitFor(() => expect(taken).toContain('c'), { timeout: 20_000 });
    return DONE;
  };
  await add('a');
  takers.push(
    takeJobs({
      ...{ redis, stop: new AbortController().signal, log: { warn: () => undefined }, stalledIntervalMs: 20 },
      sources: () => [{ queue: 'q', hasRoom: () => atOnce < places, handle }],
    }),
  );
  await vi.waitFor(() => expect(taken).toEqual(['a']), { timeout: 20_000 });
  await redis.flushall();
  await add('a', 'b', 'c');
  await vi.waitFor(() => expect(taken).toEqual(['a', 'b']), { timeout: 20_000 });
  goes.get('a')?.();
  await vi.waitFor(() => expect(taken).toEqual(['a', 'b', 'c']), { timeout: 20_000 });
  await vi.waitFor(async () => expect(await stateOf('a')).toBe('waiting'), { timeout: 20_000 });
  for (const name of ['b', 'c']) goes.get(name)?.();
  await vi.waitFor(() => expect(taken).toEqual(['a', 'b', 'c', 'a']), { timeout: 20_000 });
  goes.get('a')?.();
  for (const name of ['a', 'b', 'c']) await becomes(name, 'completed');
  expect(most).toBe(places);
});

it('a job of a worker that died is taken by the next, and fails for good when it took several with it', async () => {
  const dead = new Worker('q', null, {
    ...{ connection: redis, prefix: KEY_PREFIX, autorun: false, lockDuration: 1 },
  });
  const lose = async (): Promise<void> =>
    vi.waitFor(async () => expect(await dead.getNextJob('gone', { block: false })).toBeDefined(), {
      timeout: 20_000,
    });
  await add('a');
  await lose();
  const next = work(() => DONE);
  await becomes('a', 'completed');
  expect(next.taken).toEqual(['a']);
  await next.taker.close();

  await add('b');
  const watching = takeJobs({
    ...{ redis, stop: new AbortController().signal, log: { warn: () => undefined }, stalledIntervalMs: 20 },
    sources: () => [{ queue: 'q', hasRoom: () => false, handle: async () => DONE }],
  });
  takers.push(watching);
  for (let lost = 0; lost < 4; lost++) await lose();
  const last = work(() => DONE);
  await becomes('b', 'failed');
  expect(last.taken).toEqual([]);
  await dead.close();
});

it('a job in hand that is cancelled is stopped, one between two tries too, and one that waits is never begun', async () => {
  const begun: string[] = [];
  const told: string[] = [];
  work(async ({ name }, cancelled) => {
    if (!cancelled.aborted) begun.push(name);
    if (name === 'held' && !cancelled.aborted)
      await new Promise((resolve) => cancelled.addEventListener('abort', resolve));
    if (name === 'tried' && !cancelled.aborted) {
      await markCancelled('q', ['tried'], 'anna on cart', redis);
      return { is: 'again', why: 'disk-full' };
    }
    if (!cancelled.aborted) return DONE;
    told.push(`${name}: ${cancelled.reason}`);
    return { is: 'failed', why: 'cancelled' };
  });
  await markCancelled('q', ['waits'], 'anna on cart', redis);
  await add('held', 'waits', 'tried', 'other');
  await becomes('other', 'completed');
  expect(await stateOf('held')).toBe('active');
  await markCancelled('q', ['held'], 'anna on cart', redis);
  for (const name of ['held', 'waits', 'tried']) await becomes(name, 'failed');
  expect(told.sort()).toEqual(['held', 'tried', 'waits'].map((name) => `${name}: anna on cart`));
  expect(begun).not.toContain('waits');
});

it('queues are taken from in their order', async () => {
  const other = new Queue('p', { connection: redis, prefix: KEY_PREFIX });
  await add('late');
  await other.addBulk(['one', 'two'].map((name) => ({ name, data: {} })));
  const { taken } = work(() => DONE, ['p', 'q']);
  await becomes('late', 'completed');
  expect(taken).toEqual(['one', 'two', 'late']);
  await other.close();
});
