import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { KEPT_PER_KIND, KINDS_AT_MOST, type Learned } from '../../../jobs/experience/experience.js';
import { connect } from '../../../jobs/queue/connection.js';
import { EXPERIENCE_KEY, experienceKey } from '../../../jobs/queue/names.js';
import { readSharedExperience, shareLearned } from '../../../jobs/queue/shared-experience.js';
import { serverKinds, type TestServer } from '../../system/queue-servers.js';

const NOW = Date.parse('2026-12-01T03:00:00Z');
const piece = (more: Partial<Learned> = {}): Learned => ({
  ...{ kind: 'size|libx264|hd', reckoned: 100, came: 50, at: NOW },
  ...more,
});

describe.each(await serverKinds())('experience on $kind', ({ start }) => {
  let server: TestServer;
  let redis: ReturnType<typeof connect>;
  beforeAll(async () => {
    server = await start();
    redis = connect(server.server);
  });
  afterAll(async () => {
    redis.disconnect();
    await server.stop();
  });

  it('is that of all workers, the last pieces of each kind', async () => {
    const many = Array.from({ length: 40 }, (_, i) => piece({ at: NOW + i, came: 1 + i }));
    for (const each of many) await shareLearned([each, { ...each, kind: 'whole|any' }], redis);
    const { kinds } = await readSharedExperience(redis, NOW);
    expect(Object.keys(kinds).sort()).toEqual(['size|libx264|hd', 'whole|any']);
    expect(kinds['whole|any']?.map(({ came }) => came)).toEqual(
      Array.from({ length: KEPT_PER_KIND }, (_, i) => 17 + i),
    );
  });

  it('takes nothing that somebody else put there, and is read all the same', async () => {
    await redis.flushall();
    await shareLearned([piece(), piece({ kind: 'Size of /etc/passwd' }), piece({ came: -1 })], redis);
    const hostile = [
      'no JSON',
      '{"reckoned":1e999,"came":1,"at":1}',
      '{"reckoned":1,"came":"9","at":1}',
      '{"__proto__":{"came":1}}',
      `{"reckoned":1,"came":1,"at":${NOW + 40 * 86_400_000}}`,
      `{"reckoned":1,"came":1,"at":1,"x":"${'y'.repeat(1_000)}"}`,
      '[]',
    ];
    await redis.rpush(experienceKey('size|libx264|hd'), ...hostile);
    // A kind that is of another type, one of no such name, and one without any pieces.
    await redis.set(experienceKey('size|a|string'), 'x');
    await redis.zadd(EXPERIENCE_KEY, 1, 'size|a|string', 2, '../x', 3, 'size|none');
    const { kinds } = await readSharedExperience(redis, NOW);
    expect(kinds).toEqual({ 'size|libx264|hd': [{ reckoned: 100, came: 50, at: NOW }] });
  });

  it('stays small, however many kinds there are', async () => {
    await redis.flushall();
    for (let at = 0; at < KINDS_AT_MOST + 20; at++)
      await shareLearned([piece({ kind: `size|k${at}`, at: NOW + at })], redis);
    expect(await redis.dbsize()).toBe(KINDS_AT_MOST + 1);
    const { kinds } = await readSharedExperience(redis, NOW);
    expect(kinds['size|k0']).toBeUndefined();
    expect(kinds[`size|k${KINDS_AT_MOST + 19}`]).toHaveLength(1);
  });
});
