import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { OutputRecipe, PlannedClip } from '../../../jobs/plan/plan.js';
import { findFont } from '../../../workers/capabilities/find-font.js';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { Making, NOISE } from './making.js';
import { codec, DISPLAY } from './recipes.js';

/** Copies of originals with something that few have, and of pictures that are changed, read back. */
let making: Making;
let original: PlannedClip;
let fontFile: string | null;

beforeAll(async () => {
  making = await Making.begin();
  fontFile = await findFont();
  original = await making.source(
    'original.mkv',
    NOISE,
    '-pix_fmt',
    'yuv422p10le',
    '-c:v',
    'ffv1',
    '-c:a',
    'pcm_s24le',
  );
});
afterAll(() => making.end());

function make(recipe: Partial<OutputRecipe>, clip = original): ReturnType<Making['make']> {
  return making.make(recipe, clip, fontFile);
}

describe('a copy', () => {
  it.each(['mp4', 'mkv'] as const)(
    'has no HDR metadata that leaks from an HDR original into an output that has none, in %s',
    async (container) => {
      const master = 'G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50)';
      const clip = await making.source(
        `hdr.${container}`,
        NOISE,
        ...['-pix_fmt', 'yuv420p10le', '-c:v', 'libx265', '-c:a', 'aac'],
        ...['-x265-params', `log-level=none:master-display=${master}:max-cll=1000,180`],
      );
      expect(clip.facts.video?.hdr).toEqual(DISPLAY);
      for (const video of [codec('libx264', 'yuv420p'), codec('libx265', 'yuv420p10le')]) {
        const made = await make({ container, video }, clip);
        expect(made.video?.hdr).toEqual({ mastering: null, lightLevel: null });
      }
    },
  );
  it('has every frame once whatever the clock of the container and the start of the picture', async () => {
    const late = await making.source(
      'late.mkv',
      `${NOISE},setpts=PTS+0.7/TB`,
      ...['-pix_fmt', 'yuv422p10le', '-c:v', 'ffv1', '-c:a', 'pcm_s16le', '-t', '2'],
    );
    const made = await make(
      { container: 'mov', video: codec('libx264', 'yuv422p10le', { lossless: true }) },
      late,
    );
    expect(made.video?.frames).toBe(10);
    expect(await making.hash(made.path, 'yuv422p10le')).toBe(await making.hash(late.path, 'yuv422p10le'));
  });

  it('does not fill the disk because one time stamp is wrong', async () => {
    const broken = await making.source(
      'broken.mkv',
      NOISE,
      ...['-vf', "setpts='if(eq(N,9),PTS+100000/TB,PTS)'", '-fps_mode', 'passthrough'],
      ...['-pix_fmt', 'yuv420p', '-c:v', 'ffv1', '-an', '-t', '200000'],
    );
    // It holds ten frames and says 0.334 s, 10.01 frames at 30000/1001: twice 11 and a thousand are let
    // through.
    const { video } = broken.facts;
    const facts = { ...broken.facts, video: video && { ...video, durationSeconds: 0.334 } };
    const made = await make({ container: 'mkv', video: codec('libx264', 'yuv420p') }, { ...broken, facts });
    expect(made.video?.frames).toBe(1022);
  });

  it('is turned once, and the file does not ask for it again', async () => {
    const turned = join(making.folder, 'turned.mp4');
    const upright = await making.source(
      'upright.mp4',
      NOISE,
      '-pix_fmt',
      'yuv420p',
      '-c:v',
      'libx264',
      '-c:a',
      'aac',
    );
    await runFfmpeg({
      inputs: [{ path: upright.path, options: [] }],
      outputs: [{ path: turned, options: ['-c', 'copy', '-metadata:s:v:0', 'rotate=90', '-f', 'mp4'] }],
    });
    const facts = await probeClip(turned);
    const rotation = facts.video?.rotation === 90 ? 90 : 270;
    const raster = { width: 72, height: 128, fit: 'exact' as const, scaledWidth: 72, scaledHeight: 128 };
    const made = await make(
      { container: 'mp4', video: codec('libx264', 'yuv420p'), rotation, raster },
      { ...upright, path: turned, facts },
    );
    expect(facts.video?.rotation).not.toBe(0);
    expect(made.video).toMatchObject({ width: 72, height: 128, rotation: 0 });
  });
});

describe('a picture', () => {
  it('carries burnt-in name and timecode', async () => {
    const plain = await make({ container: 'mkv', video: codec('ffv1', 'yuv422p10le') });
    const burnt = await make({
      container: 'mkv',
      video: codec('ffv1', 'yuv422p10le'),
      burnIn: { clipName: "it's 100% [a]: b.mov", timecode: '01:00:00;02', reel: null, text: null },
    });
    expect(await making.hash(burnt.path, 'yuv422p10le')).not.toBe(
      await making.hash(plain.path, 'yuv422p10le'),
    );
  });

  it('keeps fields through prores and h264', async () => {
    const fields = await making.source(
      'fields.mov',
      'testsrc2=s=128x72:r=50',
      ...['-vf', 'tinterlace=interleave_top,setfield=tff'],
      ...['-pix_fmt', 'yuv422p10le', '-c:v', 'prores_ks', '-flags', '+ildct', '-c:a', 'pcm_s16le'],
    );
    const scan = 'interlaced-tff' as const;
    expect(fields.facts.video?.scan).toBe(scan);
    for (const video of [codec('prores_ks', 'yuv422p10le'), codec('libx264', 'yuv422p10le')]) {
      const made = await make({ video, scan, sourceScan: scan, frameRate: '25/1' }, fields);
      expect(made.video).toMatchObject({ scan, frames: fields.facts.video?.frames });
    }
    const frames = await make({ deinterlace: true, sourceScan: scan, frameRate: '25/1' }, fields);
    expect(frames.video).toMatchObject({ scan: 'progressive', frames: fields.facts.video?.frames });
  });

  it('is sized, padded and cut', async () => {
    const video = codec('libx264', 'yuv420p');
    const padded = await make({
      video,
      raster: { width: 128, height: 128, fit: 'pad', scaledWidth: 128, scaledHeight: 72 },
    });
    const cut = await make({
      video,
      raster: { width: 72, height: 72, fit: 'crop', scaledWidth: 128, scaledHeight: 72 },
    });
    const small = await make({
      video,
      raster: { width: 64, height: 36, fit: 'exact', scaledWidth: 64, scaledHeight: 36 },
    });
    expect([padded, cut, small].map(({ video: made }) => [made?.width, made?.height])).toEqual([
      [128, 128],
      [72, 72],
      [64, 36],
    ]);
  });
});
