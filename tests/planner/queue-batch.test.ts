import { afterAll, afterEach, beforeAll, beforeEach, expect, it, vi } from 'vitest';
import { type Plan, plan as planSchema } from '../../jobs/plan/plan.js';
import type { Submission } from '../../jobs/plan/submission.js';
import { closeRun, readBatchEntries, readOpenRuns } from '../../jobs/queue/batch-entries.js';
import { connect } from '../../jobs/queue/connection.js';
import { batchQueues, KEY_PREFIX } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import { serverTime } from '../../jobs/queue/server-time.js';
import { queueBatch, trimBatches } from '../../planner/queue-batch.js';
import { serverKinds, type TestServer } from '../system/queue-servers.js';
import { clipFacts } from './make-facts.js';

let server: TestServer;
let redis: ReturnType<typeof connect>;
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
beforeEach(() => redis.flushall());
afterEach(() => {
  vi.useRealTimers();
});

const DAY = 24 * 3_600_000;
const daysAgo = async (days: number): Promise<string> =>
  new Date((await serverTime(redis)).getTime() - days * DAY).toISOString();

function planOf(id: string, out = `/work/${id}`, seconds: readonly number[] = [1, 1]): Plan {
  return planSchema.parse({
    ...{ schema: 'goodgate/plan@1', id, title: 'Night', root: '/card', out, refused: [], notes: [] },
    jobs: seconds.map((work, index) => ({
      ...{ id: `${index}`.padStart(20, '0'), clipKey: '0'.repeat(20), outputs: [], judge: [] },
      clip: { path: `/card/${index}.mov`, name: `${index}.mov`, facts: clipFacts(), colour: null },
      estimate: { seconds: work },
    })),
    totals: { clips: 2, outputs: 0, bytes: 0, workSeconds: 1, wallSeconds: 1, workers: 1 },
  });
}

async function queue(id: string, differs: Partial<Submission> = {}, out?: string, wanted?: Set<string>) {
  return queueBatch(planOf(id, out), await submissionOf(id, differs), redis, wanted);
}

async function submissionOf(id: string, differs: Partial<Submission> = {}): Promise<Submission> {
  return {
    ...{ schema: 'goodgate/submission@1', batch: id, run: 'r1', submittedAt: await daysAgo(0) },
    ...{ by: { user: 'anna', host: 'cart' }, shared: true, priority: 'normal', paused: null },
    ...{ software: { goodgate: '1', code: 'c', ffmpeg: '5.1' }, ...differs },
  };
}
const known = async (): Promise<string[]> => (await readBatchEntries(redis)).map(({ id }) => id).sort();

it('keeps who submitted a batch, when, and for which software', async () => {
  await queue('a');
  expect(await readBatchEntries(redis)).toMatchObject([
    { id: 'a', by: { user: 'anna', host: 'cart' }, software: { ffmpeg: '5.1' }, shared: true },
  ]);
  expect(await readOpenRuns(redis)).toEqual(new Map([['a', 'r1']]));
});

it('a batch that ended leaves the server after 14 days; one that is open stays, whatever its age', async () => {
  const [old, young] = [await daysAgo(15), await daysAgo(13)];
  for (const [id, submittedAt] of Object.entries({ old, young, open: old })) {
    const entry = await queue(id, { submittedAt });
    if (id !== 'open') await closeRun(entry, redis);
  }
  // A run that was killed never ends.
  await queue('killed', { submittedAt: old, shared: false });
  await trimBatches(redis);
  expect(await known()).toEqual(['open', 'young']);
  expect(await redis.keys(`${KEY_PREFIX}:*-old*`)).toEqual([]);
});

it('a machine whose clock is a month ahead trims nothing that is young by the server', async () => {
  await closeRun(await queue('young'), redis);
  vi.useFakeTimers({ toFake: ['Date'], now: Date.now() + 30 * DAY });
  await trimBatches(redis);
  expect(await known()).toEqual(['young']);
});

