import { readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { decodesOnOneThread } from '../../../workers/capabilities/decoder-threads.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const program = join(folder.path, 'ffmpeg');
const starts = join(folder.path, 'starts');

/** A program that answers as ffmpeg does, and writes down each time it is started. */
async function writeProgram(): Promise<void> {
  const answer = 'Decoder a [A]:\\n    Threading capabilities: none\\n';
  await writeFile(program, `#!/bin/sh\necho x >> '${starts}'\nprintf '${answer}'\n`, { mode: 0o755 });
}

describe('threads of a decoder', () => {
  it('are asked once for each codec, and again where there was no answer', async () => {
    await expect(decodesOnOneThread('mjpeg', { ffmpeg: program })).rejects.toMatchObject({
      code: 'missing-tool',
    });
    await writeProgram();
    expect(await Promise.all([1, 2, 3].map(() => decodesOnOneThread('mjpeg', { ffmpeg: program })))).toEqual([
      true,
      true,
      true,
    ]);
    expect(await readFile(starts, 'utf8')).toBe('x\n');
    expect(await decodesOnOneThread('prores', { ffmpeg: program })).toBe(true);
    expect(await readFile(starts, 'utf8')).toBe('x\nx\n');
    await rm(program);
    expect(await decodesOnOneThread('prores', { ffmpeg: program })).toBe(true);
  });
});
