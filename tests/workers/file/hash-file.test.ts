import { open, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { hashFile, sampleDigest } from '../../../workers/file/hash-file.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = join(folder.path, 'file');

/** FIPS 180-4, examples of SHA-256 (the values from memory): the messages "abc" and a million times "a". */
const SHA_OF_ABC = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad';
const SHA_OF_A_MILLION_A = 'cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0';

describe('hashFile', () => {
  it('gives the SHA-256 of the standard examples, and how far it is', async () => {
    await writeFile(path, 'abc');
    expect(await hashFile(path)).toBe(SHA_OF_ABC);
    await writeFile(path, 'a'.repeat(1_000_000));
    const fractions: number[] = [];
    expect(await hashFile(path, { onProgress: (f) => fractions.push(f) })).toBe(SHA_OF_A_MILLION_A);
    expect(fractions.at(-1)).toBe(1);
  });

  it('stops when it is told to, and names a file that is not there', async () => {
    const stopped = hashFile(path, { signal: AbortSignal.abort() });
    await expect(stopped).rejects.toMatchObject({ code: 'interrupted' });
    await expect(hashFile(join(folder.path, 'gone'))).rejects.toMatchObject({ code: 'missing-file' });
  });
});

describe('sampleDigest', () => {
  async function digestOf(content: Buffer): Promise<string> {
    await writeFile(path, content);
    const file = await open(path);
    return sampleDigest(file, content.length).finally(() => file.close());
  }

  it.each([1, 65_536, 65_537, 100_000, 1 << 20])('sees any change in a file of %i bytes', async (bytes) => {
    const digests = new Set<string>();
    const places = [-1, 0, bytes >> 2, bytes >> 1, bytes - 1];
    for (const place of places) {
      const content = Buffer.alloc(bytes);
      if (place >= 0) content[place] = 1;
      digests.add(await digestOf(content));
    }
    expect(digests.size).toBe(new Set(places).size);
  });

  it('of a longer file sees its size, head, tail and places between', async () => {
    const bytes = 4 << 20;
    const changed = (place: number): Buffer => {
      const content = Buffer.alloc(bytes);
      content[place] = 1;
      return content;
    };
    const contents = [Buffer.alloc(bytes), Buffer.alloc(bytes + 1), changed(0), changed(bytes - 1)];
    const digests = new Set<string>();
    for (const content of contents) digests.add(await digestOf(content));
    expect(digests.size).toBe(contents.length);
  });
});
