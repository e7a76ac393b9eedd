import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { mayKeepParts } from '../../../jobs/codecs/codec-traits.js';
import { findOtherFrames } from '../../../workers/compare/order/find-other-frames.js';
import { linesBelow } from '../../../workers/make/lines-below.js';
import type { Signatures } from '../../../workers/measure/picture/signature/packed-signature.js';
import { findingOf } from '../judge/rows.js';
import { type RawForm, signaturesOf } from './order-of-raw.js';
import { FRAMES, HEIGHT, Pairs, PICTURE, WIDTH } from './pairs.js';

/**
 * Copies that only lost detail, or nothing: no mistake may be named. Pictures a coder treats badly are among
 * them: grain on a flat ground, which it flattens; flat colours, which it shifts by a code or two.
 */
const SIZE = 's=192x108:r=25';
const PICTURES = [
  { picture: 'shapes under grain', source: PICTURE },
  { picture: 'grain on grey', source: `color=gray:${SIZE},noise=alls=20:all_seed=5:allf=t` },
  { picture: 'colour bars', source: `smptehdbars=${SIZE}` },
  {
    picture: 'a slow ramp',
    source: `gradients=${SIZE}:c0=black:c1=white:n=2:x0=0:y0=0:x1=191:y1=0:speed=0.01`,
  },
  { picture: 'a fractal', source: `mandelbrot=s=192x108:rate=25:start_scale=1.2:end_scale=0.9:end_pts=12` },
  { picture: 'dark', source: `${PICTURE},format=yuv444p12le,lutyuv=y=256+(val-256)*0.25` },
  { picture: 'bright', source: `${PICTURE},format=yuv444p12le,lutyuv=y=3760-(3760-val)*0.25` },
  { picture: 'strong noise', source: `color=gray:${SIZE},noise=alls=60:all_seed=5:allf=t` },
];
/** Noise alone, which coarse coding flattens: nothing then shows whose picture it is. */
const NOISE = ['grain on grey', 'strong noise'];

const X264 = ['-c:v', 'libx264', '-preset', 'veryfast'];
const X265 = ['-c:v', 'libx265', '-preset', 'ultrafast', '-x265-params', 'log-level=none'];
const LOSSLESS_X265 = ['-x265-params', 'log-level=none:lossless=1'];
/** Name, pixel format, encoder and its options: all that are offered but floats, and others. */
const CODED: readonly (readonly [string, string, readonly string[]])[] = [
  ['ffv1', 'yuv422p10le', ['-c:v', 'ffv1']],
  ['h264 without loss', 'yuv444p10le', [...X264, '-qp', '0']],
  ['h264 crf 18', 'yuv420p', [...X264, '-crf', '18']],
  ['h264 crf 28', 'yuv420p', [...X264, '-crf', '28']],
  ['h264 crf 40', 'yuv420p', [...X264, '-crf', '40']],
  ['h264 crf 30, 10 bits', 'yuv422p10le', [...X264, '-crf', '30']],
  ['hevc crf 20', 'yuv420p10le', [...X265, '-crf', '20']],
  ['hevc crf 36', 'yuv444p12le', [...X265, '-crf', '36']],
  ['prores proxy', 'yuv422p10le', ['-c:v', 'prores_ks', '-profile:v', 'proxy']],
  ['prores hq', 'yuv422p10le', ['-c:v', 'prores_ks', '-profile:v', 'hq']],
  ['prores coarse', 'yuv422p10le', ['-c:v', 'prores_ks', '-q:v', '40']],
  ['prores 4444', 'yuv444p10le', ['-c:v', 'prores_ks', '-profile:v', '4444']],
  ['cineform', 'yuv422p10le', ['-c:v', 'cfhd', '-quality', 'film3+']],
  ['cineform low', 'yuv422p10le', ['-c:v', 'cfhd', '-quality', 'low']],
  ['cineform rgb', 'gbrp12le', ['-c:v', 'cfhd', '-quality', 'film1']],
  ['mpeg-2', 'yuv420p', ['-c:v', 'mpeg2video', '-q:v', '8']],
  ['mpeg-2 4:2:2', 'yuv422p', ['-c:v', 'mpeg2video', '-q:v', '20']],
  ['mpeg-4', 'yuv420p', ['-c:v', 'mpeg4', '-q:v', '12']],
  ['wmv 8', 'yuv420p', ['-c:v', 'wmv2', '-q:v', '10']],
  ['jpeg 2000', 'yuv444p', ['-c:v', 'jpeg2000', '-q:v', '12']],
  ['hevc without loss', 'yuv422p12le', ['-c:v', 'libx265', '-preset', 'ultrafast', ...LOSSLESS_X265]],
  ['cineform 4:2:2, film1', 'yuv422p10le', ['-c:v', 'cfhd', '-quality', 'film1']],
  ['prores 4444 xq', 'yuv444p10le', ['-c:v', 'prores_ks', '-profile:v', '4444xq']],
  ['dpx', 'gbrp10le', ['-c:v', 'dpx']],
  ['tiff', 'gbrp16le', ['-c:v', 'tiff']],
  ['av1 crf 40', 'yuv420p10le', ['-c:v', 'libsvtav1', '-preset', '12', '-crf', '40']],
  [
    'vp9 crf 36',
    'yuv420p',
    ['-c:v', 'libvpx-vp9', '-deadline', 'realtime', '-cpu-used', '8', '-crf', '36', '-b:v', '0'],
  ],
];

