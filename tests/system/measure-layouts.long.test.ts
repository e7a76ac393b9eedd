import { execa } from 'execa';
import { describe, expect, it } from 'vitest';
import {
  isKnown,
  planeGeometry,
  rangeFilter,
  type SampleLayout,
  sampleLayout,
} from '../../workers/measure/picture/plan/sample-layout.js';

/**
 * Formats that reach the kernel through a conversion of ffmpeg's: each must give back the very samples. The
 * unpacking here is written from the formats' definitions (libavutil/pixfmt.h), not from the conversion.
 */
const WIDTH = 34;
const HEIGHT = 18;
const PIXELS = WIDTH * HEIGHT;

/**
 * A format of whole pixels side by side: the words of one pixel, and where G, B, R (or Y, Cb, Cr, or Y) stand
 * in them.
 */
interface Packed {
  readonly words: number;
  readonly bits: 8 | 16;
  readonly order: readonly number[];
  readonly bigEndian?: boolean;
}
const rgb = (name: string): readonly number[] => [...'gbr'].map((channel) => name.indexOf(channel));
const PACKED: Readonly<Record<string, Packed>> = {
  ...Object.fromEntries(
    ['rgb24', 'bgr24'].map((name) => [name, { words: 3, bits: 8 as const, order: rgb(name) }]),
  ),
  ...Object.fromEntries(
    ['rgba', 'bgra', 'argb', 'abgr', 'rgb0', 'bgr0', '0rgb', '0bgr'].map((name) => [
      name,
      { words: 4, bits: 8 as const, order: rgb(name) },
    ]),
  ),
  rgb48le: { words: 3, bits: 16, order: rgb('rgb') },
  bgr48be: { words: 3, bits: 16, order: rgb('bgr'), bigEndian: true },
  rgba64le: { words: 4, bits: 16, order: rgb('rgba') },
  bgra64be: { words: 4, bits: 16, order: rgb('bgra'), bigEndian: true },
  ayuv64le: { words: 4, bits: 16, order: [1, 2, 3] },
  ya8: { words: 2, bits: 8, order: [0] },
  ya16be: { words: 2, bits: 16, order: [0], bigEndian: true },
};

/** Two pixels in four words: Y0, Y1, Cb, Cr by position. */
const PAIRED: Readonly<Record<string, readonly [number, number, number, number]>> = {
  yuyv422: [0, 2, 1, 3],
  uyvy422: [1, 3, 0, 2],
  yvyu422: [0, 2, 3, 1],
  y210le: [0, 2, 1, 3],
};

/**
 * A plane of luma, then one of Cb and Cr in turn. Words of more than 8 bits carry their sample at the top.
 */
const SEMI_PLANAR: Readonly<
  Record<string, { readonly chroma: number; readonly depth: number; readonly swapped?: true }>
> = {
  nv12: { chroma: PIXELS / 4, depth: 8 },
  nv21: { chroma: PIXELS / 4, depth: 8, swapped: true },
  nv24: { chroma: PIXELS, depth: 8 },
  nv42: { chroma: PIXELS, depth: 8, swapped: true },
  p010le: { chroma: PIXELS / 4, depth: 10 },
  p016le: { chroma: PIXELS / 4, depth: 16 },
  p210le: { chroma: PIXELS / 2, depth: 10 },
  p216le: { chroma: PIXELS / 2, depth: 16 },
  p410le: { chroma: PIXELS, depth: 10 },
  p416le: { chroma: PIXELS, depth: 16 },
};

/** Numbers without a pattern, the same in every run. */
function noise(count: number, bits: number): number[] {
  let state = 12345;
  return Array.from({ length: count }, () => {
    state = (Math.imul(state, 1103515245) + 12345) >>> 0;
    return (state >>> 8) % 2 ** bits;
  });
}

function bytesOf(words: readonly number[], bits: number, bigEndian = false): Buffer {
  if (bits === 8) return Buffer.from(words);
  const buffer = Buffer.alloc(words.length * 2);
  words.forEach((word, i) => {
    if (bigEndian) buffer.writeUInt16BE(word, 2 * i);
    else buffer.writeUInt16LE(word, 2 * i);
  });
  return buffer;
}

