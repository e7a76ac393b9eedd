import type { PictureCodec } from './picture-codec.js';

/**
 * CineForm (SMPTE ST 2073, VC-5 family): wavelets; 12-bit R'G'B' or 10-bit 4:2:2. The profile is its quality.
 * Widths: "must be multiple of 16", says ffmpeg 5.1. Rate: common practice, no source.
 */
export const cineform = {
  name: 'cineform',
  title: 'CineForm',
  decodedAs: 'cfhd',
  aliases: [],
  encoder: 'cfhd',
  usualFormats: ['yuv422p10le', 'gbrp12le'],
  containers: ['mov', 'mkv'],
  fidelity: 'detail',
  losslessForm: false,
  // It can code two pictures together.
  intra: false,
  defaultProfile: 'film3+',
  defaultCrf: null,
  carriedTags: [],
  narrowOnly: true,
  fields: ['interlaced-tff', 'interlaced-bff'],
  oddSizes: true,
  widthStep: 16,
  // Seen with ffmpeg 5.1.9 (docs/encoders.md).
  lineStep: 8,
  streamed: false,
  bitsPerPixel: () => 6,
  quantiser: null,
  megapixelsPerCoreSecond: 14,
  keepsAlpha: () => false,
  encoderArguments: ({ video }) => ['-c:v', 'cfhd', '-quality', video.profile ?? 'film3+'],
} as const satisfies PictureCodec;
