import { GoodgateError } from '../../jobs/errors.js';
import type { AudioFacts } from '../../jobs/manifest/facts.js';
import { speakersOf } from '../../signal/sound/speakers.js';
import type { PcmForm, SoundEntry } from './boxes/sound-entry.js';
import type { ProbedStream } from './ffprobe-output.js';

/**
 * Facts of a sound stream. `entry` is what the boxes of MOV or MP4 declare: ffmpeg 5.1 does not read how MP4
 * describes PCM (`pcmC`), and decodes 24 bits as 16 or finds no decoder.
 *
 * Throws GoodgateError `unreadable-clip` for a stream without channels or rate.
 */
export function soundFacts(path: string, stream: ProbedStream, entry: SoundEntry | null): AudioFacts {
  const { channels, sample_rate: sampleRate } = stream;
  if (!channels || !sampleRate) {
    throw new GoodgateError('unreadable-clip', {
      what: `its sound (stream ${stream.index}, ${stream.codec_name ?? 'unknown codec'}) has no channels or no sample rate`,
      where: path,
      next: 'copy the file again from its card, or leave it out',
    });
  }
  const layout = stream.channel_layout;
  const probedCodec = stream.codec_name ?? 'unknown';
  const { duration } = stream;
  return {
    stream: stream.index,
    codec: probedCodec,
    channels,
    layout: layout === undefined || layout === 'unknown' ? null : layout,
    sampleRate,
    bitDepth: stream.bits_per_raw_sample || stream.bits_per_sample || null,
    durationSeconds: duration === undefined || duration === null || duration < 0 ? null : duration,
    ...(entry === null ? {} : orderFromBoxes(channels, layout, entry)),
    ...(entry === null || entry.pcm === null ? {} : fromBoxes(probedCodec, channels, entry, entry.pcm)),
    ...(entry?.contradiction ? { misread: entry.contradiction } : {}),
  };
}

/**
 * ffmpeg before 6.1 takes the loudspeakers of `chan` as a set, in its own order, and does not read `chnl`.
 * Where the boxes have another order, the layout is spelled out in it. A single channel has none, whichever
 * side its label names.
 */
function orderFromBoxes(
  channels: number,
  layout: string | undefined,
  { speakers }: SoundEntry,
): Partial<AudioFacts> {
  if (channels < 2 || speakers === null || speakers.length !== channels) return {};
  const taken = speakersOf(channels, layout ?? null);
  const plain = (names: readonly string[]): string => names.join('+').replaceAll('S', 'B');
  if (taken !== null && plain(taken) === plain(speakers)) return {};
  return { layout: speakers.join('+') };
}

/** PCM has no header of its own: only the boxes describe it. */
function fromBoxes(
  probedCodec: string,
  channels: number,
  { code, channels: boxed }: SoundEntry,
  pcm: PcmForm,
): Partial<AudioFacts> {
  const codec = pcmCodec(pcm);
  const bitDepth = pcm.bits;
  if (boxed !== channels) {
    const misread = `its boxes declare ${boxed} channels, ffmpeg decodes ${channels}`;
    return { codec, bitDepth, misread };
  }
  if (probedCodec === codec) return {};
  // Where the sample size agrees, it is enough to name the decoder.
  const width = /^pcm_[sfu](\d+)/.exec(probedCodec)?.[1];
  if (!probedCodec.startsWith('pcm_') || Number(width) === pcm.bits)
    return { codec, bitDepth, decoder: codec };
  const misread =
    `its boxes (${code}) say ${pcm.bits} bits a sample, ffmpeg takes it for ${probedCodec} and loses part of each: ` +
    'ffmpeg 6 or newer reads it';
  return { codec, bitDepth, misread };
}

function pcmCodec({ bits, kind, littleEndian }: PcmForm): string {
  const letter = { signed: 's', unsigned: 'u', float: 'f' }[kind];
  return `pcm_${letter}${bits}${bits === 8 ? '' : littleEndian ? 'le' : 'be'}`;
}
