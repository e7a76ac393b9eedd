import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { comparison } from '../../jobs/comparison/comparison.js';
import { temporaryFolder } from '../media/known-clip.js';
import { runCommand } from './run-command.js';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
const at = (name: string): string => `${folder.path}/${name}`;
const ffmpeg = (...args: string[]) =>
  execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args], { stdin: 'ignore' });

beforeAll(async () => {
  folder = await temporaryFolder();
  await ffmpeg(
    ...['-f', 'lavfi', '-i', 'testsrc2=s=128x72:r=25', '-frames:v', '10', '-pix_fmt', 'yuv422p10le'],
    ...['-c:v', 'prores_ks', '-colorspace', 'bt709', '-color_primaries', 'bt709', '-color_trc', 'bt709'],
    at('tagged.mov'),
  );
  // The frame headers of the codec keep the tags: they are taken off by rawvideo, whose samples are the same.
  const raw = ['-c:v', 'v210', '-f', 'mov'];
  const bt709 = 'setparams=colorspace=bt709:color_primaries=bt709:color_trc=bt709';
  await ffmpeg(
    ...['-i', at('tagged.mov'), '-vf', bt709, ...raw, at('raw709.mov')],
    ...['-vf', 'setparams=colorspace=unknown:color_primaries=unknown:color_trc=unknown', ...raw],
    ...['-movflags', '-write_colr', at('untagged.mov')],
  );
  for (const [name, delay] of [
    ['tone', 0],
    ['late', 24],
  ] as const)
    await ffmpeg(
      ...['-f', 'lavfi', '-i', 'sine=1000:r=48000:d=2', '-af', `adelay=${delay}S:all=1,atrim=0:2`],
      ...['-c:a', 'pcm_s24le', at(`${name}.wav`)],
    );
});
afterAll(() => folder.remove());

describe('a tag that was lost changes no sample', () => {
  it.each([
    ['raw709.mov', 'untagged.mov'],
    ['untagged.mov', 'raw709.mov'],
    ['untagged.mov', 'untagged.mov'],
  ])('%s and %s', async (original, copy) => {
    const { out, code } = await runCommand('compare', at(original), at(copy), '--json');
    const { picture, whole } = comparison.parse(JSON.parse(out));
    expect(picture?.mistake).toBeNull();
    expect(picture?.bitsKept).toBe(10);
    expect(whole?.planes.map(({ psnr }) => psnr)).toEqual([null, null, null]);
    expect(code).toBe(0);
  });
});

describe('a steady tone', () => {
  it('is the same as itself', async () => {
    const { out, code } = await runCommand('compare', at('tone.wav'), at('tone.wav'));
    expect(out).toContain('Sound stream 1: in step to the sample');
    expect(code).toBe(0);
  });

  it('late by half a period: its offset cannot be told', async () => {
    const { out, code } = await runCommand('compare', at('tone.wav'), at('late.wav'));
    expect(out).toMatch(/UNMEASURED: Sound of the original: .*its offset cannot be told/);
    expect(out).not.toContain('polarity');
    expect(code).toBe(3);
  });
});