/** Encoders whose files hold one picture each, named by what their names end in. */
const SEQUENCES: readonly string[] = ['dpx', 'tiff'];

let pairs: Pairs;
beforeAll(async () => {
  pairs = await Pairs.begin();
});
afterAll(() => pairs.end());

describe.each(PICTURES)('$picture', ({ picture, source }) => {
  const originalOf = (pixelFormat: string): string => `${picture} ${pixelFormat}.mkv`;
  const copyOf = (index: number): string => {
    const encoder = CODED[index]?.[2][1] ?? '';
    return SEQUENCES.includes(encoder) ? `${picture} ${index} %d.${encoder}` : `${picture} ${index}.mkv`;
  };
  beforeAll(async () => {
    const deep = await pairs.draw(`${picture}.mkv`, 'yuv444p12le', source);
    const formats = [...new Set(CODED.map(([, pixelFormat]) => pixelFormat))];
    const into = (pixelFormat: string): string => `scale=flags=bicubic+accurate_rnd,format=${pixelFormat}`;
    await pairs.copy(deep, [
      ...formats.map((pixelFormat) => ({
        name: originalOf(pixelFormat),
        ...{ filters: into(pixelFormat), options: ['-c:v', 'rawvideo', '-f', 'nut'] },
      })),
      ...CODED.map(([, pixelFormat, options], index) => ({
        ...{ name: copyOf(index), options },
        // An encoder that reads beyond the last line codes what lies there (docs/encoders.md).
        filters: [into(pixelFormat), ...(options[1] === 'cfhd' ? linesBelow('cfhd', HEIGHT) : [])].join(','),
      })),
    ]);
    await pairs.raw([
      ...formats.map((pixelFormat) => ({ name: originalOf(pixelFormat), pixelFormat })),
      ...CODED.map(([, pixelFormat], index) => ({ name: copyOf(index), pixelFormat })),
    ]);
  });

  it.each(CODED.map(([coder, pixelFormat], index) => ({ coder, pixelFormat, index })))(
    '$coder, $pixelFormat',
    ({ pixelFormat, index }) => {
      const compared = pairs.compareRaw(originalOf(pixelFormat), copyOf(index), pixelFormat);
      expect(compared.mistake).toBeNull();
      const { outcome } = findingOf('precision', { minBits: 1 }, (measured) => {
        measured.comparison = { original: originalOf(pixelFormat), made: 'alike', ...compared };
      });
      // Of strong noise coarse coding keeps less than a bit; whose picture it is is told, or not known.
      if (NOISE.includes(picture))
        expect(compared.bitsKept < 1 ? ['fail'] : ['pass', 'unmeasured']).toContain(outcome);
      else expect(outcome).toBe('pass');
    },
  );

  it.each(CODED.map(([coder, pixelFormat, options], index) => ({ coder, pixelFormat, options, index })))(
    'the order of frames: $coder, $pixelFormat',
    async ({ pixelFormat, options, index }) => {
      const form: RawForm = { width: WIDTH, height: HEIGHT, pixelFormat };
      const original = signaturesOf(pairs.path(`${originalOf(pixelFormat)}.raw`), form);
      const copy = signaturesOf(pairs.path(`${copyOf(index)}.raw`), form);
      const how = { isInert: mayKeepParts(DECODED_AS[options[1] ?? ''] ?? options[1] ?? '') };
      const clean = await findOtherFrames(original, copy, how);
      expect(clean).toMatchObject({ frames: FRAMES, apart: [], doubtful: [] });
      for (const { what, order, wrong } of PLANTED) {
        const { apart } = await findOtherFrames(original, inOrder(copy, order), how);
        const found = new Set(apart.flatMap(({ from, to }) => ALL.slice(from, to)));
        for (const frame of ALL) {
          const is = distance(original, frame, order[frame] ?? BLACK);
          const far = is > certain(original, copy, how.isInert, order[frame] === BLACK);
          if (!wrong.includes(frame)) expect(found.has(frame), `${what}: ${frame} is right`).toBe(false);
          else if (far) expect(found.has(frame), `${what}: ${frame} at ${is}`).toBe(true);
        }
      }
    },
  );
});

