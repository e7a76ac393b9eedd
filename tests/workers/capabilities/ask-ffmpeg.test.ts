import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Capabilities, capabilities } from '../../../jobs/plan/capabilities.js';
import { askCapabilities } from '../../../workers/capabilities/ask-ffmpeg.js';
import {
  readEncoderNames,
  readFilterNames,
  readMuxerNames,
  readPixelFormats,
  readVersion,
} from '../../../workers/capabilities/read-lists.js';

let folder: string;
/** What was told when nothing was remembered yet: asking takes a dozen starts. */
let first: Capabilities;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-ask-'));
  first = await askCapabilities({ cacheFolder: folder });
});
afterAll(() => rm(folder, { recursive: true, force: true }));

describe('the lists, in the forms they have had', () => {
  it.each([
    [
      '5.1',
      ' ------\n V....D libx264              H.264\n VFS..D ffv1                 FFmpeg video codec #1\n A....D pcm_s24le  PCM\n',
    ],
    [
      'with its legend',
      ' V..... = Video\n A..... = Audio\n ------\n V....D libx264  x\n VF...D ffv1 y\n A....D pcm_s24le z\n',
    ],
  ])('encoders, %s', (_, text) => {
    expect(readEncoderNames(text)).toEqual(['libx264', 'ffv1', 'pcm_s24le']);
  });

  it.each([
    [
      'three flags',
      'Filters:\n  T.. = Timeline support\n  A = Audio\n ... abench            A->A       Benchmark\n TSC zscale           V->V       Scale\n ..C concat N->N x\n',
    ],
    [
      'two flags',
      'Filters:\n  T. = Timeline support\n  | = Source or sink filter\n .. abench            A->A       Benchmark\n TS zscale            V->V       Scale\n .. concat            N->N       x\n',
    ],
  ])('filters, %s', (_, text) => {
    expect(readFilterNames(text)).toEqual(['abench', 'zscale', 'concat']);
  });

  it.each([
    [
      'two columns',
      'File formats:\n D. = Demuxing supported\n .E = Muxing supported\n --\n  E matroska        Matroska\n  E mov             QuickTime\n  E stream_segment,ssegment x\n',
    ],
    [
      'three columns',
      'Formats:\n D.. = Demuxing supported\n .E. = Muxing supported\n ..d = Is a device\n ---\n  E  matroska        Matroska\n  E  mov             QuickTime\n  Ed sdl,sdl2        SDL\n',
    ],
  ])('muxers, %s', (_, text) => {
    expect(readMuxerNames(text)).toEqual(expect.arrayContaining(['matroska', 'mov']));
    expect(readMuxerNames(text)).toHaveLength(4);
  });

  it('pixel formats of an encoder, none for sound', () => {
    expect(
      readPixelFormats('Encoder x\n    Supported pixel formats: yuv422p10le gbrp12le\nx AVOptions:\n'),
    ).toEqual(['yuv422p10le', 'gbrp12le']);
    expect(readPixelFormats('Encoder aac\n    Supported sample rates: 48000\n')).toEqual([]);
  });

  it.each([
    ['ffmpeg version 5.1.9-0+deb12u1 Copyright (c) 2000', '5.1.9-0+deb12u1'],
    ['ffprobe version 9.0 Copyright', '9.0'],
    ['ffmpeg version N-12345-gabcdef Copyright', 'N-12345-gabcdef'],
    ['avconv 1', null],
  ])('version of %j', (text, version) => {
    expect(readVersion(text)).toBe(version);
  });
});

describe('askCapabilities', () => {
  it('gives what this ffmpeg says of itself', async () => {
    const found = first;
    expect(capabilities.parse(found)).toEqual(found);
    const ffmpeg = (...args: string[]) =>
      execFileSync('ffmpeg', ['-hide_banner', ...args], { encoding: 'utf8' });
    expect(execFileSync('ffmpeg', ['-version'], { encoding: 'utf8' })).toContain(
      `version ${found.ffmpegVersion} `,
    );
    for (const [encoder, formats] of Object.entries(found.encoders)) {
      const help = ffmpeg('-h', `encoder=${encoder}`);
      for (const format of formats) expect(help).toContain(format);
    }
    // The planner leans on these: prores_ks takes 10 bits and cfhd 12-bit RGB (libavcodec, pix_fmts of both).
    expect(found.encoders.prores_ks).toContain('yuv422p10le');
    expect(found.encoders.cfhd).toContain('gbrp12le');
    expect(found.encoders.aac).toEqual([]);
    expect(found.filters).toEqual(expect.arrayContaining(['scale', 'showinfo', 'bwdif', 'metadata']));
    expect(found.muxers).toEqual(expect.arrayContaining(['mov', 'mp4', 'matroska', 'mxf']));
    expect(found.fontFile === null || existsSync(found.fontFile)).toBe(true);
  });

  it('remembers per version of ffmpeg, and asks again when the memory is damaged', async () => {
    const [name] = await readdir(folder);
    const file = join(folder, name ?? '');
    const remembered = JSON.parse(await readFile(file, 'utf8'));
    await writeFile(file, JSON.stringify({ ...remembered, filters: ['only-in-memory'] }));
    expect((await askCapabilities({ cacheFolder: folder })).filters).toEqual(['only-in-memory']);
    await writeFile(file, '{"half":');
    expect(await askCapabilities({ cacheFolder: folder })).toEqual(first);
  });

  it('works without a place to remember in', async () => {
    const file = join(folder, 'a-file');
    await writeFile(file, '');
    await expect(askCapabilities({ cacheFolder: file })).resolves.toHaveProperty('cores');
  });

  it.each([{ tools: { ffmpeg: '/nowhere/ffmpeg' } }, { tools: { ffprobe: '/nowhere/ffprobe' } }])(
    'misses %j',
    async (paths) => {
      await expect(askCapabilities(paths)).rejects.toMatchObject({ code: 'missing-tool' });
    },
  );
});
