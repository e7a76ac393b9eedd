import type { PictureCodec } from './picture-codec.js';
import { STORED } from './stored-pictures.js';

/** Integers of 8 and 16 bits without compression, which every program reads (TIFF 6.0, part 1). */
export const tiff = {
  ...STORED,
  name: 'tiff',
  title: 'TIFF',
  decodedAs: 'tiff',
  encoder: 'tiff',
  usualFormats: ['rgb24', 'rgb48le'],
  containers: ['tiff'],
  bitsPerPixel: ({ video }) => 3 * video.bitDepth,
  encoderArguments: () => ['-c:v', 'tiff', '-compression_algo', 'raw'],
} as const satisfies PictureCodec;
