import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { reasonInPlainWords } from '../../../workers/probe/unreadable-reason.js';

const run = promisify(execFile);
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-header-test-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

async function file(name: string, ...options: string[]): Promise<string> {
  const path = join(folder, name);
  await run('ffmpeg', ['-v', 'error', '-y', ...options, path]);
  return path;
}
const picture = (size: string): string[] => [
  '-f',
  'lavfi',
  '-i',
  `testsrc2=s=${size}:r=25`,
  '-frames:v',
  '5',
];

describe('a header that does not fit the pictures', () => {
  it.each([
    ['bt709', 'gbr'],
    // Says nothing: it stays said by nobody.
    ['unknown', null],
  ])("a matrix of %s where the pictures are R'G'B'", async (stated, told) => {
    const rgb = ['-c:v', 'ffv1', '-pix_fmt', 'gbrp10le', '-colorspace', stated];
    const { video, notes } = await probeClip(await file(`${stated}.mkv`, ...picture('64x36'), ...rgb));
    expect(video?.pixelFormat).toBe('gbrp10le');
    expect(video?.colour.matrix).toBe(told);
    expect(notes.filter((note) => note.includes("R'G'B'"))).toHaveLength(told === null ? 0 : 1);
  });

  it('another raster than that of the pictures: theirs counts, and it is told', async () => {
    const path = await file('raster.mkv', ...picture('320x272'), '-c:v', 'libvpx');
    const bytes = await readFile(path);
    // Matroska PixelWidth (B0) and PixelHeight (BA), two bytes each (RFC 9559, clauses 5.1.4.1.28.6 and .7).
    const at = bytes.indexOf(Buffer.from('b0820140ba820110', 'hex'));
    expect(at).toBeGreaterThan(0);
    Buffer.from('b08200a0ba820088', 'hex').copy(bytes, at);
    await writeFile(path, bytes);
    const { video, notes } = await probeClip(path);
    expect(video).toMatchObject({ width: 320, height: 272, pixelFormat: 'yuv420p' });
    expect(notes).toContain('the container declares 160 x 136, the frames are 320 x 272');
  });
});

describe('a header without pictures', () => {
  it('of a recording in segments', async () => {
    const path = await file(
      'init.mp4',
      ...picture('64x36'),
      ...[
        '-c:v',
        'libx264',
        '-pix_fmt',
        'yuv420p',
        '-movflags',
        'frag_keyframe+empty_moov+default_base_moof',
      ],
    );
    const bytes = await readFile(path);
    await writeFile(path, bytes.subarray(0, bytes.indexOf('moof') - 4));
    await expect(probeClip(path)).rejects.toMatchObject({
      code: 'unreadable-clip',
      what: expect.stringMatching(/declares a picture \(h264\) but has none/),
    });
  });

  it('that can be decoded', async () => {
    const whole = await file('whole.mkv', ...picture('64x36'), '-c:v', 'libvpx-vp9');
    const path = await file('noise.mkv', '-i', whole, '-c', 'copy', '-bsf:v', 'noise=amount=1');
    await expect(probeClip(path)).rejects.toMatchObject({
      code: 'unreadable-clip',
      what: expect.stringMatching(/no frame \(vp9\) can be decoded/),
    });
  });

  it('a demuxer that reports damage as a read error does not make it one of the disk for sure', () => {
    // ffprobe 5.1 on a Matroska file of which only the tracks are left.
    const said = '[matroska,webm @ 0x1] File ended prematurely\nfile:a.mkv: Input/output error\n';
    expect(reasonInPlainWords(said, 'a.mkv')).toMatch(/damaged, or a read error/);
  });
});