/** Under which names ffmpeg decodes what these encoders write, where they differ. */
const DECODED_AS: Readonly<Record<string, string>> = {
  libx264: 'h264',
  libx265: 'hevc',
  prores_ks: 'prores',
};

const ALL = Array.from({ length: FRAMES }, (_, frame) => frame);
const BLACK = -1;
/** Mistakes in the order of decoded frames: what stands where, and which frames are wrong by it. */
const PLANTED: readonly { what: string; order: number[]; wrong: number[] }[] = [
  { what: 'one replaced', order: ALL.map((frame) => (frame === 4 ? 10 : frame)), wrong: [4] },
  { what: 'two swapped', order: ALL.map((frame) => [0, 1, 3, 2][frame] ?? frame), wrong: [2, 3] },
  {
    what: 'one repeated and one dropped',
    order: ALL.map((frame) => (frame >= 4 && frame <= 8 ? frame - 1 : frame)),
    wrong: [4, 5, 6, 7, 8],
  },
  {
    what: 'a shift from a place on',
    order: ALL.map((frame) => Math.min(frame < 7 ? frame : frame + 1, FRAMES - 1)),
    wrong: [7, 8, 9, 10],
  },
  { what: 'one black', order: ALL.map((frame) => (frame === 6 ? BLACK : frame)), wrong: [6] },
];

function inOrder(of: Signatures, order: readonly number[]): Signatures {
  return {
    ...of,
    frames: order.length,
    read: (frame, into) => {
      if (order[frame] === BLACK) into.fill(0);
      else of.read(order[frame] ?? frame, into);
    },
  };
}

/** RMS difference of two frames, as a signal. */
function distance(of: Signatures, a: number, b: number, other = of): number {
  const [had, is] = [new Float64Array(of.values), new Float64Array(of.values)];
  of.read(a, had);
  if (b !== BLACK) other.read(b, is);
  return Math.sqrt(had.reduce((sum, value, i) => sum + (value - (is[i] ?? 0)) ** 2, 0) / of.values);
}

/**
 * From what distance on a wrong frame has to be found, by the statement of what is compared: what coding
 * changed in a frame stands beside it. A coder that keeps parts of frames needs more; a black one fits none.
 */
function certain(original: Signatures, copy: Signatures, isInert: boolean, isBlack: boolean): number {
  const coded = Math.max(0.0001, ...ALL.map((frame) => distance(original, frame, frame, copy)));
  const times = isBlack ? 9 : 4;
  return Math.max(times * coded, isInert && coded > 0.0001 ? 0.014 : 0);
}
