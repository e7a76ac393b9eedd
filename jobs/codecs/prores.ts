import type { PictureCodec } from './picture-codec.js';

/**
 * Target rates of SMPTE RDD 36, Mbit/s of HD and of UHD at 30000/1001 (published-values J). Above HD those of
 * UHD hold: they are not just four times as much.
 */
const RATES: Readonly<Record<string, readonly [hd: number, uhd: number]>> = {
  proxy: [45, 182],
  lt: [102, 410],
  standard: [147, 589],
  hq: [220, 884],
  '4444': [330, 1326],
  '4444xq': [500, 1989],
};
const HD = 1920 * 1080;

function bitsPerPixel(profile: string, pixels: number): number {
  const [hd, uhd] = RATES[profile] ?? [220, 884];
  const megabits = pixels > HD ? uhd / 4 : hd;
  return ((megabits * 1e6) / HD / (30_000 / 1001)) * smallRasterFactor(pixels);
}

/**
 * Smaller pictures are given more bits a pixel: 63 Mbit/s for HQ at 720 x 486 and 30000/1001, 220 Mbit/s at
 * 1280 x 720 and 60000/1001 (rates published beside RDD 36, from memory).
 */
function smallRasterFactor(pixels: number): number {
  if (pixels <= 720 * 576) return 1.7;
  return pixels <= 1280 * 720 ? 1.125 : 1;
}

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
  carriedTags: ['primaries', 'transfer', 'matrix', 'range', 'field-order'],
  narrowOnly: true,
  fields: ['interlaced-tff', 'interlaced-bff'],
  oddSizes: true,
  widthStep: 1,
  lineStep: 1,
  streamed: false,
  bitsPerPixel: ({ video, raster }) => bitsPerPixel(video.profile ?? 'hq', raster.width * raster.height),
  // Left to keep its rate, the encoder searches a quantiser for each slice: six times the time of coding, and
  // a coarser picture at the same size (docs/encoders.md).
  quantiser: { finest: 1, coarsest: 128, tried: [1, 3, 9, 27] },
  megapixelsPerCoreSecond: 14,
  // RDD 36 codes alpha without loss, at 8 or 16 bits, in the two profiles of 4:4:4.
  keepsAlpha: (profile) => profile?.startsWith('4444') ?? false,
  encoderArguments: ({ video, scan }, quantiser) => [
    ...['-c:v', 'prores_ks', '-profile:v', video.profile ?? 'hq'],
    ...(quantiser === null ? [] : ['-q:v', String(quantiser)]),
    ...['-alpha_bits', video.alpha ? '16' : '0'],
    // The encoder codes fields only with this flag; their order is a property of the frames.
    ...(scan === 'progressive' ? [] : ['-flags', '+ildct']),
  ],
} as const satisfies PictureCodec;
