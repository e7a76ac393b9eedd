import { type ContainerName, container } from '../containers/containers.js';
import type { PictureTag } from '../containers/picture-tag.js';
import type { PictureCodec } from './picture-codec.js';

/**
 * Whether a codec in a container carries this tag, so that it can be read back from the bitstream, the
 * container, or both. The round-trip test checks every pair by reading files.
 */
export function isCarried(tag: PictureTag, codec: PictureCodec, name: ContainerName): boolean {
  return codec.carriedTags.includes(tag) || container(name).carriedTags.includes(tag);
}

/** Whether a full-range Y'CbCr picture is read back as one. */
export function keepsFullRange(codec: PictureCodec, name: ContainerName): boolean {
  return !codec.narrowOnly && isCarried('range', codec, name);
}
