import { aac } from './aac.js';
import { flac } from './flac.js';
import { pcm16, pcm24 } from './pcm.js';
import type { SoundCodec } from './sound-codec.js';

/** Every codec sound can be made in. One more is an object in a file and a name here. */
export const SOUND_CODECS = [pcm16, pcm24, aac, flac] as const satisfies readonly SoundCodec[];

export type SoundCodecName = (typeof SOUND_CODECS)[number]['name'];

/** The codec targets call so. */
export function soundCodec(name: SoundCodecName): SoundCodec {
  const codec = SOUND_CODECS.find((each) => each.name === name);
  // The type lets no other name through.
  if (codec === undefined) throw new TypeError('a codec that is not listed');
  return codec;
}
