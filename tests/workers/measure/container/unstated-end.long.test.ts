import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { GoodgateError } from '../../../../jobs/errors.js';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { judge } from '../../../../workers/judge/judge.js';
import { temporaryFolder } from '../../../media/known-clip.js';
import { measureFile } from '../../../media/measure-file.js';

/**
 * Files of every kind of container, whole and cut by their last third: whole they are never accused, cut they
 * never pass. Those that do not say how much they hold pass by nothing but a length that is stated.
 */
const folder = await temporaryFolder();
afterAll(folder.remove);

const PICTURE = ['-f', 'lavfi', '-i', 'testsrc2=s=64x64:r=25:d=1'];
const SOUND = ['-f', 'lavfi', '-i', 'sine=d=1:r=48000'];
const H264 = ['-pix_fmt', 'yuv420p', '-c:v', 'libx264', '-g', '5', '-preset', 'ultrafast'];
const FRAGMENTS = [...PICTURE, ...H264, '-movflags'];

const FILES: readonly (readonly [name: string, stated: boolean, args: readonly string[]])[] = [
  ['h264.ts', false, [...PICTURE, ...SOUND, ...H264]],
  ['fragments.mp4', false, [...FRAGMENTS, 'frag_keyframe+empty_moov+skip_trailer']],
  ['listed.mp4', true, [...FRAGMENTS, 'frag_keyframe']],
  ['live.mkv', false, [...PICTURE, ...H264, '-live', '1']],
  ['raw.h264', false, [...PICTURE, ...H264]],
  ['theora.ogv', true, [...PICTURE, '-c:v', 'libtheora']],
  ['h264.flv', true, [...PICTURE, ...H264]],
  ['sound.aac', false, [...SOUND]],
  ['sound.ac3', false, [...SOUND]],
  ['sound.flac', true, [...SOUND]],
];

async function decodeFinding(path: string, require: object = {}) {
  try {
    const measurement = await measureFile(path);
    const verdict = judge(measurement, { name: 't', require: requirementSet.parse(require) }, {});
    const found = verdict.findings.find(({ requirement }) => requirement === 'decode');
    return {
      outcome: found?.outcome,
      stated: measurement.decode.endStated,
      frames: measurement.video?.frames,
    };
  } catch (error) {
    if (error instanceof GoodgateError && error.code === 'unreadable-clip') return { outcome: 'unreadable' };
    throw error;
  }
}

describe('how much a file holds', () => {
  it.each(FILES)('%s', async (name, stated, args) => {
    const path = join(folder.path, name);
    await execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args, path]);
    expect(await decodeFinding(path)).toMatchObject({ outcome: stated ? 'pass' : 'unmeasured', stated });
    const bytes = await readFile(path);
    const cut = join(folder.path, `cut ${name}`);
    await writeFile(cut, bytes.subarray(0, Math.floor((bytes.length * 2) / 3 / 188) * 188));
    const { outcome } = await decodeFinding(cut);
    expect(['fail', 'unmeasured', 'unreadable']).toContain(outcome);
  });

  it('is proved by a length that the target states', async () => {
    const path = join(folder.path, 'h264.ts');
    expect(await decodeFinding(path, { 'frame-count': { is: 25 } })).toMatchObject({ outcome: 'pass' });
    const finding = judge(
      await measureFile(join(folder.path, 'cut h264.ts')),
      { name: 't', require: requirementSet.parse({ 'frame-count': { is: 25 } }) },
      {},
    ).findings.find(({ requirement }) => requirement === 'frame-count');
    expect(finding?.outcome).toBe('fail');
  });
});
