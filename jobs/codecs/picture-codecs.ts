import { cineform } from './cineform.js';
import { dpx } from './dpx.js';
import { exr } from './exr.js';
import { ffv1 } from './ffv1.js';
import { h264 } from './h264.js';
import { hevc } from './hevc.js';
import type { PictureCodec } from './picture-codec.js';
import { prores } from './prores.js';
import { tiff } from './tiff.js';

/** Every codec pictures are made in. To add one: a file of its own and a line here. */
export const PICTURE_CODECS = [
  prores,
  cineform,
  ffv1,
  h264,
  hevc,
  dpx,
  exr,
  tiff,
] as const satisfies readonly PictureCodec[];

type Listed = (typeof PICTURE_CODECS)[number];
export type PictureCodecName = Listed['name'];
export type PictureEncoderName = Listed['encoder'];
/** A codec of the list, whose names the compiler knows. */
export type ListedPictureCodec = PictureCodec & Pick<Listed, 'name' | 'encoder'>;

const ALL: readonly ListedPictureCodec[] = PICTURE_CODECS;

/** The codec of this name in targets. */
export function pictureCodec(name: PictureCodecName): ListedPictureCodec {
  return listed(ALL.find((codec) => codec.name === name));
}

/** The codec whose encoder a recipe names. */
export function codecOfEncoder(encoder: PictureEncoderName): ListedPictureCodec {
  return listed(ALL.find((codec) => codec.encoder === encoder));
}

/** The types allow no other name. */
function listed(codec: ListedPictureCodec | undefined): ListedPictureCodec {
  if (codec === undefined) throw new TypeError('a codec that is not listed');
  return codec;
}
