import { execFileSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { describePixelFormat } from '../../../workers/probe/pixel-format.js';

const listed = z.object({
  pixel_formats: z.array(
    z.object({
      name: z.string(),
      log2_chroma_w: z.number().default(0),
      log2_chroma_h: z.number().default(0),
      nb_components: z.number(),
      flags: z.object({
        rgb: z.number(),
        alpha: z.number(),
        hwaccel: z.number(),
        palette: z.number(),
        bitstream: z.number(),
      }),
      components: z.array(z.object({ bit_depth: z.number() })).default([]),
    }),
  ),
});
const SHIFTS: Record<string, string> = { '0,0': '4:4:4', '1,0': '4:2:2', '1,1': '4:2:0', '2,0': '4:1:1' };

/** Source: ffmpeg's own pixel format descriptors, as `ffprobe -show_pixel_formats` lists them. */
const formats = listed.parse(
  JSON.parse(
    execFileSync('ffprobe', ['-v', 'error', '-show_pixel_formats', '-of', 'json'], { encoding: 'utf8' }),
  ),
).pixel_formats;

describe('describePixelFormat', () => {
  it('agrees with ffmpeg on every format it knows', () => {
    const wrong = formats.flatMap((format) => {
      const ours = describePixelFormat(format.name);
      if (ours === null || format.flags.palette) return [];
      const colours = format.nb_components - (format.flags.alpha ? 1 : 0);
      const theirs = {
        bitDepth: Math.max(...format.components.slice(0, colours).map((component) => component.bit_depth)),
        chroma: colours === 1 ? '4:0:0' : SHIFTS[`${format.log2_chroma_w},${format.log2_chroma_h}`],
        rgb: format.flags.rgb === 1 || format.name.startsWith('rgb'),
      };
      return JSON.stringify(ours) === JSON.stringify(theirs) ? [] : [{ name: format.name, ours, theirs }];
    });
    expect(wrong).toEqual([]);
  });

  it('knows every format of 8 bits and more, but for surfaces, mosaics and rare samplings', () => {
    const unknown = formats
      .filter((format) => !format.flags.hwaccel && !format.flags.bitstream)
      .filter((format) => format.components.every((component) => component.bit_depth >= 8))
      .map((format) => format.name)
      .filter((name) => describePixelFormat(name) === null);
    expect(unknown.filter((name) => !/^(bayer_|yuvj?a?(440|410)p|videotoolbox|xvmc)/.test(name))).toEqual([]);
  });

  it.each(['yuv410p', 'bayer_rggb16le', 'vaapi', 'nonsense', ''])('says nothing of %s', (name) => {
    expect(describePixelFormat(name)).toBeNull();
  });
});
