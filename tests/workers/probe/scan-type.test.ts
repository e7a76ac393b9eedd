import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { type MotionVotes, votesOfMotion } from '../../../workers/probe/scan-by-motion.js';
import { containerFieldOrder, scanByPicture, statedScan } from '../../../workers/probe/scan-type.js';

const P = { interlaced_frame: false, top_field_first: false, side_data_list: [] };
const T = { interlaced_frame: true, top_field_first: true, side_data_list: [] };
const B = { interlaced_frame: true, top_field_first: false, side_data_list: [] };

/** `tb` is QuickTime's code 9, written for top field first; `bt` is 14 (common practice, no source). */
describe('scan', () => {
  it.each([
    ['progressive said twice', 'h264', 'progressive', [P, P], 'progressive'],
    ['top first said twice', 'h264', 'tt', [T, T], 'interlaced-tff'],
    ['bottom first said twice', 'mpeg2video', 'bb', [B], 'interlaced-bff'],
    ['woven, top first', 'prores', 'tb', [T, T], 'interlaced-tff'],
    ['woven, bottom first', 'prores', 'bt', [B], 'interlaced-bff'],
    ['woven, and frames that say nothing', 'v210', 'tb', [P], 'interlaced-tff'],
    ['frames alone', 'h264', 'unknown', [T], 'interlaced-tff'],
    ['progressive frames alone, of a codec that would say', 'h264', undefined, [P], 'progressive'],
    ['frames of a codec that would not say', 'v210', undefined, [P], null],
    ['nothing at all', 'v210', undefined, [], null],
  ])('%s', (_, codec, order, frames, wanted) => {
    expect(statedScan(codec, order, frames)).toEqual({ scan: wanted, note: null, open: 'nothing' });
  });

  it.each([
    ['container interlaced, frames progressive', 'tt', [P], null, 'scan'],
    ['container and frames of opposite order: fields, by the frames', 'tt', [B], 'interlaced-bff', 'order'],
    ['the other way round', 'bb', [T], 'interlaced-tff', 'order'],
    ['container of fields, frames of both kinds', 'tt', [T, P], 'interlaced-tff', 'scan'],
    ['container silent, frames of both kinds', undefined, [T, P], null, 'scan'],
    ['frames of both orders', 'tt', [T, B], 'interlaced-tff', 'order'],
    ['frames of both orders alone', undefined, [B, T], 'interlaced-bff', 'order'],
    ['a container that says progressive by default', 'progressive', [T], 'interlaced-tff', 'nothing'],
  ])('a contradiction is said: %s', (_, order, frames, wanted, open) => {
    const found = statedScan('h264', order, frames);
    expect(found).toMatchObject({ scan: wanted, open });
    expect(found.note).toMatch(/^scan: /);
  });

  it.each<[string, string, (typeof P)[], MotionVotes | null, string | null]>([
    ['moves by the container', 'tt', [B], { top: 20, bottom: 1, progressive: 0 }, 'interlaced-tff'],
    ['moves by the frames', 'tt', [B], { top: 0, bottom: 20, progressive: 0 }, 'interlaced-bff'],
    [
      'fields of one time: what was stated stands',
      'tt',
      [B],
      { top: 0, bottom: 0, progressive: 20 },
      'interlaced-bff',
    ],
    ['speaks for both', 'tt', [B], { top: 9, bottom: 8, progressive: 0 }, 'interlaced-bff'],
    ['nothing was decoded', 'tt', [B], null, 'interlaced-bff'],
    [
      'frames called progressive that comb',
      'tt',
      [P],
      { top: 12, bottom: 0, progressive: 3 },
      'interlaced-tff',
    ],
    ['progressive in fields', 'tt', [P], { top: 0, bottom: 0, progressive: 20 }, 'progressive'],
    ['thin', 'tt', [P], { top: 1, bottom: 0, progressive: 1 }, null],
  ])('the picture decides: %s', (_, order, frames, votes, wanted) => {
    expect(scanByPicture(statedScan('h264', order, frames), votes).scan).toBe(wanted);
  });

  it.each([
    ["a box that is not there: the word is a parser's", 'tt', null, undefined],
    ['a box', 'tt', 'interlaced-bff', 'bb'],
    ['a woven code', 'tb', 'interlaced-tff', 'tb'],
    ['another container', 'tt', undefined, 'tt'],
  ] as const)("the container's word: %s", (_, order, boxed, wanted) => {
    expect(containerFieldOrder(order, boxed)).toBe(wanted);
  });
});

/**
 * A sliding texture at 50 pictures a second, woven two by two into 25 frames: the field that comes first is
 * known.
 */
describe('the scan of a file whose layers contradict one another', () => {
  let folder = '';
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'goodgate-scan-'));
  });
  afterAll(() => rm(folder, { recursive: true, force: true }));

  async function draw(name: string, ...options: string[]): Promise<string> {
    const path = join(folder, name);
    const result = await runFfmpeg({
      inputs: [{ path: SLIDE, options: ['-f', 'lavfi'] }],
      outputs: [{ path, options }],
    });
    expect(result.errors).toEqual([]);
    return path;
  }

  const SLIDE =
    'color=gray:s=128x96:r=50:d=1,noise=alls=100:all_seed=5,gblur=sigma=2,scroll=horizontal=0.015,format=yuv422p';
  const WEAVE = { top: 'tinterlace=interleave_top', bottom: 'tinterlace=interleave_bottom' };
  const AVC = ['-c:v', 'libx264', '-crf', '12', '-pix_fmt', 'yuv422p'];

  it('bottom-first H.264 in MP4: the frames are believed, and there is no contradiction', async () => {
    const filter = `${WEAVE.bottom},setfield=bff`;
    const path = await draw(
      'bff.mp4',
      '-vf',
      filter,
      ...AVC,
      '-flags',
      '+ilme+ildct',
      '-x264-params',
      'bff=1',
    );
    const facts = await probeClip(path);
    expect(facts.video?.scan).toBe('interlaced-bff');
    expect(facts.notes.filter((note) => note.startsWith('scan'))).toEqual([]);
  });

  it.each([
    ['top', 'bff', 'bff=1'],
    ['bottom', 'tff', 'tff=1'],
  ] as const)(
    'Matroska that says otherwise than its frames: it moves %s first',
    async (moves, flag, params) => {
      const filter = `${WEAVE[moves]},setfield=${flag}`;
      const options = ['-flags', '+ilme+ildct', '-x264-params', params];
      const order = moves === 'top' ? 'tt' : 'bb';
      const path = await draw(`${moves}.mkv`, '-vf', filter, ...AVC, ...options, '-field_order', order);
      const votes = await votesOfMotion(path, 0, {});
      const facts = await probeClip(path);
      expect({ votes, scan: facts.video?.scan }).toMatchObject({
        scan: moves === 'top' ? 'interlaced-tff' : 'interlaced-bff',
      });
      expect(facts.notes.join()).toContain('its motion is');
    },
  );
});