const every = (words: readonly number[], from: number, step: number): number[] =>
  words.filter((_, i) => i % step === from);

async function convert(
  data: Buffer,
  from: string,
  layout: SampleLayout,
  range: 'tv' | 'pc',
): Promise<Buffer> {
  const input = [
    '-f',
    'rawvideo',
    '-pix_fmt',
    from,
    '-video_size',
    `${WIDTH}x${HEIGHT}`,
    '-color_range',
    range,
  ];
  const output = ['-vf', rangeFilter(layout), '-f', 'rawvideo', '-pix_fmt', layout.readAs, 'pipe:1'];
  const { stdout } = await execa('ffmpeg', ['-loglevel', 'error', ...input, '-i', 'pipe:0', ...output], {
    input: data,
    encoding: 'buffer',
  });
  return Buffer.from(stdout);
}

async function expectSamples(
  format: string,
  data: Buffer,
  samples: readonly number[],
  bits: number,
): Promise<void> {
  const layout = sampleLayout(format);
  if (!isKnown(layout)) throw new Error(layout.unknown);
  expect(planeGeometry(layout, WIDTH, HEIGHT).frameBytes).toBe(bytesOf(samples, bits).length);
  for (const range of ['tv', 'pc'] as const) {
    const converted = await convert(data, format, layout, range);
    expect(converted.equals(bytesOf(samples, bits)), `${format} to ${layout.readAs}, ${range}`).toBe(true);
  }
}

describe('conversions to planes change no sample', () => {
  it.each(Object.entries(PACKED))('%s', async (format, { words, bits, order, bigEndian }) => {
    const data = noise(PIXELS * words, bits);
    const planes = order.flatMap((position) => every(data, position, words));
    await expectSamples(format, bytesOf(data, bits, bigEndian), planes, bits);
  });

  it.each(Object.entries(PAIRED))('%s', async (format, [first, second, cb, cr]) => {
    const isTenBit = format === 'y210le';
    const data = noise(PIXELS * 2, isTenBit ? 10 : 8);
    const luma = data.filter((_, i) => i % 4 === first || i % 4 === second);
    const planes = [...luma, ...every(data, cb, 4), ...every(data, cr, 4)];
    const stored = isTenBit ? data.map((value) => value << 6) : data;
    await expectSamples(format, bytesOf(stored, isTenBit ? 16 : 8), planes, isTenBit ? 16 : 8);
  });

  it.each(Object.entries(SEMI_PLANAR))('%s', async (format, { chroma, depth, swapped }) => {
    const data = noise(PIXELS + 2 * chroma, depth);
    const pairs = data.slice(PIXELS);
    const [even, odd] = [every(pairs, 0, 2), every(pairs, 1, 2)];
    const planes = [...data.slice(0, PIXELS), ...(swapped ? [...odd, ...even] : [...even, ...odd])];
    const bits = depth === 8 ? 8 : 16;
    const stored = data.map((value) => value << (bits - depth));
    await expectSamples(format, bytesOf(stored, bits), planes, bits);
  });

  it.each(['yuv422p10be', 'gbrp12be', 'gray16be', 'yuva444p10be'])('%s, only swapped', async (format) => {
    const layout = sampleLayout(format);
    if (!isKnown(layout)) throw new Error(layout.unknown);
    const data = noise(planeGeometry(layout, WIDTH, HEIGHT).frameBytes / 2, layout.depth);
    await expectSamples(format, bytesOf(data, 16, true), data, 16);
  });
});

describe('formats that are not read', () => {
  it.each([
    'x2rgb10le',
    'pal8',
    'monow',
    'bayer_rggb16le',
    'grayf32le',
    'xyz12le',
    'rgb565le',
    'nv16',
    'yuv420p7',
    'constructor',
  ])('%s is refused with the reason', (format) => {
    expect(sampleLayout(format)).toEqual({ unknown: expect.stringContaining(format) });
  });
});
