import { randomFillSync } from 'node:crypto';
import { mkdir, symlink, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { xxhash64, xxhash128 } from 'hash-wasm';
import { afterAll, expect, it } from 'vitest';
import { GoodgateError } from '../../../jobs/errors.js';
import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import { spanPath } from '../../../jobs/manifest/span-path.js';
import { hashBeside } from '../../../workers/hash-list/hash-beside.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const never = new AbortController().signal;

function factsOf(bytes: number, durationSeconds: number | null): ClipFacts {
  const container = { format: 'x', startTimecode: null, reel: null, chapters: 0, tags: {} };
  return {
    ...{ bytes, modified: '2026-11-30T20:00:00.000Z', video: null, audio: [], otherStreams: [], notes: [] },
    container: { ...container, durationSeconds },
  };
}

async function written(name: string, bytes: Buffer): Promise<string> {
  const path = join(folder.path, name);
  await mkdir(join(path, '..'), { recursive: true });
  await writeFile(path, bytes);
  return path;
}

it('hashes every byte of one file, of a link to it, and of parts one after the other', async () => {
  const [one, two] = [Buffer.alloc(5 << 20, 'a'), Buffer.from('the end')];
  const first = await written('one/1.mov', one);
  const second = await written('two/1.mov', two);
  const link = join(folder.path, 'link.mov');
  await symlink(first, link);
  const rows = [
    [first, one],
    [link, one],
    [spanPath(first, [second]), Buffer.concat([one, two])],
  ] as const;
  for (const [path, content] of rows) {
    const beside = await hashBeside({ path, facts: factsOf(content.length, 1) }, never);
    expect(await beside.finish()).toEqual({ format: 'xxh128', value: await xxhash128(content) });
  }
});

it('reads no more than 136 MiB ahead of the decoder, and the rest when that has ended', async () => {
  // All holes: no byte of it lies on the disk.
  const path = await written('large.mov', Buffer.from('x'));
  const bytes = 400 << 20;
  await truncate(path, bytes);
  let read = 0;
  let wait: { readonly until: number; readonly then: () => void } | null = null;
  const beside = await hashBeside({ path, facts: factsOf(bytes, 10) }, never, (share) => {
    read = share * bytes;
    if (wait !== null && read >= wait.until) wait.then();
  });
  for (const reached of [0, 0.25]) {
    beside.reached(reached);
    const limit = reached * bytes + (128 << 20);
    await new Promise<void>((then) => {
      wait = { until: limit, then };
      if (read >= limit) then();
    });
    // Whatever reads on by itself would do so now.
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(read).toBeLessThanOrEqual(limit + (8 << 20));
  }
  await beside.finish();
  expect(read).toBe(bytes);
});

it('ends at once where the work is interrupted while it waits for the decoder', async () => {
  const interrupt = new AbortController();
  const path = join(folder.path, 'large.mov');
  const beside = await hashBeside({ path, facts: factsOf(400 << 20, 10) }, interrupt.signal);
  interrupt.abort();
  await expect(beside.finish()).rejects.toMatchObject({ code: 'interrupted' });
  await beside.stop();
});

it('names the file that is not as listed, and takes that for the reason why it did not decode', async () => {
  const content = randomFillSync(Buffer.alloc(1000));
  const path = await written('listed.mov', content);
  const facts = factsOf(1000, 1);
  const listed = { format: 'xxh64', value: await xxhash64(content) } as const;
  const whole = await hashBeside({ path, facts, listed }, never);
  expect((await whole.finish()).value).toBe(await xxhash128(content));
  const wrong = { ...listed, value: '0123456789abcdef' };
  const damaged = await hashBeside({ path, facts, listed: wrong }, never);
  await expect(damaged.finish()).rejects.toMatchObject({
    code: 'clip-damaged',
    what: `the clip is not as in the hash list of its card: listed.mov: its xxh64 is ${listed.value}, listed is ${wrong.value}`,
  });
  const failed = new GoodgateError('ffmpeg-failed', { what: 'x' });
  expect(await damaged.explain(failed)).toMatchObject({ code: 'clip-damaged' });
  expect(await whole.explain(failed)).toBe(failed);
  // A full disk is no fault of the copy.
  const full = new GoodgateError('disk-full', { what: 'x' });
  expect(await damaged.explain(full)).toBe(full);
});
