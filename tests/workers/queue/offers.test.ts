import { type Job, Queue } from 'bullmq';
import { afterAll, afterEach, beforeAll, beforeEach, expect, it, vi } from 'vitest';
import { connect } from '../../../jobs/queue/connection.js';
import { batchQueues, KEY_PREFIX } from '../../../jobs/queue/names.js';
import { type Presence, tellPresence } from '../../../jobs/queue/present-workers.js';
import { offersOf } from '../../../workers/queue/offers.js';
import { type JobEnd, type JobTaker, takeJobs } from '../../../workers/queue/take-jobs.js';
import { serverKinds, type TestServer } from '../../system/queue-servers.js';

const SOFTWARE = { goodgate: '1', code: 'c', ffmpeg: '5.1' };
const ENTRY = { id: 'b', software: SOFTWARE };
const { clips } = batchQueues(ENTRY.id);

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
  queue = new Queue(clips, { connection: redis, prefix: KEY_PREFIX });
});
afterEach(async () => {
  await Promise.all(takers.map((taker) => taker.close()));
  takers = [];
  await queue.close();
});

/** Ids of workers are 16 hex digits. */
const idOf = (name: string): string => Buffer.from(name.padEnd(8)).toString('hex');

async function present(name: string, told: Partial<Presence> = {}): Promise<void> {
  const presence = { id: idOf(name), host: name, pid: 1, software: SOFTWARE, aside: null, isOpen: true };
  await tellPresence({ ...presence, leaves: {}, ...told }, redis);
}

/** A worker that offers what the world fails at once, as the source of clips does. */
function work(name: string, end: JobEnd, seconds = 1): { readonly tried: string[] } {
  const offers = offersOf({ redis, me: idOf(name), entry: ENTRY });
  const tried: string[] = [];
  const handle = async (job: Job): Promise<JobEnd> => {
    const left = await offers.leave(job);
    if (left !== null) return { is: 'cannot', why: left };
    tried.push(job.name);
    if (end.is !== 'again') return end;
    const offered = await offers.offer(job, seconds);
    if (offered !== null) return { is: 'cannot', why: offered, hasFailed: true };
    return job.attemptsMade + 1 < 4 ? end : { is: 'failed', why: end.why };
  };
  takers.push(
    takeJobs({
      ...{ redis, stop: new AbortController().signal, log: { warn: () => undefined } },
      ...{ sources: () => [{ queue: clips, hasRoom: () => true, handle }], firstPauseMs: 1 },
    }),
  );
  return { tried };
}

const AGAIN: JobEnd = { is: 'again', why: 'ffmpeg-failed' };
const DONE: JobEnd = { is: 'done', value: {} };
const add = () => queue.add('a', {}, { jobId: 'a', attempts: 4 });
const becomes = (state: string): Promise<void> =>
  vi.waitFor(async () => expect(await (await queue.getJob('a'))?.getState()).toBe(state), {
    timeout: 20_000,
  });

it('a clip that fails at once at one worker is done by another of its kind, and no try is counted', async () => {
  await present('broken');
  await present('good');
  await add();
  const broken = work('broken', AGAIN);
  await vi.waitFor(() => expect(broken.tried).toEqual(['a']), { timeout: 20_000 });
  await becomes('prioritized');
  const good = work('good', DONE);
  await becomes('completed');
  expect([broken.tried, good.tried]).toEqual([['a'], ['a']]);
  expect((await queue.getJob('a'))?.attemptsMade).toBe(1);
});

it('one that fails everywhere comes to its end: each worker once, then its four tries', async () => {
  await present('one');
  await present('two');
  await add();
  const one = work('one', AGAIN);
  await vi.waitFor(() => expect(one.tried).toEqual(['a']), { timeout: 20_000 });
  const two = work('two', AGAIN);
  await becomes('failed');
  expect(one.tried.length + two.tried.length).toBe(5);
});

it.each<[string, Partial<Presence> | null]>([
  ['nobody else', null],
  ['one of other software', { software: { ...SOFTWARE, ffmpeg: '7.1' } }],
  ['one that stands aside', { aside: '3 clips in a row failed at once' }],
  ['one outside its hours', { isOpen: false }],
  ['one that leaves the batch', { leaves: { b: 'its volume is not mounted' } }],
])('with %s there its tries count', async (_, other) => {
  await present('broken');
  if (other !== null) await present('other', other);
  await add();
  const { tried } = work('broken', AGAIN);
  await becomes('failed');
  expect(tried).toEqual(['a', 'a', 'a', 'a']);
});

it('a failure that took its time counts: it says nothing of the machine', async () => {
  await present('broken');
  await present('good');
  await add();
  const { tried } = work('broken', AGAIN, 21);
  await becomes('failed');
  expect(tried).toEqual(['a', 'a', 'a', 'a']);
});
