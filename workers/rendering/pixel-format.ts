import { GoodgateError } from '../../jobs/errors.js';

export interface PixelLayout {
  readonly model: 'yuv' | 'rgb';
  /** Halvings of the chroma planes, across and down. */
  readonly shiftX: 0 | 1 | 2;
  readonly shiftY: 0 | 1;
  readonly depth: number;
}

/** Packed and semi-planar formats, and the planar format with the same samples. */
const PLANAR_OF: Readonly<Record<string, string>> = {
  rgb24: 'gbrp',
  bgr24: 'gbrp',
  rgba: 'gbrap',
  bgra: 'gbrap',
  rgb48le: 'gbrp16le',
  rgb48be: 'gbrp16le',
  rgba64le: 'gbrap16le',
  rgba64be: 'gbrap16le',
  nv12: 'yuv420p',
  nv16: 'yuv422p',
  uyvy422: 'yuv422p',
  yuyv422: 'yuv422p',
  p010le: 'yuv420p10le',
  p210le: 'yuv422p10le',
  y210le: 'yuv422p10le',
  // The `j` formats are full-range 8-bit; the range is set explicitly in every filter.
  yuvj420p: 'yuv420p',
  yuvj422p: 'yuv422p',
  yuvj444p: 'yuv444p',
};

/** The planar format of the same samples. */
export function planarFormat(pixelFormat: string): string {
  return PLANAR_OF[pixelFormat] ?? pixelFormat;
}

const CHROMA_SHIFTS: Readonly<Record<string, readonly [0 | 1 | 2, 0 | 1]>> = {
  '444': [0, 0],
  '422': [1, 0],
  '420': [1, 1],
  '411': [2, 0],
};

/**
 * Layout of a planar ffmpeg pixel format, from its name. Throws GoodgateError `bad-job` for one without three
 * colour planes.
 */
export function pixelLayout(pixelFormat: string): PixelLayout {
  if (pixelFormat === 'gbrpf32le') return { model: 'rgb', shiftX: 0, shiftY: 0, depth: 32 };
  const match = /^(?:yuva?(\d{3})p|(gbra?p))(\d{1,2})?(?:le|be)?$/.exec(planarFormat(pixelFormat));
  const depth = Number(match?.[3] ?? 8);
  if (match?.[2]) return { model: 'rgb', shiftX: 0, shiftY: 0, depth };
  const shifts = CHROMA_SHIFTS[match?.[1] ?? ''];
  if (!shifts) {
    throw new GoodgateError('bad-job', {
      what: `pixel format ${pixelFormat} cannot be rendered, only Y'CbCr or RGB of 8 to 16 bits`,
      next: 'choose a target that keeps the clip as it is, or report the format',
    });
  }
  return { model: 'yuv', shiftX: shifts[0], shiftY: shifts[1], depth };
}
