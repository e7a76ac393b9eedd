import { GoodgateError } from '../../jobs/errors.js';
import type { AudioFacts } from '../../jobs/manifest/facts.js';
import type { PcmForm, SoundEntry } from './boxes/sound-entry.js';
import type { ProbedStream } from './ffprobe-output.js';

/**
 * Facts of a sound stream. `entry` is what the boxes of MOV or MP4 say of it: ffmpeg 5.1 does not read how
 * MP4 describes PCM (`pcmC`), and takes 24 bits for 16 or knows no decoder at all.
 *
 * Throws GoodgateError `unreadable-clip` for a stream without channels or rate.
 */
export function soundFacts(path: string, stream: ProbedStream, entry: SoundEntry | null): AudioFacts {
  const { channels, sample_rate: sampleRate } = stream;
  if (!channels || !sampleRate) {
    throw new GoodgateError('unreadable-clip', {
      what: `its sound (stream ${stream.index}, ${stream.codec_name ?? 'unknown codec'}) cannot be made out`,
      where: path,
      next: 'copy the file again from its card, or leave it out',
    });
  }
  const layout = stream.channel_layout;
  const said = stream.codec_name ?? 'unknown';
  const { duration } = stream;
  return {
    stream: stream.index,
    codec: said,
    channels,
    layout: layout === undefined || layout === 'unknown' ? null : layout,
    sampleRate,
    bitDepth: stream.bits_per_raw_sample || stream.bits_per_sample || null,
    durationSeconds: duration === undefined || duration === null || duration < 0 ? null : duration,
    ...(entry === null || entry.pcm === null ? {} : byTheBoxes(said, channels, entry, entry.pcm)),
  };
}

/** PCM has no header of its own: what the boxes say of it is all there is. */
function byTheBoxes(
  said: string,
  channels: number,
  { code, channels: boxed }: SoundEntry,
  pcm: PcmForm,
): Partial<AudioFacts> {
  const codec = pcmCodec(pcm);
  const bitDepth = pcm.bits;
  if (boxed !== channels) {
    const misread = `its boxes say ${boxed} channels, ffmpeg takes it for ${channels}`;
    return { codec, bitDepth, misread };
  }
  if (said === codec) return {};
  // Where no bytes are lost between the boxes and the decoder, naming the decoder is enough.
  const width = /^pcm_[sfu](\d+)/.exec(said)?.[1];
  if (!said.startsWith('pcm_') || Number(width) === pcm.bits) return { codec, bitDepth, decoder: codec };
  const misread =
    `its boxes (${code}) say ${pcm.bits} bits a sample, ffmpeg takes it for ${said} and loses part of each: ` +
    'ffmpeg 6 or newer reads it';
  return { codec, bitDepth, misread };
}

function pcmCodec({ bits, kind, littleEndian }: PcmForm): string {
  const letter = { signed: 's', unsigned: 'u', float: 'f' }[kind];
  return `pcm_${letter}${bits}${bits === 8 ? '' : littleEndian ? 'le' : 'be'}`;
}
