import { cineform } from './cineform.js';
import { ffv1 } from './ffv1.js';
import { h264 } from './h264.js';
import { hevc } from './hevc.js';
import type { PictureCodec } from './picture-codec.js';
import { prores } from './prores.js';

/** Every codec a picture can be made in. One more is a file of its own and a line here. */
export const PICTURE_CODECS = [prores, cineform, ffv1, h264, hevc] as const satisfies readonly PictureCodec[];

type Listed = (typeof PICTURE_CODECS)[number];
export type PictureCodecName = Listed['name'];
export type PictureEncoderName = Listed['encoder'];
/** A codec of the list: its names are known to the compiler. */
export type ListedPictureCodec = PictureCodec & Pick<Listed, 'name' | 'encoder'>;

const ALL: readonly ListedPictureCodec[] = PICTURE_CODECS;

/** The codec that targets call so. */
export function pictureCodec(name: PictureCodecName): ListedPictureCodec {
  return listed(ALL.find((codec) => codec.name === name));
}

/** The codec whose encoder a recipe names. */
export function codecOfEncoder(encoder: PictureEncoderName): ListedPictureCodec {
  return listed(ALL.find((codec) => codec.encoder === encoder));
}

/** The types let no other name through. */
function listed(codec: ListedPictureCodec | undefined): ListedPictureCodec {
  if (codec === undefined) throw new TypeError('a codec that is not listed');
  return codec;
}
