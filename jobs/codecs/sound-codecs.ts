import { aac } from './aac.js';
import { flac } from './flac.js';
import { pcm16, pcm24 } from './pcm.js';
import type { SoundCodec } from './sound-codec.js';

/** Every codec sound is made in. To add one: an object in a file and its name here. */
export const SOUND_CODECS = [pcm16, pcm24, aac, flac] as const satisfies readonly SoundCodec[];

export type SoundCodecName = (typeof SOUND_CODECS)[number]['name'];

/** The codec of this name in targets. */
export function soundCodec(name: SoundCodecName): SoundCodec {
  const codec = SOUND_CODECS.find((each) => each.name === name);
  // The type allows no other name.
  if (codec === undefined) throw new TypeError('a codec that is not listed');
  return codec;
}
