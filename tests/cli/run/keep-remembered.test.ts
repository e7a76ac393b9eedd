import { mkdir, rename } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { keepRemembered } from '../../../cli/run/keep-remembered.js';
import { readBatchEntry } from '../../../jobs/queue/batch-entries.js';
import { connect } from '../../../jobs/queue/connection.js';
import { BATCHES_KEY } from '../../../jobs/queue/names.js';
import { joinPrivateRedis, type PrivateRedis } from '../../../jobs/queue/private-redis.js';
import { openWorkshop, type Workshop } from '../../system/goodgate.js';

let shop: Workshop;
let own: PrivateRedis;
let redis: ReturnType<typeof connect>;

beforeEach(async () => {
  shop = await openWorkshop();
  await mkdir(join(shop.folder, 'card'));
  const clip = join(shop.folder, 'card', 'clip.mov');
  const source = ['-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25:d=0.2', '-c:v', 'ffv1'];
  await execa('ffmpeg', ['-v', 'error', ...source, clip]);
  own = await joinPrivateRedis(join(shop.folder, 'state'));
  redis = connect(own.server);
});
afterEach(async () => {
  redis.disconnect();
  await own.release();
  await shop.close();
});

it('a batch no worker met is put back whenever the server lost it, and only then is its folder read', async () => {
  const args = ['submit', 'card', '--target', 'proxy-h264', '--out', 'out', '--json'];
  const submitted = await shop.start(args);
  expect(submitted.exitCode, `${submitted.stderr}`).toBe(0);
  const { batch } = JSON.parse(String(submitted.stdout));
  const isKnown = async (): Promise<boolean> => (await readBatchEntry(batch, redis)) !== null;
  const log = { info: () => undefined, warn: () => undefined };
  const stateFolder = join(shop.folder, 'state');
  const kept = keepRemembered({ stateFolder, server: own.server, redis, log });
  try {
    await kept.look();
    // The server tells that it lost nothing: what is missing was taken off by somebody.
    const entry = (await redis.hget(BATCHES_KEY, batch)) ?? '';
    await redis.hdel(BATCHES_KEY, batch);
    await kept.look();
    expect(await isKnown()).toBe(false);
    await redis.hset(BATCHES_KEY, batch, entry);

    await redis.flushall();
    await kept.look();
    expect(await isKnown()).toBe(true);

    // A folder that is not there at the moment holds up nothing.
    await rename(join(shop.folder, 'out'), join(shop.folder, 'away'));
    await redis.flushall();
    await kept.look();
    expect(await isKnown()).toBe(false);
  } finally {
    kept.close();
  }
});
