import type { PictureCodec } from './picture-codec.js';
import { STORED } from './stored-pictures.js';

/** Half floats of linear light, with lossless compression in blocks of 16 lines (OpenEXR). */
export const exr = {
  ...STORED,
  name: 'exr',
  title: 'OpenEXR',
  decodedAs: 'exr',
  // A half float has 11 significant bits.
  fidelity: 'detail',
  losslessForm: false,
  encoder: 'exr',
  usualFormats: ['gbrpf32le'],
  containers: ['exr'],
  bitsPerPixel: () => 36,
  encoderArguments: () => ['-c:v', 'exr', '-compression', 'zip16', '-format', 'half'],
} as const satisfies PictureCodec;