it('of more than 200 that ended the oldest leaves', async () => {
  for (let n = 0; n <= 200; n++) {
    const entry = await queue(`b${n}`, { submittedAt: new Date(1e12 + n * 1000).toISOString() });
    await closeRun(entry, redis);
  }
  const at = vi.spyOn(redis, 'time').mockResolvedValue([1_000_000_300, 0]);
  await trimBatches(redis);
  at.mockRestore();
  const left = await known();
  expect(left.length).toBe(200);
  expect(left).not.toContain('b0');
});

it('another batch in a folder takes the place of the first; a run that closes late closes only itself', async () => {
  const first = await queue('a', {}, '/work/out');
  await queue('b', {}, '/work/out');
  expect(await known()).toEqual(['b']);
  await queue('b', { run: 'r2' }, '/work/out');
  await closeRun({ id: 'b', run: 'r1' }, redis);
  await closeRun(first, redis);
  expect(await readOpenRuns(redis)).toEqual(new Map([['b', 'r2']]));
});

it('the longest clip is worked on first, those of one length in the order of the card', async () => {
  await queueBatch(planOf('a', undefined, [2, 9, 2, 30]), await submissionOf('a'), redis);
  // Taken from its end.
  const waiting = await redis.lrange(`${KEY_PREFIX}:clips-a:wait`, 0, -1);
  expect(waiting.reverse().map((id) => Number(id.split('-').at(-1)))).toEqual([3, 1, 0, 2]);
});

it('puts back only the jobs that are wanted, and the report alone when none is', async () => {
  await queue('a', {}, undefined, new Set(['1'.padStart(20, '0')]));
  expect(await redis.llen(`${KEY_PREFIX}:clips-a:wait`)).toBe(1);
  await redis.flushall();
  await queue('a', {}, undefined, new Set());
  expect(await redis.llen(`${KEY_PREFIX}:clips-a:wait`)).toBe(0);
  expect(await redis.llen(`${KEY_PREFIX}:reports-a:wait`)).toBe(1);
});

it('that is stopped between two parts says that it is not whole, and the same again mends it', async () => {
  const plan = planOf('a', undefined, new Array(501).fill(1));
  const [last] = plan.jobs.slice(-1);
  if (last === undefined) throw new Error('no job');
  // The first 500 are queued by then.
  const broken = { ...plan, jobs: [...plan.jobs.slice(0, -1), { ...last, id: 'none' }] };
  await expect(queueBatch(broken, await submissionOf('a'), redis)).rejects.toThrow();
  const clips = openQueueNamed(batchQueues('a').clips, redis);
  expect(await readBatchEntries(redis)).toMatchObject([{ id: 'a', whole: false }]);
  expect([await clips.isPaused(), await clips.getJobCountByTypes('wait')]).toEqual([true, 500]);
  await queueBatch(plan, await submissionOf('a', { run: 'r2' }), redis);
  expect(await readBatchEntries(redis)).toMatchObject([{ id: 'a', whole: true, run: 'r2' }]);
  expect([await clips.isPaused(), await clips.getJobCountByTypes('wait')]).toEqual([false, 501]);
  await clips.close();
});

it('that the server loses while it is queued is told, leaves nothing, and can be queued again', async () => {
  const rpush = redis.rpush.bind(redis);
  const flushed = vi.spyOn(redis, 'rpush').mockImplementation(async (...args) => {
    const length = await rpush(...args);
    await redis.flushall();
    return length;
  });
  await expect(queue('a')).rejects.toMatchObject({ code: 'redis-gone' });
  flushed.mockRestore();
  expect([await known(), await readOpenRuns(redis)]).toEqual([[], new Map()]);
  expect(await redis.keys(`${KEY_PREFIX}:*-a:*`)).toEqual([]);
  await queue('a');
  expect(await readBatchEntries(redis)).toMatchObject([{ id: 'a', whole: true }]);
  expect(await redis.llen(`${KEY_PREFIX}:clips-a:wait`)).toBe(2);
});
