import type { ChromaName } from '../../../../jobs/manifest/colour.js';
import { codesOfFloats, FLOATS_TO_CODES } from '../../../rendering/floats.js';

/**
 * Layout of decoded samples in memory: planes with one sample size, tightly packed, little endian.
 */
export interface SampleLayout {
  /**
   * ffmpeg's name of the planar format to ask for. Reaching it from the decoder's own format changes no
   * sample.
   */
  readonly readAs: string;
  /** `rgb` planes come in the order G, B, R; `ycbcr` as Y, Cb, Cr. */
  readonly model: 'ycbcr' | 'rgb' | 'grey';
  readonly depth: number;
  readonly bytesPerSample: 1 | 2;
  /** Chroma planes are 2^shift times smaller, rounded up. 0 for rgb. */
  readonly chromaShiftX: number;
  readonly chromaShiftY: number;
  /** A fourth plane of full size follows, which is read and ignored. */
  readonly alpha: boolean;
  /** The decoder gives floats, which become codes first. */
  readonly fromFloats: boolean;
  /** The format's name itself says full range (the `yuvj` family). */
  readonly impliesFullRange: boolean;
}

export interface UnknownLayout {
  readonly unknown: string;
}

/** Sampling by the digits of ffmpeg's names: [shift across, shift down]. */
const SAMPLING: Readonly<Record<string, readonly [number, number]>> = {
  '444': [0, 0],
  '440': [0, 1],
  '422': [1, 0],
  '420': [1, 1],
  '411': [2, 0],
  '410': [2, 2],
};

/**
 * Packed and semi-planar formats, with the planar one of the same samples. Each conversion was compared
 * sample by sample with an unpacking of our own (tests/system/measure-layouts.long.test.ts); the ones of
 * ffmpeg that failed it (`x2rgb10` and `x2bgr10`, off by one here and there) are not in the list.
 */
const PLANAR_EQUIVALENT: readonly (readonly [RegExp, (match: RegExpExecArray) => string])[] = [
  [/^nv(12|21)$/, () => 'yuv420p'],
  [/^nv(24|42)$/, () => 'yuv444p'],
  [/^(yuyv|uyvy|yvyu)422$/, () => 'yuv422p'],
  [/^p([024])(10|16)(le|be)$/, ([, sampling, depth]) => `yuv4${semiPlanarSampling(sampling)}p${depth}le`],
  [/^y210le$/, () => 'yuv422p10le'],
  [/^ayuv64le$/, () => 'yuv444p16le'],
  [/^(rgb24|bgr24|rgba|bgra|argb|abgr|rgb0|bgr0|0rgb|0bgr)$/, () => 'gbrp'],
  [/^(rgb48|bgr48|rgba64|bgra64)(le|be)$/, () => 'gbrp16le'],
  [/^ya8$/, () => 'gray'],
  [/^ya16(le|be)$/, () => 'gray16le'],
];

function semiPlanarSampling(digit: string | undefined): string {
  return digit === '0' ? '20' : digit === '2' ? '22' : '44';
}

/** The layout to read a decoder's pixel format in, or why it cannot be read without changing samples. */
export function sampleLayout(pixelFormat: string): SampleLayout | UnknownLayout {
  const codes = codesOfFloats(pixelFormat);
  const layout = integerLayout(codes ?? pixelFormat);
  return codes === null || !isKnown(layout) ? layout : { ...layout, fromFloats: true };
}

function integerLayout(pixelFormat: string): SampleLayout | UnknownLayout {
  for (const [pattern, planar] of PLANAR_EQUIVALENT) {
    const match = pattern.exec(pixelFormat);
    if (match) return integerLayout(planar(match));
  }
  const match =
    /^(?:yuv(?<kind>[ja]?)(?<sampling>4\d\d)p|(?<rgb>gbra?p)|(?<grey>gray))(?<depth>\d+)?(?<order>le|be)?$/.exec(
      pixelFormat,
    );
  const { kind = '', sampling, rgb, grey, depth: depthDigits } = match?.groups ?? {};
  const shifts = sampling === undefined ? ([0, 0] as const) : SAMPLING[sampling];
  const depth = Number(depthDigits ?? 8);
  if (!match || !shifts || depth < 8 || depth > 16) {
    return { unknown: `pixel format ${pixelFormat} has no planar form that keeps every sample` };
  }
  const bytesPerSample = depth === 8 ? 1 : 2;
  return {
    // Big endian is swapped by ffmpeg, which changes no sample.
    readAs: pixelFormat.replace(/be$/, 'le'),
    model: grey !== undefined ? 'grey' : rgb !== undefined ? 'rgb' : 'ycbcr',
    depth,
    bytesPerSample,
    chromaShiftX: shifts[0],
    chromaShiftY: shifts[1],
    alpha: kind === 'a' || rgb === 'gbrap',
    fromFloats: false,
    impliesFullRange: kind === 'j',
  };
}

/**
 * The filter that must stand before a conversion to `readAs`. Where swscale takes the two formats to be of
 * different ranges it rescales the samples: it reads grey as full range, and everything else it writes as
 * narrow. The range is known from facts and manifest, so ffmpeg is given the same range on both sides. Of
 * floats it is the conversion itself.
 */
export function rangeFilter(layout: SampleLayout): string {
  if (layout.fromFloats) return FLOATS_TO_CODES.join(',');
  return `setparams=range=${layout.model === 'grey' ? 'full' : 'limited'}`;
}

export function isKnown(layout: SampleLayout | UnknownLayout): layout is SampleLayout {
  return !('unknown' in layout);
}

/** Sizes of the planes of one frame, in samples; `frameBytes` counts the alpha plane too. */
export interface PlaneGeometry {
  readonly width: number;
  readonly height: number;
  readonly chromaWidth: number;
  readonly chromaHeight: number;
  readonly lumaSamples: number;
  readonly chromaSamples: number;
  readonly frameBytes: number;
}

export function planeGeometry(layout: SampleLayout, width: number, height: number): PlaneGeometry {
  const chromaWidth = Math.ceil(width / 2 ** layout.chromaShiftX);
  const chromaHeight = Math.ceil(height / 2 ** layout.chromaShiftY);
  const lumaSamples = width * height;
  const chromaSamples = layout.model === 'grey' ? 0 : chromaWidth * chromaHeight;
  const samples = lumaSamples * (layout.alpha ? 2 : 1) + 2 * chromaSamples;
  return {
    width,
    height,
    chromaWidth,
    chromaHeight,
    lumaSamples,
    chromaSamples,
    frameBytes: samples * layout.bytesPerSample,
  };
}

/** Usual name of the sampling; null where there is none. */
export function samplingName(layout: SampleLayout): ChromaName | null {
  if (layout.model === 'grey') return '4:0:0';
  const name = `${layout.chromaShiftX},${layout.chromaShiftY}`;
  const names: Readonly<Record<string, ChromaName>> = {
    '0,0': '4:4:4',
    '1,0': '4:2:2',
    '1,1': '4:2:0',
    '2,0': '4:1:1',
  };
  return names[name] ?? null;
}
