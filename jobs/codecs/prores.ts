import type { PictureCodec } from './picture-codec.js';

/** Target rates of SMPTE RDD 36, HD at 30000/1001, in bits a pixel (published-values J). */
const BITS_PER_PIXEL: Readonly<Record<string, number>> = {
  proxy: 0.72,
  lt: 1.64,
  standard: 2.37,
  hq: 3.54,
  '4444': 5.31,
  '4444xq': 8.05,
};

/**
 * ProRes (SMPTE RDD 36) by prores_ks. The encoder accepts only 10 bits, whatever the profile. RDD 36 has no
 * range flag: the picture is narrow range by definition.
 */
export const prores = {
  name: 'prores',
  title: 'ProRes',
  decodedAs: 'prores',
  aliases: [],
  encoder: 'prores_ks',
  usualFormats: ['yuv422p10le', 'yuv444p10le'],
  containers: ['mov', 'mkv'],
  fidelity: 'detail',
  losslessForm: false,
  intra: true,
  defaultProfile: 'hq',
  defaultCrf: null,
  says: ['primaries', 'transfer', 'matrix', 'range', 'field-order'],
  narrowOnly: true,
  fields: ['interlaced-tff', 'interlaced-bff'],
  oddSizes: true,
  widthStep: 1,
  streamed: false,
  bitsPerPixel: ({ profile }) => BITS_PER_PIXEL[profile ?? 'hq'] ?? 3.54,
  megapixelsPerCoreSecond: 14,
  // RDD 36 codes alpha without loss, at 8 or 16 bits, in the two profiles of 4:4:4.
  keepsAlpha: (profile) => profile?.startsWith('4444') ?? false,
  encoderArguments: ({ video, scan }) => [
    ...['-c:v', 'prores_ks', '-profile:v', video.profile ?? 'hq'],
    ...['-alpha_bits', video.alpha ? '16' : '0'],
    // The encoder codes fields only with this flag; their order is a property of the frames.
    ...(scan === 'progressive' ? [] : ['-flags', '+ildct']),
  ],
} as const satisfies PictureCodec;
