import { losslessBitsPerPixel, type PictureCodec } from './picture-codec.js';

/**
 * FFV1 version 3 (RFC 9043): every frame is coded by itself and every slice has a checksum, so damage is
 * detected and stays local. More slices use more cores and cost a little size. The small context model: with
 * every frame and slice by itself the large one has too little to learn from (docs/encoders.md).
 */
export const ffv1 = {
  name: 'ffv1',
  title: 'FFV1',
  decodedAs: 'ffv1',
  aliases: [],
  encoder: 'ffv1',
  usualFormats: ['yuv422p10le', 'yuv444p12le', 'gbrp12le', 'gbrp16le'],
  containers: ['mkv', 'mov'],
  fidelity: 'exact',
  losslessForm: true,
  // It can be coded in groups of frames; the decoder reports that for each frame.
  intra: true,
  defaultProfile: null,
  defaultCrf: null,
  carriedTags: ['field-order'],
  narrowOnly: false,
  fields: ['interlaced-tff', 'interlaced-bff'],
  oddSizes: true,
  widthStep: 1,
  lineStep: 1,
  streamed: false,
  bitsPerPixel: losslessBitsPerPixel,
  quantiser: null,
  megapixelsPerCoreSecond: 14,
  keepsAlpha: () => true,
  encoderArguments: ({ raster, video }) => {
    const pixels = raster.width * raster.height;
    const slices = pixels > 4_000_000 ? 24 : pixels > 500_000 ? 16 : 4;
    // ffmpeg 5.1 refuses every number of slices for odd sizes with subsampled chroma, unless it chooses the
    // number itself.
    const isOdd = video.chroma !== '4:4:4' && (raster.width % 2 === 1 || raster.height % 2 === 1);
    return [
      ...['-c:v', 'ffv1', '-level', '3', '-coder', '1', '-context', '0', '-g', '1'],
      ...(isOdd ? [] : ['-slices', String(slices)]),
      ...['-slicecrc', '1'],
    ];
  },
} as const satisfies PictureCodec;
