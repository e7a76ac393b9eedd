import type { PictureOrder } from './picture-codec.js';
import { type PictureCodecName, pictureCodec } from './picture-codecs.js';

/** A codec as pictures are recorded in it: profile, depth and chroma. */
export interface RecordedForm {
  readonly codec: PictureCodecName;
  readonly profile: string | null;
  readonly bitDepth: number;
  readonly chroma: PictureOrder['video']['chroma'];
}

const form = (
  codec: PictureCodecName,
  profile: string | null,
  bitDepth: number,
  chroma: RecordedForm['chroma'],
): RecordedForm => ({ codec, profile, bitDepth, chroma });

/** Forms that capacities are told for, each codec in those it is usually asked for. */
export const RECORDED_FORMS: readonly RecordedForm[] = [
  ...['proxy', 'lt', 'standard', 'hq'].map((profile) => form('prores', profile, 10, '4:2:2')),
  ...['4444', '4444xq'].map((profile) => form('prores', profile, 10, '4:4:4')),
  form('cineform', null, 12, '4:4:4'),
  form('ffv1', null, 10, '4:2:2'),
  form('ffv1', null, 12, '4:4:4'),
  form('h264', null, 8, '4:2:0'),
  form('hevc', null, 10, '4:2:0'),
];

/** Sound beside it: PCM of 24 bits at 48 kHz. */
const SOUND_BITS_PER_CHANNEL = 24 * 48_000;

/**
 * Bits a second of picture and sound, from the same figures that sizes are planned with.
 *
 * @param rate frames a second
 * @param channels of sound, 24-bit PCM at 48 kHz
 */
export function recordedBitRate(
  { codec, profile, bitDepth, chroma }: RecordedForm,
  raster: { readonly width: number; readonly height: number },
  rate: number,
  channels: number,
): number {
  const video = {
    ...{ profile, bitDepth, chroma, alpha: false, crf: null, lossless: false, maxBitRate: null },
  };
  const bits = pictureCodec(codec).bitsPerPixel({ video, raster });
  return bits * raster.width * raster.height * rate + channels * SOUND_BITS_PER_CHANNEL;
}

/** Media as they are sold, in bytes: decimal, as their labels are (common practice, no source). */
export const MEDIA_BYTES: readonly number[] = [
  ...[64, 128, 256, 512].map((gigabytes) => gigabytes * 1e9),
  ...[1, 2, 4, 8, 16, 32, 64, 128].map((terabytes) => terabytes * 1e12),
];

/** The smallest medium that holds so many bytes; null: none does, it takes several. */
export function mediumFor(bytes: number): number | null {
  return MEDIA_BYTES.find((medium) => medium >= bytes) ?? null;
}

const UNITS: Readonly<Record<string, number>> = {
  ...{ MB: 1e6, GB: 1e9, TB: 1e12 },
  ...{ MiB: 2 ** 20, GiB: 2 ** 30, TiB: 2 ** 40 },
};

/** `1TB`, `512 GB`, `1.5TiB` in bytes; null for anything else. */
export function readSize(text: string): number | null {
  const match = /^(\d{1,6}(?:\.\d{1,6})?) ?([MGT])(i?)B$/i.exec(text);
  const unit = UNITS[`${match?.[2]?.toUpperCase() ?? ''}${match?.[3]?.toLowerCase() ?? ''}B`];
  const value = Number(match?.[1] ?? 0) * (unit ?? 0);
  return value > 0 ? value : null;
}
